import math

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.geometry.chain import cubic, line, make_chain, polyline
from cutpath.geometry.levels import parts_between, stations_at
from cutpath.geometry.measure import length, points_at_stations, signed_area
from cutpath.geometry.points import direction

UP = np.array([0.0, 1.0])
CIRCLE = make_chain([(10, 0), (-10, 0)], [1, 1], closed=True)


def test_a_circle_is_crossed_where_it_should_be() -> None:
    """At half the radius: 30° and 150° round (closed form)."""
    assert stations_at(CIRCLE, UP, 5.0) == pytest.approx(
        [10 * math.pi / 6, 10 * math.pi * 5 / 6], abs=1e-9
    )


def test_a_cubic_is_crossed_on_the_line() -> None:
    chain = cubic((0, 0), (0, 40), (30, -40), (30, 5))
    for station in stations_at(chain, UP, 3.0):
        assert points_at_stations(chain, np.array([station]))[0][0][1] == pytest.approx(3.0)


def test_a_closed_chain_is_not_cut_at_its_start() -> None:
    (part,) = parts_between(CIRCLE, np.array([1.0, 0.0]), 0.0, math.inf)
    assert not part.closed
    assert length(part) == pytest.approx(10 * math.pi)
    assert abs(part.first[0]) < 1e-9
    assert abs(part.last[0]) < 1e-9


def test_a_drill_mark_belongs_to_one_side() -> None:
    mark = line((3, 4), (3, 4))
    assert parts_between(mark, UP, 4.0, 9.0) == (mark,)
    assert parts_between(mark, UP, 0.0, 4.0) == ()


@settings(max_examples=50, deadline=None)
@given(st.lists(st.floats(20, 60), min_size=5, max_size=9), st.floats(-25, 25), st.floats(0, 6.28))
def test_the_parts_of_both_sides_make_the_whole(
    spokes: list[float], level: float, angle: float
) -> None:
    turns = np.linspace(0, 2 * math.pi, len(spokes), endpoint=False)
    points = np.array(spokes)[:, None] * np.stack([np.cos(turns), np.sin(turns)], axis=1)
    star = polyline(points, closed=True)
    assert signed_area(star) > 0
    across = direction(angle)
    low = parts_between(star, across, -math.inf, level)
    high = parts_between(star, across, level, math.inf)
    assert sum(map(length, (*low, *high))) == pytest.approx(length(star), abs=1e-6)
    for part in low:
        assert (part.points @ across <= level + 1e-6).all()
    for part in high:
        assert (part.points @ across >= level - 1e-6).all()
