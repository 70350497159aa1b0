"""Remnants and use, where they can be worked out by hand."""

import pytest
import shapely
from hypothesis import given, settings, strategies as st

from cutpath.geometry.remnants import largest_rectangles
from cutpath.laid import Lay, Place, Stock
from cutpath.lay.measures import measured
from cutpath.lay.placing import laid_pieces
from tests.lay.laying import ROLL, rectangle
from tests.path.placed import box


def test_use_is_area_over_the_cloth_that_is_used() -> None:
    pieces = [rectangle("a", 500, 400), rectangle("b", 800, 500)]
    remnant = Stock("remnant 1", 2000.0, 1000.0, 0.0, 1000.0)
    lay = Lay(
        "acrylic",
        4.0,
        (remnant, ROLL),
        (Place("a", 0, 0.0, 0.0, 0.0), Place("b", 1, 0.0, 0.0, 0.0)),
    )
    found = measured(lay, laid_pieces(lay, {piece.name: piece for piece in pieces}))
    assert found.to_buy == pytest.approx(800)
    assert [stock.use for stock in found.stocks] == pytest.approx([0.4, 0.5])
    assert found.use == pytest.approx((200_000 + 400_000) / (1000 * (500 + 800)))
    x, y, length, width = found.stocks[0].remnants[0]
    assert (x, y) == pytest.approx((500, 0), abs=20)
    assert (length, width) == pytest.approx((1500, 1000), abs=20)


def test_a_flaw_is_no_remnant() -> None:
    found = largest_rectangles((0, 0, 1000, 400), [], [(450, 0, 100, 400)], 100.0, 3)
    assert sorted(round(x) for x, _, _, _ in found) == pytest.approx([0, 550], abs=7)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0, 900), st.floats(0, 900), st.floats(20, 400), st.floats(20, 400)),
        max_size=6,
    )
)
def test_rectangles_are_free_and_the_first_is_nearly_the_largest(
    boxes: list[tuple[float, float, float, float]],
) -> None:
    """Against all rectangles between the sides of boxes: the largest is among those."""
    outlines = [box(*each) for each in boxes]
    found = largest_rectangles((0, 0, 1000, 1000), outlines, [], 100.0, 3)
    shapes = [shapely.box(x, y, x + dx, y + dy) for x, y, dx, dy in found]
    taken = shapely.union_all([shapely.Polygon(loop.points) for loop in outlines])
    assert all(shape.intersection(taken).area < 1e-6 for shape in shapes)
    for i, shape in enumerate(shapes):
        assert all(shape.intersection(other).area < 1e-6 for other in shapes[:i])
    xs = sorted({0.0, 1000.0, *(x for b in boxes for x in (b[0], b[0] + b[2]) if x < 1000)})
    ys = sorted({0.0, 1000.0, *(y for b in boxes for y in (b[1], b[1] + b[3]) if y < 1000)})
    cell = 2 * 1000 / 160
    best = 0.0
    for i, left in enumerate(xs):
        for right in xs[i + 1 :]:
            for j, low in enumerate(ys):
                for high in ys[j + 1 :]:
                    inside = (right - left - 2 * cell) * (high - low - 2 * cell)
                    wide = min(right - left, high - low) > 100 + 2 * cell
                    free = taken.intersection(shapely.box(left, low, right, high)).area < 1e-6
                    best = max(best, inside if wide and free else 0.0)
    size = max((length * width for _, _, length, width in found), default=0.0)
    assert size >= best - 1e-6
