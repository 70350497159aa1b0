"""The test of a lay finds every fault that is put into a good one, and none in a good one."""

import math
from dataclasses import replace

import pytest

from cutpath.geometry.chain import reversed_chain
from cutpath.geometry.transform import scaling
from cutpath.laid import Lay, Place, Stock
from cutpath.lay.checking import faults_of
from cutpath.lay.placing import laid_pieces
from cutpath.model import Piece
from cutpath.moving import moved_piece
from tests.lay.laying import ROLL, TURNS, levelled, moved, rectangle, triangle

PIECES = [rectangle("a", 300, 200, grain=0.0), rectangle("b", 300, 200), triangle("c", 200, 100)]
GOOD = Lay(
    "acrylic",
    4.0,
    (replace(ROLL, flaws=((800.0, 0.0, 50.0, 50.0),)),),
    (
        Place("a", 0, 0.0, 0.0, 0.0),
        Place("b", 0, math.pi, 304.0, 0.0),
        Place("c", 0, 0.0, 0.0, 900.0),
    ),
)
TWICE = Place("c", 0, 0.0, 0.0, 500.0)


def faults(lay: Lay, pieces: list[Piece] = PIECES, repeat: float | None = None) -> list[str]:
    placed = laid_pieces(lay, {piece.name: piece for piece in pieces})
    return [fault.words for fault in faults_of(lay, placed, pieces, TURNS, repeat)]


def test_a_good_lay_has_no_faults() -> None:
    assert faults(GOOD) == []


@pytest.mark.parametrize(
    ("lay", "told"),
    [
        (moved(GOOD, "b", dx=-0.01), "'a' and 'b' are 3.99 mm apart"),
        (moved(GOOD, "b", dx=-4.0), "overlap or touch"),
        (moved(GOOD, "b", dx=-100.0), "overlap or touch"),
        (moved(GOOD, "c", dy=0.08), "0.08 mm off 'new roll'"),
        (moved(GOOD, "a", dx=-0.08), "0.08 mm off 'new roll'"),
        (moved(GOOD, "c", dx=790.0, dy=-890.0), "'c' lies over flaw 1"),
        (moved(GOOD, "a", turn=math.radians(0.2)), "'a' lies 0.2° from the warp"),
        (moved(GOOD, "c", turn=math.pi / 2), "'c' lies 90° from the warp"),
        (replace(GOOD, places=GOOD.places[:2]), "'c' is not laid"),
        (replace(GOOD, places=(*GOOD.places, TWICE)), "'c' is laid 2 times"),
    ],
)
def test_each_fault_is_found(lay: Lay, told: str) -> None:
    assert any(told in words for words in faults(lay)), faults(lay)


def test_a_flaw_that_a_piece_surrounds_counts() -> None:
    stock = replace(ROLL, flaws=((100.0, 50.0, 5.0, 5.0),))
    assert any("flaw" in words for words in faults(replace(GOOD, stocks=(stock,))))


def test_a_piece_off_the_end_of_a_remnant_is_found() -> None:
    lay = replace(GOOD, stocks=(replace(ROLL, length=604.0), ROLL))
    assert faults(lay) == []
    lay = replace(GOOD, stocks=(replace(ROLL, length=603.9), ROLL))
    assert any("'b' lies 0.10 mm off" in words for words in faults(lay))


def test_a_piece_that_was_mirrored_on_the_way_is_found() -> None:
    placed = list(laid_pieces(GOOD, {piece.name: piece for piece in PIECES}))
    turned = moved_piece(placed[2], scaling(-1.0, 1.0))
    placed[2] = replace(turned, cut=reversed_chain(turned.cut), mirrored=True)
    words = [fault.words for fault in faults_of(GOOD, placed, PIECES, TURNS)]
    assert any("stretched or mirrored" in each for each in words)


def test_pieces_that_are_not_level_are_found() -> None:
    pieces = [levelled("a", 300, 200, 100.0), levelled("b", 300, 200, 50.0)]
    places = (Place("a", 0, 0.0, 0.0, 0.0), Place("b", 0, 0.0, 50.0, 300.0))
    lay = Lay("acrylic", 4.0, (ROLL,), places)
    assert faults(lay, pieces) == []
    off = moved(lay, "b", dx=400.1)
    assert any("not level" in words for words in faults(off, pieces))
    assert faults(off, pieces, repeat=400.1) == []
    assert any("not level" in words for words in faults(off, pieces, repeat=400.0))
    two = replace(lay, stocks=(ROLL, ROLL), places=(places[0], replace(places[1], stock=1)))
    assert any("another length" in words for words in faults(two, pieces))


def test_pieces_on_different_stocks_do_not_touch() -> None:
    remnant = Stock("remnant 1", 1000.0, 1000.0, 0.0, 1000.0)
    places = (Place("a", 0, 0.0, 0.0, 0.0), Place("b", 1, 0.0, 0.0, 0.0), GOOD.places[2])
    assert faults(Lay("acrylic", 4.0, (remnant, ROLL), places)) == []


def test_without_a_gap_pieces_may_touch_but_not_overlap() -> None:
    pieces = [rectangle("a", 300, 200), rectangle("b", 300, 200)]
    places = (Place("a", 0, 0.0, 0.0, 0.0), Place("b", 0, 0.0, 300.0, 0.0))
    lay = Lay("acrylic", 0.0, (ROLL,), places)
    assert faults(lay, pieces) == []
    assert any("overlap" in words for words in faults(moved(lay, "b", dx=-0.001), pieces))
