import math

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.geometry.chain import (
    Chain,
    arc,
    circle,
    closed_up,
    cubic,
    joined,
    line,
    make_chain,
    opened,
    polyline,
    reversed_chain,
    segments,
    split_wide_arcs,
    started_at,
    without_short_segments,
)
from cutpath.geometry.flatten import arc_geometry, flatten, points_at
from cutpath.geometry.measure import bounds, length, signed_area
from cutpath.geometry.nearest import nearest
from tests.geometry.strategies import chains


def test_arrays_are_locked_and_checked() -> None:
    chain = polyline([(0, 0), (1, 0), (1, 1)])
    with pytest.raises(ValueError, match="read-only"):
        chain.points[0, 0] = 5
    with pytest.raises(ValueError, match="finite"):
        polyline([(0, 0), (math.nan, 1)])
    with pytest.raises(ValueError, match="at least one segment"):
        polyline([(0, 0)])
    with pytest.raises(ValueError, match="a line, an arc or a cubic"):
        make_chain([(0, 0), (1, 0)], [0.5], [[[0, 1], [1, 1]]])


def test_a_circle_is_two_half_arcs() -> None:
    rim = circle((3, 4), 5)
    assert len(rim) == 2
    assert length(rim) == pytest.approx(10 * math.pi, rel=1e-14)
    assert signed_area(rim) == pytest.approx(25 * math.pi, rel=1e-14)
    assert bounds(rim) == pytest.approx((-2, -1, 8, 9))


@given(st.floats(0.1, 5000), st.floats(-7, 7), st.floats(0.001, 2 * math.pi), st.booleans())
def test_an_arc_has_the_length_and_ends_asked_for(
    radius: float, start: float, sweep: float, backwards: bool
) -> None:
    turn = -sweep if backwards else sweep
    bow = arc((10, -20), radius, start, turn)
    assert length(bow) == pytest.approx(radius * sweep, rel=1e-9)
    end = np.array([10, -20]) + radius * np.array([math.cos(start + turn), math.sin(start + turn)])
    assert bow.last == pytest.approx(end, abs=1e-9 * radius)
    assert (np.abs(bow.bulges) <= 1 + 1e-12).all()


def test_a_wide_arc_is_halved_on_its_own_circle() -> None:
    wide = split_wide_arcs(make_chain([(0, 0), (10, 0)], [math.tan(math.radians(270) / 4)]))
    centers, radii, _, sweeps = arc_geometry(wide)
    assert len(wide) == 2
    assert centers[0] == pytest.approx(centers[1])
    assert radii == pytest.approx([5 * math.sqrt(2)] * 2)
    assert np.degrees(sweeps) == pytest.approx([135, 135])


@given(chains())
def test_reversing_twice_changes_nothing(chain: Chain) -> None:
    back = reversed_chain(reversed_chain(chain))
    assert np.array_equal(back.points, chain.points)
    assert np.array_equal(back.bulges, chain.bulges)
    assert np.array_equal(back.handles, chain.handles, equal_nan=True)


@given(chains(closed=True))
def test_reversing_turns_the_area_over(chain: Chain) -> None:
    area = signed_area(chain)
    assert signed_area(reversed_chain(chain)) == pytest.approx(-area, abs=1e-6 * (1 + abs(area)))


@given(chains(closed=True), st.integers(0, 7))
def test_starting_elsewhere_keeps_the_curve(chain: Chain, joint: int) -> None:
    turned = started_at(chain, joint % len(chain))
    assert length(turned) == pytest.approx(length(chain))
    assert np.array_equal(turned.first, chain.points[joint % len(chain)])


@given(chains())
def test_cutting_into_segments_and_joining_gives_the_chain_back(chain: Chain) -> None:
    whole = joined(list(segments(chain)), closed=chain.closed)
    assert np.array_equal(whole.points, chain.points)
    assert np.array_equal(whole.bulges, chain.bulges)
    if chain.closed:
        again = closed_up(opened(chain))
        assert np.array_equal(again.points, chain.points)


def test_short_segments_go_but_loops_stay() -> None:
    chain = joined([line((0, 0), (5, 0)), line((5, 0), (5, 1e-9)), line((5, 1e-9), (5, 4))])
    kept = without_short_segments(chain, 1e-6)
    assert kept is not None
    assert len(kept) == 2
    loop = cubic((0, 0), (10, 10), (-10, 10), (0, 0))
    assert without_short_segments(loop, 1e-6) is not None


@given(chains(), st.sampled_from([0.5, 0.01]))
def test_flattening_stays_within_its_tolerance(chain: Chain, tolerance: float) -> None:
    flat = flatten(chain, tolerance)
    on = points_at(chain, flat.owner, flat.parameter)
    assert flat.points == pytest.approx(on, abs=1e-6)
    # Middles of the pieces, on the curve, against the chords.
    run = polyline(flat.points, closed=chain.closed)
    after = np.append(flat.parameter[1:], 1.0)
    after = np.where(after <= flat.parameter, 1.0, after)
    middles = points_at(chain, flat.owner, (flat.parameter + after) / 2)[:60]
    assert (nearest(run, middles).distance <= tolerance * (1 + 1e-6)).all()
