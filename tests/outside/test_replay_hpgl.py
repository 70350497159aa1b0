"""HP-GL and HP-GL/2 read back, against the manuals' worked values.

Sources: HP, PCL 5 Printer Language Technical Reference Manual, Part II (tables named at each
check); HP, 7470A Interfacing and Programming Manual; TM 5-6675-320-14, table 4-12.
"""

import math

import numpy as np
import pytest

from cutpath.errors import InputError
from cutpath.replay.hpgl import read_hpgl, read_hpgl2
from cutpath.replay.polyline_encoded import Pair, Pick, decode
from tests.outside.judges import judge_hpgl2


def plotter_units(data: bytes) -> list[np.ndarray]:
    return [stroke.chain.points * 40 for stroke in read_hpgl2(data).strokes]


def pair(raw: bytes) -> tuple[float, float]:
    (found,) = decode(raw)
    assert isinstance(found, Pair)
    return found.x, found.y


def test_an_inch_is_1016_units() -> None:
    # Table 17-7: one plotter unit is 0.025 mm.
    (stroke,) = read_hpgl(b"PA0,0;PD1016,8400;").strokes
    np.testing.assert_allclose(stroke.chain.last, [25.4, 210.0], atol=1e-12)


def test_the_manuals_encoded_integer() -> None:
    # Tables 20-24 and 20-26: 10525 is 121, 71, 196 in base 64 and YPs in base 32.
    assert pair(bytes([121, 71, 196] * 2)) == (10525, 10525)
    assert pair(b"7YPsYPs") == (10525, 10525)


@pytest.mark.parametrize(
    ("number", "digits"),
    [(0, "BF"), (1, "C1"), (-1, "C2"), (31, "FD"), (32, "3FC0"), (-32, "40C0")],
)
def test_small_numbers_in_base_64(number: int, digits: str) -> None:
    # From the rules of pp. 20-40 to 20-42, by hand.
    assert pair(bytes.fromhex(digits * 2)) == (number, number)


@pytest.mark.parametrize(
    ("number", "digits"),
    [(0, "_"), (1, "a"), (-1, "b"), (100, "Ge"), (-100, "He"), (1000, "O]`"), (4000, "?Yf")],
)
def test_small_numbers_in_base_32(number: int, digits: str) -> None:
    # From the rules of pp. 20-40 to 20-42, by hand.
    assert pair(f"7{digits}{digits}".encode()) == (number, number)


def test_fraction_bits_and_pen() -> None:
    # Pp. 20-37 to 20-41: 7 fraction bits are byte 205 (or m), pen 1 is C1.
    first, second = decode(b":\xc1>\xcd" + bytes([121, 71, 196] * 2))
    assert isinstance(first, Pick)
    assert first.pen == 1
    assert isinstance(second, Pair)
    assert second.x == 10525 / 128
    (low,) = decode(b"7>mYPsYPs")
    assert isinstance(low, Pair)
    assert low.y == 10525 / 128


SQUARE = [[400, 800], [1400, 800], [1400, 1800], [400, 1800], [400, 800]]


@pytest.mark.parametrize(
    "data",
    [
        b"PE7<=?x?Q`O]`__O]`P]`__P]`;",
        bytes.fromhex("50453C3D5FCB3FD84FDEBFBF4FDE50DEBFBF50DE3B"),
        b"PE7 <\r\n=?x?Q`O]`__O]`P]\x81`__P]`;",  # p. 20-40: such bytes are skipped
        b"PE7\xbc\xbd?x?Q`O]`__O]`P]`__P]`;",  # p. 20-36: a flag's eighth bit is ignored
    ],
)
def test_an_encoded_square(data: bytes) -> None:
    # By hand from pp. 20-34 to 20-43: 1000 units a side, from an absolute corner.
    (points,) = plotter_units(data)
    np.testing.assert_allclose(points, SQUARE, atol=1e-9)


def test_relative_arcs() -> None:
    # Table 20-8's example; its end points computed in closed form.
    (points,) = plotter_units(b"PA1500,1500;PD;AR0,2000,80,25;AR2000,0,80;")
    ends = points[[4, -1]]
    np.testing.assert_allclose(ends, [[3469.6, 3152.7], [5122.3, 1183.1]], atol=0.06)


def test_nine_chords_of_five_degrees() -> None:
    # P. 20-10: the chord angle is 5° unless given.
    (points,) = plotter_units(b"PA2000,0;PD;AA0,0,45;")
    assert len(points) == 10
    np.testing.assert_allclose(points[-1], [2000 * math.sqrt(0.5)] * 2, atol=1e-6)


def test_a_circle_of_72_chords() -> None:
    # P. 20-25: 5° gives 72 chords; the sagitta 1000 (1 − cos 2.5°) is 0.9518 units.
    (points,) = plotter_units(b"PA5000,5000;CI1000;")
    assert len(points) == 73
    middles = (points[1:] + points[:-1]) / 2 - 5000
    assert 1000 - np.hypot(*middles.T).min() == pytest.approx(0.9518, abs=1e-4)


def test_user_units() -> None:
    # IP and SC: P1 and P2 get the user's corner values (PCL 5 Quick Reference, p. 28).
    (points,) = plotter_units(b"IP0,0,2000,2000;SC0,10,0,10;PA5,5;CI3;")
    np.testing.assert_allclose(points[0], [1600, 1000], atol=1e-9)


def test_sixteen_bits_overflow() -> None:
    # TM 5-6675-320-14, table 4-12, error 6: 820 mm are 32800 units.
    with pytest.raises(InputError, match="position overflow"):
        read_hpgl(b"PD32800,0;")
    assert read_hpgl2(b"PD32800,0;").strokes[0].chain.last[0] == 820.0


@pytest.mark.parametrize(
    "data",
    [
        b"IN;SP1;PU0,0;PD1000,0,1000,1000;PU;PD7,7;PU;",
        b"IN;PA400,800;PD;PR100,0,0,100;PU50,50;PD10,10;PU;",
        b"IN;SP1;PE7<=?x?Q`O]`__O]`P]`__P]`;",
        bytes.fromhex("494e3b50453C3D5FCB3FD84FDEBFBF4FDE50DEBFBF50DE3B"),
    ],
)
def test_a_foreign_reader_sees_the_same(data: bytes) -> None:
    # ezdxf's HP-GL/2 reader.
    theirs = judge_hpgl2(data)
    ours = plotter_units(data)
    assert len(ours) == len(theirs)
    for mine, other in zip(ours, theirs, strict=True):
        np.testing.assert_allclose(mine, other, atol=0.01)
