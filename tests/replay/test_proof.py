"""The proof must fail for every way a file can be wrong; all files here are written by hand."""

from collections.abc import Sequence

import pytest

from cutpath.errors import FitError
from cutpath.geometry.chain import Chain, polyline
from cutpath.replay.comparing import Asked
from cutpath.replay.hpgl import read_hpgl
from cutpath.replay.proof import Limits, Proof, prove

SQUARE = polyline([[10, 10], [60, 10], [60, 60], [10, 60]], closed=True)
PEN = polyline([[20, 20], [40, 20]])
HEAD = b"IN;SP1;PU800,800;PD1600,800;PU;SP2;PU400,400;PD"
WALK = b"2400,400,2400,2400,400,2400,400,400;"
LIMITS = Limits((0, 0, 100, 100), (1, 2), 0, {}, {})


def proof(data: bytes, squares: Sequence[Chain] = (SQUARE,), limits: Limits = LIMITS) -> Proof:
    asked = [Asked("pen", 1, 0.2, (PEN,)), Asked("knife", 2, 0.1, tuple(squares))]
    return prove(data, read_hpgl(data), asked, limits)


def failing(found: Proof) -> set[str]:
    return {check.name for check in found.checks if not check.holds}


def test_a_right_file_passes() -> None:
    found = proof(HEAD + WALK + b"PU;SP0;")
    assert found.passed
    facts = found.as_dict()
    assert facts["deviation_mm"] == 0
    assert facts["tools"]["knife"]["length_mm"] == 200
    assert len(facts["sha256"]) == 64
    found.require("job.plt")


@pytest.mark.parametrize(
    ("data", "check"),
    [
        (HEAD + WALK + b"PU0,-40;SP0;", "inside the bed"),
        (HEAD + WALK + b"SP0;PD;", "tool up at the end"),
        (HEAD + WALK + b"PU;", "tool up at the end"),
        (HEAD + WALK + b"PD1200,1200;PU;SP0;", "tool up while travelling"),
        (HEAD + b"2400,400,2400,2400,400,2400,400,405;PU;SP0;", "all lines done"),
        (HEAD + b"2400,400,2400,2400;PU;PD400,2400,400,400;PU;SP0;", "all lines done"),
        (b"IN;SP2;PU400,400;PD" + WALK + b"SP1;PU800,800;PD1600,800;PU;SP0;", "tools in order"),
        (b"IN;SP2;PU400,400;PD" + WALK + b"PU;SP0;", "all lines done"),
        (HEAD + WALK + b"SP3;PU800,800;PD800,820;PU;SP0;", "tool up while travelling"),
    ],
)
def test_a_wrong_file_fails(data: bytes, check: str) -> None:
    found = proof(data)
    assert check in failing(found)
    assert not found.passed
    with pytest.raises(FitError, match="not delivered"):
        found.require("job.plt")


def test_a_shifted_corner_is_measured_and_placed() -> None:
    found = proof(HEAD + b"2400,400,2412,2412,400,2400,400,400;PU;SP0;")
    knife = found.compared[1]
    assert knife.deviation == pytest.approx(0.3 * 2**0.5, abs=0.002)
    assert knife.worst_at == pytest.approx([60.3, 60.3], abs=0.01)
    assert not found.passed


def test_a_blade_that_rounds_its_corners_fails() -> None:
    limits = Limits((0, 0, 100, 100), (1, 2), 0, {2: 0.5}, {})
    assert proof(HEAD + WALK + b"PU;SP0;").passed
    found = proof(HEAD + WALK + b"PU;SP0;", limits=limits)
    assert found.compared[1].deviation > 0.2
    assert not found.passed


def test_overcut_along_the_line_is_no_deviation() -> None:
    data = HEAD + WALK[:-1] + b",600,400;PU;SP0;"
    assert proof(data).passed


def test_the_deviation_is_the_larger_of_both_ways() -> None:
    knife = proof(HEAD + b"2400,400,2400,2400;PU;SP0;").compared[1]
    assert knife.cut_to_asked == pytest.approx(0, abs=0.002)
    assert knife.deviation == knife.asked_to_cut == pytest.approx(50, abs=0.002)
