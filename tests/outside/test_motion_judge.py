"""Files of every kind of knife before a stand-alone RS274/NGC interpreter, where that is there."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cutpath.geometry.flatten import arc_geometry
from tests.machine.test_cuts import KNIVES, machine, proved
from tests.outside.judges import judge_rs274

MORE: dict[str, dict[str, Any]] = {
    "paced": {"speed": 300},
    "hot": {"kerf": 0.05, "lead_in": 3, "lead_speed": 4, "dwell": "0.2 s"},
}


@pytest.mark.parametrize("name", [*KNIVES, *MORE])
def test_the_interpreter_goes_where_the_proof_says(name: str, tmp_path: Path) -> None:
    said = (KNIVES | MORE)[name]
    motion = {"turning_axis": "A", "feed_by_radius": name == "paced"}
    written = proved(machine(motion=motion, **said))
    verdict = judge_rs274(written.data, tmp_path)
    assert verdict.accepted, verdict.complaint
    feeds = [(kind, n) for kind, n in verdict.commands if kind in ("STRAIGHT_FEED", "ARC_FEED")]
    theirs = np.array([numbers[:2] for _, numbers in feeds])
    ours = np.concatenate([stroke.chain.points for stroke in written.reading.strokes])
    gaps = np.hypot(*(theirs[:, None] - ours[None]).transpose(2, 0, 1))
    assert gaps.min(axis=1).max() < 1e-3
    # Arcs about the same centres (a chain halves those of more than 180°).
    centers = np.concatenate([arc_geometry(s.chain)[0] for s in written.reading.strokes])
    centers = centers[np.isfinite(centers).all(axis=1)]
    for kind, numbers in feeds:
        if kind == "ARC_FEED":
            assert np.hypot(*(centers - np.array(numbers[2:4])).T).min() < 2e-3


def test_the_axis_words_are_read_as_degrees(tmp_path: Path) -> None:
    written = proved(machine(motion={"turning_axis": "A"}, turned=True, lift_angle="30 deg"))
    verdict = judge_rs274(written.data, tmp_path)
    # STRAIGHT_FEED(x, y, z, a, b, c): the arc of half a turn ends at 180°.
    turned = [n[3] for kind, n in verdict.commands if kind == "STRAIGHT_FEED"]
    assert max(turned) == pytest.approx(360)
    assert math.isclose(min(turned), 0.0) or min(turned) >= -360
