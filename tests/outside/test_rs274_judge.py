"""Our RS274/NGC reader beside a stand-alone interpreter of the language, where that is there."""

from pathlib import Path

import numpy as np
import pytest

from cutpath.errors import InputError
from cutpath.geometry.flatten import arc_geometry
from cutpath.replay.gcode import read_rs274
from tests.outside.judges import Verdict, judge_rs274

PROGRAMS = {
    "lines and arcs": "G21 G90 F900\nG0 Z2\nG0 X7 Y7\nG1 Z-1\nG2 X10 Y16 I3 J4\nG3 X0 Y0 R30\n"
    "G1 X40\nG0 Z2\nM2\n",
    "inches, relative": "%\nG20 G91 F30\nT1 M6\nG90 G0 Z.1\nG0 X1 Y1\nG1 Z-.05\nG91 X1\nY.5\n"
    "G2 X-1 Y-1 I-.5 J-.5\nG90 G0 Z.1\nM30\n%\n",
    "whole circle": "G21 F500\nG0 Z1\nG0 X20 Y5\nG1 Z-1\nG3 X20 Y5 I-8 J6\nG0 Z1\nM2\n",
    "home-based and modal": "G21 F500\nG0 Z1\nG0 X4\nG1 Z-1\nX8 Y2\nG53 G1 X30 Y30\nX1 Y1\n"
    "G0 Z1\nM2\n",
    "the long way round": "G21 F500\nG0 Z1\nG0 X0 Y0\nG1 Z-1\nG2 X10 Y15 R-20\nG0 Z1\nM2\n",
}


def judged(verdict: Verdict) -> list[tuple[float, float]]:
    """Give where each cutting move ends."""
    return [
        (numbers[0], numbers[1])
        for name, numbers in verdict.commands
        if name in ("STRAIGHT_FEED", "ARC_FEED")
    ]


@pytest.mark.parametrize("name", PROGRAMS)
def test_moves_agree(name: str, tmp_path: Path) -> None:
    program = PROGRAMS[name].encode()
    verdict = judge_rs274(program, tmp_path)
    assert verdict.accepted, verdict.complaint
    unit = 25.4 if "G20" in PROGRAMS[name] else 1.0
    theirs = np.array(judged(verdict)) * unit
    (stroke,) = read_rs274(program).strokes
    ours = stroke.chain.points
    # Theirs begin with the plunge; ours may have a joint more in the middle of a wide arc.
    for place in theirs:
        assert np.hypot(*(ours - place).T).min() < 0.0001 * unit
    np.testing.assert_allclose(ours[[0, -1]], theirs[[0, -1]], atol=0.0001 * unit)


@pytest.mark.parametrize("name", ["lines and arcs", "whole circle", "the long way round"])
def test_arcs_agree(name: str, tmp_path: Path) -> None:
    program = PROGRAMS[name].encode()
    arcs = [n for kind, n in judge_rs274(program, tmp_path).commands if kind == "ARC_FEED"]
    (stroke,) = read_rs274(program).strokes
    center, _, _, sweep = arc_geometry(stroke.chain)
    for numbers in arcs:
        away = np.hypot(*(center - numbers[2:4]).T)
        mine = np.flatnonzero(away < 0.001)
        assert len(mine)
        assert (np.sign(sweep[mine]) == np.sign(numbers[4])).all()


@pytest.mark.parametrize(
    "line",
    [
        "G1 X1e3",
        "G2 X10 Y16 I3 J4",
        "G2 X0 Y0 R5",
        "G1 X1 (open",
        "G0 G1 X1",
        "G4 P-1",
        "G77",
        "G1 X1 X2",
    ],
)
def test_both_refuse(line: str, tmp_path: Path) -> None:
    program = f"G21 F500\nG0 X0 Y0 Z1\n{line}\nM2\n".encode()
    assert not judge_rs274(program, tmp_path).accepted
    with pytest.raises(InputError):
        read_rs274(program)


def test_both_need_a_feed(tmp_path: Path) -> None:
    program = b"G21\nG0 X0 Y0\nG1 X5\nM2\n"
    assert not judge_rs274(program, tmp_path).accepted
    with pytest.raises(InputError):
        read_rs274(program)
