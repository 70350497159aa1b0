import numpy as np
import pytest

from cutpath.errors import InputError
from cutpath.replay.hpgl import read_hpgl, read_hpgl2


def test_scaling_keeps_its_own_origin() -> None:
    data = b"IP100,200,1100,1200;SC-10,10,-10,10;PA-10,-10;PD10,0;PU;SC;PA0,0;PD40,0;"
    first, second = read_hpgl(data).strokes
    np.testing.assert_allclose(first.chain.points * 40, [[100, 200], [1100, 700]])
    np.testing.assert_allclose(second.chain.points, [[0, 0], [1, 0]])


def test_pens_picked_inside_encoded_lines() -> None:
    # ':' then 2 (C3) between two lines; each pair is (1, 1).
    reading = read_hpgl2(b"SP1;PE\xc1\xc1:\xc3\xc1\xc1;PU;SP0;")
    assert reading.selected == (1, 2)
    assert [stroke.tool for stroke in reading.strokes] == [1, 2]
    assert reading.is_up_at_end
    assert reading.tool_at_end == 0


@pytest.mark.parametrize(
    ("data", "complaint"),
    [
        (b"PA0,0;XY3;", "byte 6: unknown instruction XY"),
        (b"PD1,2,3;", "odd number"),
        (b"RO90;", "RO turns"),
        (b"SC0,1,0,1;", "SC without IP"),
        (b"IP0,0,9,0;SC0,9,0,1,1;", "same place"),
        (b"IW0,0,10,10;PD20,0;", "window"),
        (b"LBname\x03;PD;", "after a label"),
        (b"PA1,1e5;", "no HP-GL instruction"),
        (b"PE\xc1;", "unknown instruction PE"),
    ],
)
def test_what_cannot_be_replayed_is_refused(data: bytes, complaint: str) -> None:
    with pytest.raises(InputError, match=complaint):
        read_hpgl(data)


def test_a_label_is_forgiven_after_an_absolute_move() -> None:
    (stroke,) = read_hpgl(b"LBname\x03PU40,40;PD80,40;PU;").strokes
    np.testing.assert_allclose(stroke.chain.points, [[1, 1], [2, 1]])


@pytest.mark.parametrize(
    "data", [b"PE\xc1;", b"PE\x41;", b"PE<;", b"PE!!\xc1", b"PE>\xf9\xc1\xc1;"]
)
def test_broken_encoding_is_refused(data: bytes) -> None:
    with pytest.raises(InputError):
        read_hpgl2(data)
