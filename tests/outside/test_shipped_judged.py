"""Files of shipped RS274 machines before a stand-alone interpreter of the language.

The turning axis, tools lowered by M codes and cloth moved by an axis of its own are all in them.
"""

from pathlib import Path

import numpy as np
import pytest

from cutpath.geometry.chain import polyline
from cutpath.model import Feature, Role, Toolpath
from cutpath.pipeline import cut
from cutpath.planning import Request
from cutpath.proving import write_and_prove
from cutpath.settings.profile import Advance, load_profile
from tests.outside.judges import Verdict, judge_rs274

ROLL = Path(__file__).parents[2] / "samples" / "tool-roll" / "tool-roll.svg"
SQUARE = polyline([[50, 50], [150, 50], [150, 150], [50, 150]], closed=True)


FEEDS = ("STRAIGHT_FEED", "ARC_FEED")


def ends(verdict: Verdict, kinds: tuple[str, ...]) -> set[tuple[float, float]]:
    """Give where the commands of these kinds end."""
    return {(round(n[0], 3), round(n[1], 3)) for name, n in verdict.commands if name in kinds}


@pytest.mark.parametrize("machine", ["drawing-arm", "gantry-oscillating"])
def test_the_interpreter_goes_where_our_reader_says(machine: str, tmp_path: Path) -> None:
    file = cut(Request(ROLL, machine, 12.7)).files[0]
    verdict = judge_rs274(file.written.data, tmp_path)
    assert verdict.accepted, verdict.complaint
    fed, reached = ends(verdict, FEEDS), ends(verdict, (*FEEDS, "STRAIGHT_TRAVERSE"))
    ours = {
        (round(float(x), 3), round(float(y), 3))
        for stroke in file.written.reading.strokes
        for x, y in stroke.chain.points
    }
    assert fed <= ours
    # Where a wide arc has a joint of our own in the middle, ours are a few more.
    assert len(ours & reached) > 0.9 * len(ours)


@pytest.mark.parametrize("lines", [("G91", "G0 B{advance}", "G90"), ("G0 B{advanced}",)])
def test_cloth_on_an_axis_goes_as_far_as_our_reader_says(
    lines: tuple[str, ...], tmp_path: Path
) -> None:
    profile = load_profile("gantry-rs274").model_copy(update={"advance": Advance(lines=lines)})
    paths = [
        Toolpath(Role.KNIFE, Feature.OUTLINE, "a", SQUARE, advance=far)
        for far in (0.0, 1500.0, 812.5)
    ]
    written = write_and_prove(paths, profile)
    assert written.proof.passed
    verdict = judge_rs274(written.data, tmp_path)
    assert verdict.accepted, verdict.complaint
    places = [n[4] for name, n in verdict.commands if name == "STRAIGHT_TRAVERSE"]
    ours = np.cumsum([each.distance for each in written.reading.advances])
    assert sorted(set(places) - {0.0}) == pytest.approx(ours.tolist())
