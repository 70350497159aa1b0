"""How often fits of simulated measurements hold the planted faults, and find a planted misreading.

Run on demand: ``python -m tests.benchmarks.bench_fit [RUNS]``. Half of the machines have a profile
that was never tuned, half one that was tuned to another state. Each machine is measured ten times.
"""

from __future__ import annotations

import copy
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np

from cutpath.errors import CutpathError, FitError
from cutpath.settings.profile import Profile, load_profile
from tests.bench.simulated_machine import Bench, Machine
from tests.bench.tuned_machines import (
    Readings,
    exact_readings,
    old_profile,
    random_machine,
    tuned,
    with_noise,
)

_RUNS = 1000
_DRAWS = 10


def main() -> None:
    """Print both tables."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else _RUNS
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder)
        profiles = (load_profile("flatbed-hpgl"), old_profile(path))
        began = time.process_time()
        _recovering(runs, profiles, path)
        print(f"\n{(time.process_time() - began) / runs:.2f} s of processor time a run\n")
        _misreading(runs, profiles, path)


def _machines(
    runs: int, profiles: tuple[Profile, ...], rng: np.random.Generator
) -> list[tuple[Profile, Machine, Readings]]:
    out = []
    for number in range(-(-runs // _DRAWS)):
        profile, machine = profiles[number % len(profiles)], random_machine(rng)
        out.append((profile, machine, exact_readings(Bench(Machine.told_by(profile), machine))))
    return out


def _recovering(runs: int, profiles: tuple[Profile, ...], folder: Path) -> None:
    rng = np.random.default_rng(2026)
    off: dict[str, list[float]] = {}
    suspected = refused = 0
    for profile, machine, exact in _machines(runs, profiles, rng):
        for _ in range(_DRAWS):
            try:
                outcome = tuned(with_noise(exact, rng), profile, folder)
            except CutpathError:
                refused += 1
                continue
            suspected += bool(outcome.misread)
            for each in outcome.fitted:
                error = (each.value - machine.values[each.unknown.name]) / each.sigma
                off.setdefault(each.unknown.name, []).append(error)
    print("| value | runs | within 1 σ | 2 σ | 3 σ | spread of error / σ |")
    print("|---|---|---|---|---|---|")
    for name, errors in off.items():
        size = np.abs(errors)
        shares = " | ".join(f"{100 * float((size <= k).mean()):.1f} %" for k in (1, 2, 3))
        print(f"| {name} | {len(errors)} | {shares} | {float(np.std(errors)):.2f} |")
    print(f"\nright readings suspected in {suspected}, refused in {refused} of {runs} runs")


def _slipped(rng: np.random.Generator, value: float) -> tuple[str, float]:
    kind = str(rng.choice(["1 mm", "10 mm", "inches", "sign", "digits"]))
    if kind == "inches":
        return kind, value / 25.4
    if kind == "sign":
        return kind, -value
    if kind == "digits":
        text = f"{abs(value):.2f}".replace(".", "")
        at = int(rng.integers(0, len(text) - 1))
        swapped = text[:at] + text[at + 1] + text[at] + text[at + 2 :]
        return kind, float(np.sign(value)) * int(swapped) / 100
    step = 1.0 if kind == "1 mm" else 10.0
    return kind, value + step * float(rng.choice([-1, 1]))


def _misreading(runs: int, profiles: tuple[Profile, ...], folder: Path) -> None:
    """Plant one slip a run that makes five uncertainties or more, and see what is made of it."""
    rng = np.random.default_rng(7)
    told: dict[str, Counter[str]] = {}
    for profile, _, exact in _machines(runs, profiles, rng):
        for _ in range(_DRAWS):
            readings = with_noise(copy.deepcopy(exact), rng, 0.01)
            name, kind = _plant(readings, rng)
            told.setdefault(kind, Counter())[_verdict(readings, profile, folder, name)] += 1
    print("| slip | runs | found | among those told to measure again | other | not seen |")
    print("|---|---|---|---|---|---|")
    whole: Counter[str] = Counter()
    for kind, counts in [*told.items(), ("all", whole)]:
        if counts is not whole:
            whole += counts
        some = sum(counts.values())
        words = ("found", "one of several", "other", "not seen")
        shares = " | ".join(f"{100 * counts[word] / some:.1f} %" for word in words)
        print(f"| {kind} | {some} | {shares} |")


def _plant(readings: Readings, rng: np.random.Generator) -> tuple[str, str]:
    while True:
        pattern = str(rng.choice(list(readings)))
        rows: dict[str, Any] = readings[pattern]
        name = pattern
        if pattern == "tools":
            rows, name = rows["knife"], "tools.knife"
        key = str(rng.choice([key for key in rows if key != "hole"]))
        kind, wrong = _slipped(rng, rows[key])
        if abs(wrong - rows[key]) >= 0.5:
            rows[key] = round(wrong, 3)
            return f"{name}.{key}", kind


def _verdict(readings: Readings, profile: Profile, folder: Path, name: str) -> str:
    try:
        outcome = tuned(readings, profile, folder)
    except FitError as error:
        return "one of several" if name in str(error) else "other"
    except CutpathError:
        return "other"
    if not outcome.misread:
        return "not seen"
    return "found" if [each.name for each in outcome.misread] == [name] else "other"


if __name__ == "__main__":
    main()
