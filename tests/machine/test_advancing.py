"""Cloth that the machine moves on between frames: what is written, read back and proved."""

import re
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.errors import FitError, MachineError
from cutpath.geometry.chain import polyline
from cutpath.machine.clock import machine_time
from cutpath.machine.emission import emit
from cutpath.machine.motion import moves_for
from cutpath.model import Feature, Role, Toolpath
from cutpath.moves import AdvanceCloth
from cutpath.proving import prove_bytes, write_and_prove
from cutpath.settings.profile import Profile

WAYS: dict[str, dict[str, Any]] = {
    "axis, one by one": {"lines": ["G91", "G0 U{advance}", "G90"]},
    "axis, in all": {"lines": ["G0 U{advanced}"]},
    "axis, backwards": {"lines": ["G0 U-{advanced}"]},
    "M code": {"lines": ["M70 P{advance}"]},
    "M code, in all": {"lines": ["M70 Q{advanced}"]},
    "instruction": {"lines": ["MC{advance};"]},
    "instruction, in all": {"lines": ["MC-{advanced};"]},
}

PLOTTER = {"largest_number": 2**30 - 1, "end": ["SP0;"]}


def machine(way: str = "axis, one by one", **said: Any) -> Profile:
    """A bed of 2 by 1 m whose cloth is moved in one of the ``WAYS``."""
    is_plotter = way.startswith("instruction")
    tool: dict[str, Any] = {"role": "knife", "number": 1, "speed": 100}
    return Profile.model_validate(
        {
            "name": "conveyor",
            "language": said.pop("language", "hp-gl" if is_plotter else "rs274"),
            "bed": {"width": 2000, "height": 1000} | said.pop("bed", {}),
            "advance": WAYS[way] | said.pop("advance", {}),
            "output": PLOTTER if is_plotter else {"tool_change": ["T{number} M6"]},
            "tools": {"knife": tool if is_plotter else tool | {"depth": 1}},
            **said,
        }
    )


def square(x: float, advance: float = 0.0) -> Toolpath:
    """A piece of 100 mm whose near left corner is at ``x`` on the bed."""
    corners = np.array([[0, 0], [100, 0], [100, 100], [0, 100]]) + np.array([x, 50])
    chain = polyline(corners, closed=True)
    return Toolpath(Role.KNIFE, Feature.OUTLINE, f"at {x} after {advance}", chain, advance=advance)


def failing(found: Any) -> set[str]:
    return {check.name for check in found.checks if not check.holds}


@pytest.mark.parametrize("way", WAYS)
def test_each_way_of_moving_cloth_is_read_back(way: str) -> None:
    paths = [square(50), square(60, 1500.0), square(50), square(70, 812.5)]
    written = write_and_prove(paths, machine(way))
    assert written.proof.passed, written.proof.checks
    frames = written.proof.as_dict()["frames"]
    assert [frame["read_mm"] for frame in frames] == [0, 1500, 812.5]
    assert [frame["strokes"] for frame in frames] == [1, 2, 1]


@pytest.mark.parametrize("way", WAYS)
@settings(max_examples=8)
@given(far=st.lists(st.floats(0.5, 1900), min_size=1, max_size=8))
def test_advances_add_up_to_the_lay(way: str, far: list[float]) -> None:
    paths = [square(50), *(square(50, distance) for distance in far)]
    written = write_and_prove(paths, machine(way))
    assert written.proof.passed
    total = sum(each.distance for each in written.reading.advances)
    # One step of the file's numbers (0.025 mm in HP-GL) for all of them together, not for each.
    assert total == pytest.approx(sum(far), abs=0.0126)


def test_a_stretched_advance_is_told_less() -> None:
    said = machine(compensation={"advance_scale": 1.01})
    written = write_and_prove([square(50), square(50, 1010.0)], said)
    assert b"G0 U1000.0000" in written.data
    assert written.proof.passed


def test_a_long_advance_goes_in_equal_parts() -> None:
    said = machine(advance={"longest": 400})
    moves = moves_for([square(50), square(50, 1000.0)], said)
    parts = [move.distance for move in moves if isinstance(move, AdvanceCloth)]
    assert parts == pytest.approx([1000 / 3] * 3)
    assert write_and_prove([square(50), square(50, 1000.0)], said).proof.passed


def test_the_cloth_may_move_before_the_first_stroke() -> None:
    written = write_and_prove([square(50, 300.0), square(50, 500.0)], machine())
    assert written.proof.passed
    frames = written.proof.as_dict()["frames"]
    assert [frame["read_mm"] for frame in frames] == [300, 500]


@pytest.mark.parametrize(
    ("pattern", "to"),
    [
        (rb"U1500\.0000", b"U1499.8000"),
        (rb"G0 U1500\.0000\n", b""),
        (rb"(G91\nG0 U1500\.0000\nG90)", rb"\1\nG0 X0 Y0\n\1"),
    ],
    ids=["too short", "none", "twice"],
)
def test_a_wrong_advance_fails_the_proof(pattern: bytes, to: bytes) -> None:
    paths, said = [square(50), square(60, 1500.0)], machine()
    data = emit(moves_for(paths, said), said)
    assert prove_bytes(data, paths, said).proof.passed
    wrong, count = re.subn(pattern, to, data)
    assert count == 1
    assert "cloth advances" in failing(prove_bytes(wrong, paths, said).proof)


def test_an_axis_told_one_by_one_in_absolute_numbers_fails_the_proof() -> None:
    said = machine(advance={"lines": ["G0 U{advance}"]})
    paths = [square(50), square(60, 1500.0), square(60, 700.0)]
    proof = write_and_prove(paths, said).proof
    assert failing(proof) == {"cloth advances"}
    with pytest.raises(FitError, match=r"advance 2 goes -800\.000 mm, 700\.000 expected"):
        proof.require("job.ngc")


def test_a_tool_left_down_while_the_cloth_moves_fails_the_proof() -> None:
    paths, said = [square(50), square(60, 1500.0)], machine()
    data = emit(moves_for(paths, said), said)
    wrong = data.replace(b"G91\n", b"G1 Z-1 F60\nG91\n")
    assert "cloth advances" in failing(prove_bytes(wrong, paths, said).proof)


def test_the_cloth_may_run_away_from_the_operator() -> None:
    said = machine(bed={"cloth_runs": "away", "origin": "far right", "x": "left", "y": "near"})
    assert said.run_in_machine().tolist() == [0, -1]
    assert write_and_prove([square(50), square(50, 500.0)], said).proof.passed


def test_strokes_are_compared_within_their_frame() -> None:
    paths, said = [square(50), square(60, 1500.0)], machine()
    swapped = [square(60), square(50, 1500.0)]
    data = emit(moves_for(swapped, said), said)
    found = prove_bytes(data, paths, said).proof
    assert found.worst is not None
    assert found.worst.deviation == pytest.approx(10, abs=0.01)


def test_moving_the_cloth_takes_its_time() -> None:
    said = machine(advance={"speed": 50, "settle_time": 2})
    still = machine_time(moves_for([square(50), square(60)], said), said).total
    moved = machine_time(moves_for([square(50), square(60, 500.0)], said), said).total
    assert moved - still == pytest.approx(12)


def test_a_machine_that_cannot_move_cloth_says_so() -> None:
    said = machine().model_copy(update={"advance": None})
    with pytest.raises(MachineError, match="does not move the cloth"):
        write_and_prove([square(50), square(60, 1500.0)], said)


@pytest.mark.parametrize(
    ("language", "lines", "words"),
    [
        ("rs274", ["G0 X{advance}"], "an axis"),
        ("rs274", ["M70 X{advance}"], "an M code"),
        ("rs274", ["G0 U{far}"], "cannot be filled in"),
        ("rs274", ["M70"], "one of the lines holds"),
        ("rs274", ["G0 U{advance}", "G0 U{advance}"], "one of the lines holds"),
        ("hp-gl", ["G0 U{advance}"], "an instruction of the machine's own"),
        ("hp-gl", ["PU{advance};"], "an instruction of the machine's own"),
    ],
)
def test_lines_that_cannot_move_cloth_are_refused(
    language: str, lines: list[str], words: str
) -> None:
    way = "instruction" if language == "hp-gl" else "M code"
    with pytest.raises(ValueError, match=words):
        machine(way, language=language, advance={"lines": lines})
