import numpy as np
import pytest
import shapely
from hypothesis import given, strategies as st

from cutpath.geometry.chain import Chain, circle, line, polyline
from cutpath.geometry.nearness import largest_distance, straight_pieces

CERTAINTY = 0.001


def largest(sources: list[Chain], targets: list[Chain]) -> float:
    pieces = straight_pieces(sources, 0.0002), straight_pieces(targets, 0.0002)
    return largest_distance(*pieces, CERTAINTY).distance


def test_the_worst_place_may_lie_between_points() -> None:
    # Half-way between two short targets, 0 apart at both ends: √(5² + 0²) at the middle of the gap.
    targets = [line([0, 0], [10, 0]), line([20, 0], [30, 0])]
    assert largest([line([0, 0], [30, 0])], targets) == pytest.approx(5, abs=CERTAINTY)


def test_one_way_is_not_the_other() -> None:
    short, long = [line([0, 0], [10, 0])], [line([0, 0], [30, 0])]
    assert largest(short, long) == 0
    assert largest(long, short) == pytest.approx(20)


def test_circles_about_one_centre() -> None:
    assert largest([circle([0, 0], 50)], [circle([0, 0], 50.3)]) == pytest.approx(0.3, abs=0.002)


def test_a_point_counts_as_a_curve() -> None:
    assert largest([line([3, 4], [3, 4])], [line([0, 0], [0, 0])]) == pytest.approx(5)


def test_nothing_to_be_near_to_is_infinitely_far() -> None:
    assert largest([line([0, 0], [1, 0])], []) == np.inf
    assert largest([], []) == 0


POINTS = st.lists(
    st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=2, max_size=12, unique=True
)


@given(POINTS, POINTS)
def test_agrees_with_dense_sampling(
    first: list[tuple[int, int]], second: list[tuple[int, int]]
) -> None:
    found = largest([polyline(first)], [polyline(second)])
    run, target = shapely.LineString(first), shapely.LineString(second)
    samples = shapely.line_interpolate_point(
        run, np.linspace(0, run.length, int(run.length / 0.05) + 2)
    )
    dense = float(shapely.distance(samples, target).max())
    assert dense - CERTAINTY - 1e-9 <= found <= dense + 0.026
