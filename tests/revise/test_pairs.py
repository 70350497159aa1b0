"""Left against right."""

import math
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.errors import InputError
from cutpath.geometry.chain import arc, circle, line, polyline, reversed_chain
from cutpath.geometry.measure import length
from cutpath.geometry.nearest import nearest
from cutpath.geometry.transform import compose, rotation, scaling, transformed, translation
from cutpath.model import Drill, Edge, Inner, InnerLoop, Mark, Panel
from cutpath.revise.laying import laid_over, parting, turned_edges
from cutpath.revise.pairs import pair_up
from cutpath.revision import PairUse
from cutpath.settings.job import Job
from cutpath.settings.job_file import JobFile
from tests.walk.gores import panel_of, straight_panel, with_marks


def port() -> Panel:
    """Give a lopsided panel with one bowed edge, marks, a window and a drill mark."""
    side = arc((450, -1100), 1300, math.radians(70), math.radians(42))
    chains = {
        "bottom": polyline([(0, 0), (1000, 0)]),
        "fore": line((1000, 0), side.first),
        "top": side,
        "aft": line(side.last, (0, 0)),
    }
    panel = panel_of(
        "port", chains, {"bottom": [("a", 200.0), ("b", 640.0)], "top": [("c", 333.0)]}
    )
    window = reversed_chain(circle((400, 40), 20))
    return replace(
        panel,
        inner=(InnerLoop("inner-1", window, Inner.CUT),),
        drills=(Drill("d1", np.array([300.0, 30.0])),),
        grain=0.0,
    )


def mirror_image(panel: Panel, name: str, turn: float = 0.7) -> Panel:
    motion = compose(translation(3000, 500), rotation(turn), scaling(-1, 1))
    edges = tuple(
        Edge(edge.name, reversed_chain(transformed(edge.chain, motion)))
        for edge in reversed(panel.edges)
    )
    sizes = {edge.name: length(edge.chain) for edge in panel.edges}
    marks = tuple(
        Mark(mark.name.upper(), mark.edge, sizes[mark.edge] - mark.station, mark.source)
        for mark in panel.marks
    )
    return replace(
        panel,
        name=name,
        edges=edges,
        marks=marks,
        inner=tuple(
            replace(loop, chain=reversed_chain(transformed(loop.chain, motion)))
            for loop in panel.inner
        ),
        drills=tuple(
            Drill(drill.name, motion[:, :2] @ drill.xy + motion[:, 2]) for drill in panel.drills
        ),
        grain=None,
    )


def bumped(panel: Panel, edge: str, share: float, by: float) -> Panel:
    """Push a place of one straight edge outward by ``by`` mm."""
    edges = []
    for each in panel.edges:
        if each.name == edge:
            start, end = each.chain.first, each.chain.last
            run = (end - start) / np.hypot(*(end - start))
            top = start + share * (end - start) + by * np.array([run[1], -run[0]])
            edges.append(Edge(edge, polyline([start, top, end])))
        else:
            edges.append(each)
    return replace(panel, edges=tuple(edges))


def job(**panels: Mapping[str, object]) -> Job:
    return Job(JobFile.model_validate({"panels": panels}), Path("x.dxf"))


@settings(deadline=None, max_examples=30)
@given(st.floats(0.2, 0.8), st.floats(2.0, 12.0), st.floats(-3.0, 3.0))
def test_a_planted_difference_is_found_where_it_is(share: float, by: float, turn: float) -> None:
    one = port()
    other = mirror_image(bumped(one, "bottom", share, by), "starboard", turn)
    (told,) = pair_up([one, other], job(starboard={"pair_with": "port"}))[1]
    # The best motion takes up a part of it.
    assert 0.5 * by < told.largest <= by + 0.01
    assert str(told.edge) == "starboard/bottom"
    assert told.at == pytest.approx((1 - share) * 1000, abs=60)
    assert told.is_said


def test_true_mirror_images_part_by_nothing_and_are_told_unasked() -> None:
    one = port()
    (told,) = pair_up([one, mirror_image(one, "starboard")], job())[1]
    assert (told.first, told.second, told.is_said) == ("port", "starboard", False)
    assert told.largest < 1e-6
    assert abs(told.mark_difference) < 1e-6


def test_copies_and_panels_alike_both_ways_are_no_pairs() -> None:
    copy = replace(port(), name="again")
    assert pair_up([port(), copy], job())[1] == ()
    square = straight_panel("one", [(0, 0), (900, 0), (900, 400), (0, 400)])
    assert pair_up([square, replace(square, name="two")], job())[1] == ()


def difference_of(one: Panel, other: Panel) -> float:
    laid = laid_over(one, other)
    return parting([edge.chain for edge in one.edges], turned_edges(other, laid)).distance


def test_the_mean_makes_both_alike_half_way_between() -> None:
    one = port()
    other = mirror_image(bumped(one, "bottom", 0.5, 8.0), "starboard")
    wanted = {"pair_with": "port", "pair": "mean"}
    (left, right), (told,) = pair_up([one, other], job(starboard=wanted))
    assert told.use is PairUse.MEAN
    assert difference_of(one, other) > 4
    assert difference_of(left, right) < 1e-3
    for panel, before in ((left, one), (right, other)):
        moved = max(
            float(nearest(old.chain, new.chain.points).distance.max())
            for new, old in zip(panel.edges, before.edges, strict=True)
        )
        assert 1.0 < moved < 4.1
        assert [edge.name for edge in panel.edges] == [edge.name for edge in before.edges]
        assert [mark.name for mark in panel.marks]
    assert {mark.name for mark in right.marks} == {"A", "B", "C"}
    assert right.grain is None


def test_a_mark_goes_half_way_between_both_places() -> None:
    one = port()
    other = mirror_image(with_marks(one, "bottom", [("a", 206.0), ("b", 640.0)]), "starboard")
    wanted = {"pair_with": "port", "pair": "mean"}
    (left, right), (told,) = pair_up([one, other], job(starboard=wanted))
    assert abs(told.mark_difference) == pytest.approx(6.0, abs=0.2)
    assert told.mark == "a/A"
    at = {mark.name: mark.station for mark in (*left.marks, *right.marks)}
    assert at["a"] == pytest.approx(203.0, abs=0.2)
    assert at["A"] == pytest.approx(1000 - 203.0, abs=0.2)


def test_mirroring_gives_the_exact_image_with_the_others_names() -> None:
    one = port()
    other = with_marks(mirror_image(bumped(one, "fore", 0.5, 8.0), "starboard"), "fore", [("z", 9)])
    (left, right), _ = pair_up([one, other], job(starboard={"pair_with": "port", "pair": "mirror"}))
    assert left is one
    assert difference_of(one, right) < 1e-6
    assert [edge.name for edge in right.edges] == ["aft", "top", "fore", "bottom"]
    assert {mark.name for mark in right.marks} == {"A", "B", "C"}
    assert len(right.inner) == len(right.drills) == 1


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ({"pair_with": "prot"}, "there is no panel 'prot'"),
        ({"pair_with": "starboard"}, "is this one"),
        ({"pair": "mean"}, "not with which panel"),
    ],
)
def test_a_pair_that_cannot_be_is_one_clear_error(said: dict[str, object], message: str) -> None:
    with pytest.raises(InputError, match=message):
        pair_up([port(), mirror_image(port(), "starboard")], job(starboard=said))


def test_unlike_numbers_of_edges_cannot_be_laid_on_each_other() -> None:
    triangle = straight_panel("t", [(0, 0), (900, 0), (500, 400)], ("a", "b", "c"))
    with pytest.raises(InputError, match="4 edges and 't' 3"):
        pair_up([port(), triangle], job(t={"pair_with": "port", "pair": "mean"}))
