"""Every test pattern for every shipped profile: made, proved, measured where it has numbers."""

from __future__ import annotations

import sys
import time

from cutpath.bench.catalogue import patterns_for
from cutpath.bench.pattern_model import Wish
from cutpath.patterning import Patterned, make_patterned
from cutpath.settings.profile import load_profile, shipped_profiles
from tests.bench.measuring import measured
from tests.bench.read_back import Faults

_MEASURED = {"scale", "backlash", "tools", "advance", "drill"}
_MISS = 0.06
"""mm; a plotter's steps at both ends, and half a step of the vernier."""


def main() -> int:
    """Make all of them, and tell what each takes; 1 where one is not as its form says."""
    wrong = 0
    for machine in shipped_profiles():
        for name in patterns_for(load_profile(machine)):
            begun = time.process_time()
            made = make_patterned(name, machine, Wish())
            miss = _miss(made) if name in _MEASURED else 0.0
            good = made.passed and miss <= _MISS
            wrong += not good
            strokes = sum(len(file.toolpaths) for file in made.files)
            spent = time.process_time() - begun
            verdict = "good" if good else "WRONG"
            words = f"{strokes:5} strokes {spent:6.2f} s  {miss:.3f} mm {verdict}"
            print(f"{machine:22} {name:10} {words}")
    return int(wrong > 0)


def _miss(made: Patterned) -> float:
    """Give how far what is measured lies from what was told, on a machine without faults, mm."""
    told = {
        f"{gauge.tool}.{gauge.key}" if gauge.tool else gauge.key: gauge.told or 0.0
        for gauge in made.pattern.gauges
    }
    return max(abs(value - told[key]) for key, value in measured(made, Faults()).items())


if __name__ == "__main__":
    sys.exit(main())
