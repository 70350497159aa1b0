"""Snips, vees and marks for both faces."""

import math

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.errors import Source
from cutpath.geometry.chain import arc, closed_up, joined, line
from cutpath.geometry.measure import length, points_at_stations
from cutpath.geometry.nearest import nearest
from cutpath.geometry.offset import parallel
from cutpath.model import Allowance, Corner, Edge, Mark
from cutpath.path.allowance import add_allowance
from cutpath.path.snipping import depth, marks_for_both_faces, snips, spacing

PLAIN = Allowance("plain", 13.0, 0.0, Corner.MITRE)


def test_spacing_and_depth_by_the_trades_figures() -> None:
    # ε 0.5: r 25 → 10.0, r 50 → 14.1, r 100 → 20.0, r 300 → 34.6; a 13 → 9.75 deep (sagitta).
    for radius, wanted in ((25, 10.0), (50, 14.1), (100, 20.0), (300, 34.6)):
        assert spacing(radius) == pytest.approx(wanted, abs=0.05)
    assert depth(13) == 9.75
    assert depth(8) == 5.0


def curved(radius: float, *, inward: bool) -> tuple[Edge, ...]:
    """Give a panel 900 wide whose bottom is an arc of this radius and 60°."""
    angle = math.pi / 3
    if inward:
        bow = arc((0, -radius), radius, math.pi / 2 + angle / 2, -angle)
    else:
        bow = arc((0, radius), radius, -math.pi / 2 - angle / 2, angle)
    top = 700.0
    chains = [
        bow,
        line(bow.last, (bow.last[0], top)),
        line((bow.last[0], top), (bow.first[0], top)),
        line((bow.first[0], top), bow.first),
    ]
    return tuple(Edge(name, chain) for name, chain in zip("abcd", chains, strict=True))


@settings(deadline=None, max_examples=20)
@given(st.floats(60, 500))
def test_inward_bends_are_snipped_and_no_snip_comes_near_the_stitch_line(radius: float) -> None:
    edges = curved(radius, inward=True)
    cut = add_allowance(edges, (PLAIN,) * 4, (None,) * 4, 2.5)[0].cut
    found = snips(cut, edges, (PLAIN,) * 4, (), vees=False)
    bow = edges[0].chain
    assert abs(len(found) - length(bow) / spacing(radius)) <= 2
    for stroke in found:
        assert nearest(cut, stroke.points[:1]).distance[0] < 1e-3
        assert nearest(bow, stroke.points[1:]).distance[0] == pytest.approx(13 - 9.75, abs=0.05)


def test_outward_bends_get_vees_only_when_asked() -> None:
    edges = curved(100, inward=False)
    cut = add_allowance(edges, (PLAIN,) * 4, (None,) * 4, 2.5)[0].cut
    assert snips(cut, edges, (PLAIN,) * 4, (), vees=False) == ()
    found = snips(cut, edges, (PLAIN,) * 4, (), vees=True)
    assert found
    # a 13, r 100, s 20: the mouth is 2 a s / r = 5.2 on the stitch line's measure.
    mouth = float(np.hypot(*(found[0].points[0] - found[0].points[2])))
    assert mouth == pytest.approx(5.2 * 113 / 100, abs=0.1)


def test_gentle_bends_hems_and_places_near_marks_are_left_alone() -> None:
    gentle = curved(1000, inward=True)
    cut = add_allowance(gentle, (PLAIN,) * 4, (None,) * 4, 2.5)[0].cut
    assert snips(cut, gentle, (PLAIN,) * 4, (), vees=True) == ()
    edges = curved(100, inward=True)
    hem = Allowance("hem", 26.0, 13.0, Corner.SQUARE)
    cut = add_allowance(edges, (hem, PLAIN, PLAIN, PLAIN), (None,) * 4, 2.5)[0].cut
    assert snips(cut, edges, (hem, PLAIN, PLAIN, PLAIN), (), vees=False) == ()
    cut = add_allowance(edges, (PLAIN,) * 4, (None,) * 4, 2.5)[0].cut
    mark = Mark("m", "a", 50.0, Source())
    for stroke in snips(cut, edges, (PLAIN,) * 4, (mark,), vees=False):
        station = nearest(edges[0].chain, stroke.points[1:]).station[0]
        assert abs(station - 50.0) > 4.5


def test_marks_for_the_back_lie_in_the_middle_of_the_allowance() -> None:
    edges = curved(300, inward=False)
    marks = (Mark("m", "a", 80.0, Source()), Mark("n", "c", 100.0, Source()))
    bound = Allowance("bound", 0.0, 0.0, Corner.MITRE)
    (spot,) = marks_for_both_faces(edges, (PLAIN, PLAIN, bound, PLAIN), marks)
    middle = parallel(edges[0].chain, 6.5)
    assert nearest(middle, spot[None]).distance[0] < 1e-6
    at, _ = points_at_stations(edges[0].chain, np.array([80.0]))
    assert np.hypot(*(spot - at[0])) == pytest.approx(6.5)
    assert closed_up(joined([edge.chain for edge in edges])).closed
