"""Files in inches before a stand-alone RS274/NGC interpreter, where that is there."""

from pathlib import Path

import numpy as np
import pytest

from cutpath.machine.emission import emit
from cutpath.machine.motion import moves_for
from cutpath.proving import write_and_prove
from cutpath.settings.profile import load_profile
from tests.machine.faulty import FAULTS, faulty
from tests.machine.machines import profile
from tests.machine.test_cuts import failing, work
from tests.outside.judges import Verdict, judge_rs274


def ends(verdict: Verdict, *names: str) -> list[tuple[float, ...]]:
    """Where each of these moves ends, in what the file counts."""
    return [numbers[:2] for name, numbers in verdict.commands if name in names]


@pytest.mark.parametrize("name", ["gantry-inch-rs274", "gantry-rs274"])
def test_shipped_profiles_are_accepted(name: str, tmp_path: Path) -> None:
    written = write_and_prove(work(), load_profile(name))
    assert written.proof.passed, failing(written)
    verdict = judge_rs274(written.data, tmp_path)
    assert verdict.accepted, verdict.complaint
    unit = 25.4 if "inch" in name else 1.0
    theirs = np.array(ends(verdict, "STRAIGHT_FEED", "ARC_FEED")) * unit
    ours = np.concatenate([stroke.chain.points for stroke in written.told.strokes])
    gaps = np.hypot(*(theirs[:, None] - ours[None]).transpose(2, 0, 1))
    assert gaps.min(axis=1).max() < 1e-3


@pytest.mark.parametrize("arcs", [True, False])
@pytest.mark.parametrize("faults", ["all", "stretched"])
def test_inches_and_millimetres_go_to_the_same_places(
    faults: str, arcs: bool, tmp_path: Path
) -> None:
    found = []
    for units in ("mm", "in"):
        said = faulty(FAULTS[faults], profile("rs274", output={"units": units, "arcs": arcs}))
        folder = tmp_path / units
        folder.mkdir()
        verdict = judge_rs274(write_and_prove(work(), said).data, folder)
        assert verdict.accepted, verdict.complaint
        found.append(
            np.array(ends(verdict, "STRAIGHT_FEED", "ARC_FEED", "STRAIGHT_TRAVERSE"))
            * (25.4 if units == "in" else 1.0)
        )
    millimetres, inches = found
    # By the steps of both, each place of one lies by one of the other's.
    gaps = np.hypot(*(inches[:, None] - millimetres[None]).transpose(2, 0, 1)).min(axis=1)
    assert gaps.max() < 0.0025
    # What rounding makes of short arcs may differ: as chords or as one.
    assert abs(len(inches) - len(millimetres)) <= 0.1 * len(millimetres)


def test_speeds_are_inches_a_minute(tmp_path: Path) -> None:
    said = profile("rs274", output={"units": "in"})
    verdict = judge_rs274(emit(moves_for(work(), said), said), tmp_path)
    rates = [
        numbers[0] for name, numbers in verdict.commands if name == "SET_FEED_RATE" and numbers[0]
    ]
    assert rates
    assert rates == pytest.approx([100 * 60 / 25.4] * len(rates), abs=1e-4)
