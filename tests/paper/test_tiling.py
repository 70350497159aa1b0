"""How patterns are spread over sheets."""

import numpy as np
from hypothesis import given, settings, strategies as st

from cutpath.geometry.chain import polyline
from cutpath.geometry.measure import bounds
from cutpath.paper.page import Drawing, Line, Stroke
from cutpath.paper.template import Template
from cutpath.paper.tiling import Spread, spread_out

ROOM, STEP = (190.0, 277.0), (178.0, 265.0)


def pattern(width: float, height: float, name: str = "p") -> Template:
    outline = polyline([(0, 0), (width, 0), (width, height), (0, height)], closed=True)
    return Template(name, outline, Drawing((Stroke(Line.CUT, outline),)), ())


def sheets(spreads: list[Spread]) -> int:
    return sum(len(spread.tiles) for spread in spreads)


def test_strips_stand_side_by_side() -> None:
    strips = [pattern(600, 40, "one"), pattern(45, 640, "two"), pattern(500, 50, "three")]
    assert sheets(spread_out(strips, ROOM, STEP)) == 3
    assert sheets(spread_out(strips, ROOM, STEP, apart=True)) > 6


def test_small_patterns_share_a_sheet() -> None:
    small = [pattern(80, 60, f"p{k}") for k in range(8)]
    assert sheets(spread_out(small, ROOM, STEP)) == 1
    assert sheets(spread_out(small, ROOM, STEP, apart=True)) == 8


def test_sheets_without_content_are_left_out() -> None:
    # A thin L: the sheets in its crook hold nothing.
    corners = [(0, 0), (900, 0), (900, 60), (60, 60), (60, 900), (0, 900)]
    outline = polyline(corners, closed=True)
    spread = spread_out([Template("L", outline, Drawing(), ())], ROOM, STEP)[0]
    whole = len({t.column for t in spread.tiles}) * len({t.row for t in spread.tiles})
    assert len(spread.tiles) <= 9
    assert len(spread.tiles) < whole


@settings(deadline=None, max_examples=40)
@given(st.floats(20, 1500), st.floats(20, 1500))
def test_every_place_of_a_pattern_is_on_some_sheet(width: float, height: float) -> None:
    for spread in spread_out([pattern(width, height)], ROOM, STEP):
        x0, y0, x1, y1 = bounds(spread.templates[0].outline)
        xs, ys = np.meshgrid(np.linspace(x0, x1, 40), np.linspace(y0, y1, 40))
        seen = np.zeros(xs.shape, dtype=bool)
        for tile in spread.tiles:
            inside_x = (xs >= tile.x + 0.5) & (xs <= tile.x + ROOM[0] - 0.5)
            inside_y = (ys >= tile.y + 0.5) & (ys <= tile.y + ROOM[1] - 0.5)
            seen |= inside_x & inside_y
        assert seen.all()


def test_a_pattern_that_fits_turned_is_turned() -> None:
    assert sheets(spread_out([pattern(270, 180)], ROOM, STEP)) == 1
