"""What readings do not tell from the old value stays; what hangs on it is fitted anew."""

from pathlib import Path

import pytest

from cutpath.settings.profile import load_profile
from tests.bench.tuned_machines import tuned


def test_what_differs_by_chance_stays_as_it_was(tmp_path: Path) -> None:
    ticks = {"x1": 0.21, "x2": 0.19, "y1": 0.05, "y2": 0.03}
    outcome = tuned({"backlash": ticks}, load_profile("flatbed-hpgl"), tmp_path)
    x, y = outcome.fitted
    assert x.changes
    assert x.written == pytest.approx(0.2)
    assert not y.changes
    assert y.written == 0.0
    assert y.value == pytest.approx(0.04)  # as measured it is told all the same


def test_a_trail_takes_over_the_play_that_is_held(tmp_path: Path) -> None:
    # The bridge tells 2 d + play surely; each alone is less sure, and so small a play may be none.
    readings = {
        "backlash": {"x1": 0.09, "y1": 0.2, "y2": 0.2},
        "blade": {"gap_x1": 1.4, "gap_x2": 1.4, "gap_y1": 1.5, "gap_y2": 1.5, "corner_150": 1.3},
    }
    outcome = tuned(readings, load_profile("flatbed-hpgl"), tmp_path)
    found = {each.unknown.name: each for each in outcome.fitted}
    assert not found["x_backlash"].changes
    assert found["x_backlash"].value > 0.03
    trail = found["knife.blade_offset"]
    assert trail.written > trail.value + 0.005
