"""Pattern, form and fit together: a machine's faults come back out of what is measured on it."""

import math
from pathlib import Path

import pytest

from cutpath.bench.pattern_model import Wish
from cutpath.fitting import Tuned, fit
from cutpath.patterning import Earlier, make_patterned, pattern_files
from tests.bench.measuring import filled, measured
from tests.bench.read_back import Faults

NAMES = ("scale", "backlash", "blade", "tools", "advance", "drill")
TRUE = Faults(
    x_scale=1.0012,
    y_scale=0.9991,
    skew=math.radians(0.05),
    play=(0.15, 0.25),
    advance_scale=1.0004,
    offsets={"knife": (0.62, -0.41), "drill": (-1.15, 0.3)},
    trails={"knife": 0.66},
)
FOUND = {
    "x_scale": 1.0012,
    "y_scale": 0.9991,
    "skew": math.radians(0.05),
    "x_backlash": 0.15,
    "y_backlash": 0.25,
    "advance_scale": 1.0004,
    "knife.offset_x": 0.62,
    "knife.offset_y": -0.41,
    "knife.blade_offset": 0.66,
    "drill.offset_x": -1.15,
    "drill.offset_y": 0.3,
}
TURNED = """
extends = "flatbed-hpgl2"
name = "A table that counts from its far right corner"
[bed]
origin = "far right"
x = "near"
y = "left"
"""


def _measured_form(machine: str, at: Path) -> dict[str, dict[str, float]]:
    """Make all patterns for ``machine``, measure them, and write the filled form."""
    form, values = "", {}
    for name in NAMES:
        size = (1500.0, 900.0) if name == "scale" else None
        made = make_patterned(name, machine, Wish(size=size))
        assert made.passed
        form = pattern_files(made, "A4", Earlier(form))["measured.toml"].decode()
        told = {
            f"{gauge.tool}.{gauge.key}" if gauge.tool else gauge.key: gauge.told
            for gauge in made.pattern.gauges
        }
        values[name] = measured(made, TRUE)
        assert set(values[name]) <= set(told)
    at.write_text(filled(form, values), encoding="utf-8")
    return values


def _assert_found(tuned: Tuned) -> None:
    assert not tuned.outcome.misread
    found = {each.unknown.name: each for each in tuned.outcome.fitted}
    for name, true in FOUND.items():
        each = found[name]
        assert abs(each.value - true) < max(3.5 * each.sigma, 1e-9), (name, each.value, each.sigma)


def test_faults_of_a_machine_that_counts_from_another_corner_are_found_and_gone(
    tmp_path: Path,
) -> None:
    machine, form, place = (tmp_path / f"{name}.toml" for name in ("turned", "measured", "tuned"))
    machine.write_text(TURNED, encoding="utf-8")
    _measured_form(str(machine), form)
    tuned = fit(str(machine), form, place)
    _assert_found(tuned)
    place.write_text(tuned.text, encoding="utf-8")
    form.unlink()
    left = _measured_form(str(place), form)
    lengths = {"near": 1500.0, "left": 900.0, "rising": math.hypot(1500, 900)}
    for key, told in lengths.items():
        assert left["scale"][key] == pytest.approx(told, abs=0.2)
    for name in ("backlash", "tools", "drill", "advance"):
        assert list(left[name].values()) == pytest.approx([0.0] * len(left[name]), abs=0.06), name
