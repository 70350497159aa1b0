"""RS274/NGC read back, against NISTIR 6556, The NIST RS274NGC Interpreter - Version 3 (2000).

The section stands beside each check.
"""

import numpy as np
import pytest

from cutpath.errors import InputError
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.measure import length
from cutpath.moves import Stroke
from cutpath.replay.gcode import read_rs274

HEAD = "G21 G90 F1000\nG0 Z1\n"


def cut(start: str, rest: str) -> Stroke:
    data = f"{HEAD}G0 {start}\nG1 Z-1\n{rest}\nG0 Z1\nM2\n".encode()
    (stroke,) = read_rs274(data).strokes
    return stroke


def test_arc_by_center() -> None:
    # 3.5.3.2: centre (10, 11), radius 5; sweep and length by geometry.
    chain = cut("X7 Y7", "G2 X10 Y16 I3 J4").chain
    center, radius, _, sweep = arc_geometry(chain)
    np.testing.assert_allclose(center[0], [10, 11], atol=1e-9)
    assert radius[0] == pytest.approx(5)
    assert np.degrees(sweep.sum()) == pytest.approx(-143.130, abs=1e-3)
    assert length(chain) == pytest.approx(12.4905, abs=1e-4)


@pytest.mark.parametrize(
    ("code", "center"), [("G2", (19.8551, -2.4034)), ("G3", (-9.8551, 17.4034))]
)
def test_arc_by_radius(code: str, center: tuple[float, float]) -> None:
    # 3.5.3.1 and geometry.
    chain = cut("X0 Y0", f"{code} X10 Y15 R20").chain
    found, _, _, sweep = arc_geometry(chain)
    np.testing.assert_allclose(found[0], center, atol=1e-4)
    assert np.degrees(abs(sweep.sum())) == pytest.approx(53.576, abs=1e-3)
    assert length(chain) == pytest.approx(18.7017, abs=1e-4)


def test_arc_by_negative_radius_goes_the_long_way() -> None:
    # 3.5.3.1.
    _, radius, _, sweep = arc_geometry(cut("X0 Y0", "G2 X10 Y15 R-20").chain)
    np.testing.assert_allclose(radius, 20)
    assert np.degrees(-sweep.sum()) == pytest.approx(360 - 53.576, abs=1e-3)


def test_a_whole_circle() -> None:
    # 3.5.3.2: an end equal to the start is a whole turn.
    assert length(cut("X0 Y0", "G3 X0 Y0 I10").chain) == pytest.approx(20 * np.pi)


def test_radii_may_differ_by_two_micrometres() -> None:
    # 3.5.3.2: 0.002 mm.
    cut("X0 Y0", "G2 X20.0019 Y0 I10 J0")
    for arc in ("G2 X20.0021 Y0 I10 J0", "G2 X10 Y16 I3 J4"):
        with pytest.raises(InputError, match="radius"):
            cut("X0 Y0", arc)


@pytest.mark.parametrize(
    ("rest", "complaint"),
    [
        ("G1 X1 " + "(" + "x" * 249 + ")", "257 characters"),  # 3.3
        ("N100000 G1 X1", "5 digits"),  # 3.3.1
        ("G1 X1 (a(b))", "comment"),  # 3.3.4
        ("G1 X1 (a", "not closed"),  # 3.3.4
        ("G4 P-1", "G4"),  # 3.5.4
        ("G0 G1 X1", "one group"),  # table 4
        ("G2 X0 Y0 R5", "ends where it starts"),  # 3.5.3.1
        ("G3 I5", "axis word"),  # 3.5.3.2
        ("G3 Z-1 I5", "needs X or Y"),  # 3.5.3.2
        ("G3 X1 Y1 I1 J0\nI5", "without a place"),  # 3.5.3.2
        ("G1", "axis word"),  # 3.5.2
        ("G1 X1e3", "letter E"),  # 3.3.2.1: no exponents
        ("G53 G2 X1 Y1 R5", "G53"),  # 3.5.12
        ("G93\nG1 X1", "G93"),  # 3.5.19
        ("G77", "not understood"),
        ("G1 X1 X2", "twice"),
    ],
)
def test_what_the_language_forbids(rest: str, complaint: str) -> None:
    with pytest.raises(InputError, match=complaint) as caught:
        cut("X0 Y0", rest)
    assert caught.value.source.line is not None


def test_blanks_and_case_do_not_count() -> None:
    # 3.3: the manual's own odd line.
    chain = cut("X0 Y0", "g1x +0. 12 34y 7").chain
    np.testing.assert_allclose(chain.last, [0.1234, 7])


def test_g92_adds_up() -> None:
    # 3.5.18: at X 4, G92 X7 makes the offset −3; G92 X9 then makes it −5.
    chain = cut("X4 Y0", "G92 X7\nG1 X8\nX7\nG92 X9\nG1 X10").chain
    np.testing.assert_allclose(chain.points[:, 0], [4, 5, 4, 5])


def test_inches() -> None:
    # 3.5.7.
    np.testing.assert_allclose(cut("X0 Y0", "G20\nG1 X1").chain.last, [25.4, 0])


def test_a_program_needs_an_end_and_a_feed() -> None:
    with pytest.raises(InputError, match="no end"):
        read_rs274(b"G21\nG0 X1\n")
    with pytest.raises(InputError, match="feed"):
        read_rs274(b"G21\nG1 X1\nM2\n")
