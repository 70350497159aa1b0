"""The quick layer: exact where the answer is known, and sound for any pieces."""

import itertools
import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings, strategies as st

from cutpath.geometry.chain import make_chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import bounds
from cutpath.laid import Stock
from cutpath.lay.checking import faults_of
from cutpath.lay.filling import NoFits, fill
from cutpath.lay.placing import laid_pieces
from cutpath.lay.shapes import shapes_of
from cutpath.model import Piece
from tests.lay.laying import ROLL, TURNS, laid, levelled, places_of, rectangle, triangle
from tests.path.placed import piece


def reach(pieces: list[Piece], **how: object) -> float:
    lay = laid(pieces, **how)  # type: ignore[arg-type]
    placed = laid_pieces(lay, {each.name: each for each in pieces})
    return max(bounds(each.cut)[2] for each in placed)


def test_a_piece_as_wide_as_the_cloth_fits() -> None:
    place = places_of(laid([rectangle("a", 300, 1000)]))["a"]
    assert (place.x, place.y) == (0.0, 0.0)


@pytest.mark.parametrize("gap", [0.0, 4.0, 10.0])
def test_rectangles_that_tile_are_laid_as_a_tile(gap: float) -> None:
    """Ten of a fifth of the width, less four gaps: two columns, whatever the order."""
    width = (1000.0 - 4 * gap) / 5
    pieces = [rectangle(f"p{number}", 300, width) for number in range(10)]
    assert reach(pieces, gap=gap) == pytest.approx(600 + gap, abs=0.1)


def test_two_triangles_make_a_rectangle() -> None:
    """Turned by 180° the second lies against the first: the gap lies square to the slope."""
    pieces = [triangle("a", 400, 999.9), triangle("b", 400, 999.9)]
    slope = math.hypot(400, 999.9)
    assert reach(pieces, gap=4.0) == pytest.approx(400 + 4.0 * slope / 999.9, abs=0.1)
    assert reach(pieces, gap=4.0, turns=(0.0,)) > 700


def test_a_piece_lies_in_the_bay_of_another() -> None:
    """A U that opens along the roll takes a bar that fits its bay."""
    u = make_chain(
        [(0, 0), (600, 0), (600, 300), (100, 300), (100, 700), (600, 700), (600, 1000), (0, 1000)],
        closed=True,
    )
    assert reach([piece("u", u), rectangle("bar", 480, 380)]) == pytest.approx(600, abs=0.01)


def test_a_pocket_with_a_narrow_mouth_is_used() -> None:
    """The bar cannot slide in, yet it fits: cloth is cut lying still."""
    c = make_chain(
        [(0, 0), (600, 0), (600, 450), (500, 450), (500, 200), (100, 200), (100, 800), (500, 800),
         (500, 550), (600, 550), (600, 1000), (0, 1000)],
        closed=True,
    )  # fmt: skip
    assert reach([piece("c", c), rectangle("bar", 380, 580)]) == pytest.approx(600, abs=0.01)


def test_the_warp_lies_along_the_roll() -> None:
    """A strip drawn upright with its grain upright is laid along."""
    strip = rectangle("strip", 100, 900, grain=math.pi / 2)
    lay = laid([strip], turns=(0.0,))
    (placed,) = laid_pieces(lay, {"strip": strip})
    low_x, low_y, high_x, high_y = bounds(placed.cut)
    assert (high_x - low_x, high_y - low_y) == pytest.approx((900, 100))
    assert placed.grain == pytest.approx(0.0)


def test_a_traced_grain_line_a_hair_off_turns_nothing() -> None:
    strip = rectangle("strip", 900, 100, grain=math.radians(0.05))
    (placed,) = laid_pieces(laid([strip], turns=(0.0,)), {"strip": strip})
    assert bounds(placed.cut)[3] == pytest.approx(100, abs=1e-9)
    skew = rectangle("strip", 900, 100, grain=math.radians(0.5))
    (placed,) = laid_pieces(laid([skew], turns=(0.0,)), {"strip": skew})
    assert bounds(placed.cut)[3] > 105


def test_remnants_are_used_before_cloth_is_bought() -> None:
    remnant = Stock("remnant 1", 500.0, 1000.0, 0.0, 1000.0)
    pieces = [rectangle("small", 450, 600), rectangle("large", 700, 900)]
    places = places_of(laid(pieces, (remnant, ROLL)))
    assert (places["small"].stock, places["large"].stock) == (0, 1)


def test_what_no_remnant_takes_alone_is_not_forced_on_one() -> None:
    remnant = Stock("remnant 1", 500.0, 1000.0, 0.0, 1000.0, flaws=((200.0, 450.0, 100.0, 100.0),))
    places = places_of(laid([rectangle("a", 450, 600)], (remnant, ROLL)))
    assert places["a"].stock == 1


def test_level_marks_lie_level() -> None:
    pieces = [
        levelled("a", 300, 400, 100.0),
        rectangle("b", 500, 300),
        levelled("c", 350, 400, 20.0),
    ]
    lay = laid(pieces)
    by_name = {each.name: each for each in pieces}
    placed = {each.name: each for each in laid_pieces(lay, by_name)}
    first, second = placed["a"].level, placed["c"].level
    assert first is not None
    assert second is not None
    assert first[0] == pytest.approx(second[0], abs=0.002)


def test_the_same_pieces_are_laid_the_same() -> None:
    pieces = [triangle("a", 400, 300), rectangle("b", 500, 300), triangle("c", 350, 400)]
    one, other = laid(pieces), laid(pieces)
    assert one.places == other.places


@st.composite
def some_pieces(draw: st.DrawFn) -> list[Piece]:
    """Two to six pieces with arcs and bays, none wider than the cloth."""
    out = []
    for number in range(draw(st.integers(2, 6))):
        length = draw(st.floats(50, 900))
        width = draw(st.floats(50, 950))
        bay = draw(st.floats(0.0, 0.8))
        bulge = draw(st.floats(-0.3, 0.3))
        corners = [
            (0, 0),
            (length, 0),
            (length, width),
            (length / 2, width * (1 - bay)),
            (0, width),
        ]
        chain = make_chain(corners, [0, bulge / 4, 0, 0, 0], closed=True)
        grain = draw(st.sampled_from([None, 0.0, math.pi]))
        out.append(replace(piece(f"p{number}", chain), grain=grain))
    return out


@settings(max_examples=25, deadline=None)
@given(some_pieces(), st.floats(0.0, 20.0))
def test_any_pieces_are_laid_apart_and_inside(pieces: list[Piece], gap: float) -> None:
    """Judged by the lay's own test, and once more by shapely alone on the flattened lines."""
    roll = replace(ROLL, width=1100.0, high=1100.0)
    lay = laid(pieces, (roll,), gap=gap, placements=20)
    placed = laid_pieces(lay, {each.name: each for each in pieces})
    assert faults_of(lay, placed, pieces, TURNS) == ()
    for one, other in itertools.combinations(placed, 2):
        a, b = (shapely.Polygon(flatten(each.cut, 0.001).points) for each in (one, other))
        assert a.distance(b) >= gap - 0.002
        assert a.intersection(b).area == 0


@settings(max_examples=25, deadline=None)
@given(some_pieces(), st.data())
def test_orders_that_begin_alike_need_not_be_laid_anew(
    pieces: list[Piece], data: st.DataObject
) -> None:
    shapes = shapes_of(pieces, TURNS, 4.0)
    one = data.draw(st.permutations(range(len(pieces))))
    same = data.draw(st.integers(0, len(pieces)))
    other = [*one[:same], *data.draw(st.permutations(one[same:]))]
    no_fits = NoFits()
    roll = (replace(ROLL, width=1100.0, high=1100.0),)
    begun = fill(shapes, one, roll, no_fits)
    anew = fill(shapes, other, roll, no_fits)
    taken_over = fill(shapes, other, roll, no_fits, known=begun.spots[:same])
    assert taken_over.places == anew.places
    assert taken_over.ends == anew.ends
