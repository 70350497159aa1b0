"""Machines with known faults, all their patterns measured, and what a fit makes of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from cutpath.bench.fit.outcome import Outcome
from cutpath.bench.fit.tuning import tune
from cutpath.settings.measured_file import read_measured
from cutpath.settings.profile import Profile, load_profile
from tests.bench.simulated_machine import Bench, Machine, measured_text

SIZE = (600.0, 400.0)
KEYS: dict[str, dict[str, Any]] = {
    "scale": {"name": "scale", "tool": "pen", "size": SIZE, "uncertainty": "0.1 mm"},
    "backlash": {"name": "backlash", "tool": "pen", "uncertainty": "0.05 mm"},
    "blade": {"name": "blade", "tool": "knife", "uncertainty": "0.1 mm"},
    "tools": {"name": "tools", "reference": "pen", "uncertainty": "0.05 mm"},
    "advance": {"name": "advance", "tool": "pen", "advance": "1 m", "uncertainty": "0.05 mm"},
    "drill": {"name": "drill", "tool": "drill", "reference": "pen", "uncertainty": "0.05 mm"},
}
SIGMAS = {"scale": 0.1, "backlash": 0.05, "blade": 0.1, "tools": 0.05, "advance": 0.05,
          "drill": 0.05}  # fmt: skip
Readings = dict[str, dict[str, Any]]


def random_machine(rng: np.random.Generator) -> Machine:
    """Give a machine as far off as machines are."""
    return Machine(
        x_scale=1 + 0.002 * rng.uniform(-1, 1),
        y_scale=1 + 0.002 * rng.uniform(-1, 1),
        skew=math.radians(0.15 * rng.uniform(-1, 1)),
        play=(rng.uniform(0, 0.4), rng.uniform(0, 0.4)),
        advance_scale=1 + 0.003 * rng.uniform(-1, 1),
        offsets={
            "knife": (rng.uniform(-1, 1), rng.uniform(-1, 1)),
            "drill": (rng.uniform(-20, 20), rng.uniform(-20, 20)),
        },
        trails={"pen": 0.0, "drill": 0.0, "knife": rng.uniform(0.2, 1.2)},
        diameters={"drill": rng.uniform(2, 4)},
    )


def exact_readings(bench: Bench) -> Readings:
    """Measure all patterns without any error."""
    drill = {**bench.beside("drill", "pen"), "hole": bench.true.diameters["drill"]}
    return {
        "scale": bench.scale("pen", *SIZE),
        "backlash": bench.backlash("pen"),
        "blade": bench.blade("knife"),
        "tools": {"knife": bench.beside("knife", "pen")},
        "advance": bench.advance("pen", 1000.0),
        "drill": drill,
    }


def with_noise(readings: Readings, rng: np.random.Generator, step: float = 0.0) -> Readings:
    """Add to each reading the error of its pattern, rounded to ``step`` where there is one."""

    def off(value: Any, sigma: float) -> Any:
        if isinstance(value, Mapping):
            return {key: off(each, sigma) for key, each in value.items()}
        read = value + rng.normal(0, sigma)
        return round(round(read / step) * step, 6) if step else read

    return {name: off(rows, SIGMAS[name]) for name, rows in readings.items()}


def form(readings: Readings, profile: Profile) -> str:
    """Give the filled-in form."""
    rows = [(KEYS[name], given) for name, given in readings.items()]
    return measured_text("the machine", profile.digest(), rows)


def tuned(
    readings: Readings, profile: Profile, folder: Path, held: tuple[str, ...] = ()
) -> Outcome:
    """Fit the profile to readings."""
    path = folder / "measured.toml"
    path.write_text(form(readings, profile), encoding="utf-8")
    return tune(read_measured(path), profile, held)


def old_profile(folder: Path) -> Profile:
    """Give a profile that was tuned before, to another state of the machine."""
    path = folder / "old.toml"
    path.write_text(
        'extends = "flatbed-hpgl"\nname = "Old"\n[compensation]\nx_scale = 1.0012\n'
        'y_scale = 0.9991\nskew = "0.08 deg"\nx_backlash = "0.15 mm"\ny_backlash = "0.1 mm"\n'
        "advance_scale = 1.001\n[tools.knife]\noffset = [0.4, -0.3]\nblade_offset = 0.55\n"
        '[tools.drill]\noffset = ["12 mm", "-3 mm"]\ndiameter = "2.5 mm"\n',
        encoding="utf-8",
    )
    return load_profile(path)
