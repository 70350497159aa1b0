"""Pockets, zips and edge ropes against closed forms and the trade's figures."""

import math
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings, strategies as st

from cutpath.errors import InputError
from cutpath.geometry.chain import Chain, arc, line, polyline
from cutpath.geometry.measure import length
from cutpath.model import Allowance, Corner, Panel
from cutpath.part_model import Part
from cutpath.parts.edge_ropes import edge_ropes
from cutpath.parts.pocket_shape import bow_room, pleats, pocket_width
from cutpath.parts.pockets import pockets
from cutpath.parts.zips import zip_snips, zips
from cutpath.settings.job import Job
from cutpath.settings.job_file import JobFile
from cutpath.settings.panel_plan import PanelPlan
from tests.walk.gores import panel_of, with_marks


def plan_of(panel: Panel, finish: str = "plain", width: float = 12.7) -> PanelPlan:
    allowance = Allowance(finish, width, 0.0, Corner.MITRE)
    return PanelPlan(
        job="", panel=panel, allowances=(allowance,) * len(panel.edges),
        corners=(None,) * len(panel.edges), mitre_limit=2.5, cloth="c", cloth_name="c",
        faces_differ=False, face="up", notch_shape=None, notch_depth=None, label_height=8.0,
        pen_folds=False, pen_stitch=False, pen_grain=True,
    )  # fmt: skip


def panel_with(bottom: Chain, height: float = 900.0) -> Panel:
    """Give a panel whose edge "bottom" is this chain, run from left to right."""
    up = np.array([0.0, height])
    top = [bottom.last + up, bottom.first + up]
    return panel_of(
        "p",
        {
            "bottom": bottom,
            "right": line(bottom.last, top[0]),
            "top": polyline(top),
            "left": line(top[1], bottom.first),
        },
    )


def job_of(table: str, entries: Sequence[Mapping[str, object]]) -> Job:
    return Job(JobFile.model_validate({table: entries}), Path("x.dxf"))


def pocket(bottom: Chain, **entry: object) -> Part:
    said = {"along": ["p/bottom"], "tube": 25.4, "setbacks": [0, 0], **entry}
    (part,) = pockets((plan_of(panel_with(bottom)),), job_of("pocket", [said]))
    return part


def number(part: Part, what: str) -> float:
    return next(reason.value for reason in part.reasons if reason.what == what)


def edge(part: Part, name: str) -> Chain:
    return next(each.chain for each in part.plans[0].panel.edges if each.name == name)


def test_a_pocket_on_a_straight_edge_is_girth_and_ease_wide() -> None:
    # Girth of 25.4 mm: 79.80 (the trade's figures); and seams of 12.7 on both sides.
    assert pocket_width(25.4, 0) == pytest.approx(79.80, abs=0.005)
    part = pocket(line((0, 0), (1000, 0)))
    assert number(part, "width between seams") == pytest.approx(math.pi * 25.4 + 6)
    assert number(part, "cut width") == pytest.approx(math.pi * 25.4 + 6 + 25.4)
    assert length(edge(part, "outer")) == pytest.approx(1000)
    assert not any(reason.what == "pleats" for reason in part.reasons)


@settings(deadline=None, max_examples=30)
@given(st.floats(300, 3000), st.floats(0.3, 1.5), st.booleans())
def test_on_an_arc_the_outer_edge_is_r_plus_or_minus_w_times_the_angle(
    radius: float, angle: float, outward: bool
) -> None:
    start = -math.pi / 2 - angle / 2
    bow = arc((0, 0), radius, start, angle)
    if not outward:  # the same arc bending into the panel
        bow = arc((0, -2 * radius), radius, math.pi / 2 + angle / 2, -angle)
    part = pocket(bow)
    width = math.pi * 25.4 + 6
    sign = 1 if outward else -1
    assert length(edge(part, "inner")) == pytest.approx(radius * angle, rel=1e-6)
    assert length(edge(part, "outer")) == pytest.approx((radius + sign * width) * angle, rel=1e-4)


def test_a_bend_by_the_trades_figures() -> None:
    # w 40, r 254, 90°: 398.98 inside the bend, 461.81 outside: 62.8 more.
    bow = arc((0, 0), 254, -math.pi * 3 / 4, math.pi / 2)
    part = pocket(bow, tube=40 / math.pi, ease=0)
    assert length(edge(part, "inner")) == pytest.approx(398.98, abs=0.01)
    assert length(edge(part, "outer")) - length(edge(part, "inner")) == pytest.approx(
        62.83, abs=0.02
    )
    # 62.8 mm in pleats of at most 10: seven.
    assert number(part, "pleats") == 7
    assert number(part, "pleat depth") == pytest.approx(62.83 / 7, abs=0.01)


def test_pleats_stand_where_it_bends() -> None:
    stations = np.linspace(0, 1000, 201)
    bends = np.where((stations > 400) & (stations < 600), 1 / 300, 0.0)
    places = pleats((stations, bends), 40.0, 10.0)
    assert len(places) == 4
    assert all(395 < at < 605 for at in places)
    assert places == pytest.approx([425, 475, 525, 575], abs=6)


def test_the_strip_runs_against_the_edge_and_its_marks_agree() -> None:
    panel = with_marks(panel_with(line((0, 0), (1000, 0))), "bottom", [("a", 200.0), ("b", 760.0)])
    said = {"along": ["p/bottom"], "tube": 25.4, "setbacks": [50, 100], "name": "tube"}
    (part,) = pockets((plan_of(panel),), job_of("pocket", [said]))
    own = part.plans[0].panel.marks
    marks = {mark.name: mark.station for mark in own if mark.edge == "inner"}
    assert marks == pytest.approx({"a": 700.0, "b": 140.0, "tube centre": 425.0})
    added = {mark.name: mark.station for mark in part.on_panels[0].marks}
    assert added == pytest.approx({"tube centre": 475.0, "tube start": 50.0, "tube end": 900.0})


def test_zip_and_sliders_are_counted() -> None:
    part = pocket(line((0, 0), (1000, 0)), sliders=2)
    amounts = {supply.kind.value: supply.amount for supply in part.supplies}
    assert amounts == pytest.approx({"zip": 1050.0, "slider": 2})
    assert len(part.plans[0].panel.drawn) == 5
    assert pocket(line((0, 0), (1000, 0)), zipped=False).supplies == ()


def test_a_bar_with_a_bow_gets_as_much_more_room() -> None:
    part = pocket(line((0, 0), (1000, 0)), bow=30)
    low = edge(part, "outer").points[:, 1].min()
    assert -low == pytest.approx(math.pi * 25.4 + 6 + bow_room(25.4, 30), abs=0.01)


@given(st.floats(5, 60), st.floats(0.1, 200))
def test_room_for_a_bow_is_the_loop_round_the_bar_measured_as_a_hull(
    tube: float, bow: float
) -> None:
    # An independent judge: the perimeter of the convex hull of the bar and the seam's point.
    bar = shapely.Point(tube / 2 + bow, 0).buffer(tube / 2, quad_segs=512)
    hull = shapely.union(bar, shapely.Point(0, 0)).convex_hull
    assert math.pi * tube + bow_room(tube, bow) == pytest.approx(hull.length, rel=1e-4)
    assert bow_room(tube, 0) == pytest.approx(0)


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ({"tube": 60}, "largest tube that goes there is"),
        ({"setbacks": [500, 490]}, "leave nothing"),
        ({"along": ["p/botom"]}, "no edge 'botom'"),
        ({"along": ["p/bottom", "p/right"]}, "meet in a corner"),
        ({"along": ["p/bottom", "p/top"]}, "not followed by"),
        ({"cloth": "silk"}, "no cloth 'silk'"),
    ],
)
def test_pockets_that_cannot_be_are_told(entry: Mapping[str, object], message: str) -> None:
    bow = arc((0, -300), 150, math.pi * 0.75, -math.pi / 2)
    run = bow if "tube" in entry else line((0, 0), (1000, 0))
    with pytest.raises(InputError) as told:
        pocket(run, **entry)
    assert message in str(told.value)


def test_an_edge_in_two_pockets_is_told() -> None:
    said = {"along": ["p/bottom"], "tube": 20}
    plans = (plan_of(panel_with(line((0, 0), (1000, 0)))),)
    with pytest.raises(InputError, match="in two pockets"):
        pockets(plans, job_of("pocket", [said, said]))


def test_snips_of_a_zip_by_the_sagitta() -> None:
    stations = np.linspace(0, 600, 601)
    snips = zip_snips((stations, np.full(601, 1 / 300)), 30.0)
    # √(8 · 300 · 0.5) = 34.6 mm; never deeper than half of the tape (common practice, no source).
    assert np.diff(snips.stations) == pytest.approx(34.64, abs=1.0)
    assert snips.depth == 15.0
    assert zip_snips((stations, np.full(601, 1 / 5000)), 30.0).stations == ()


def test_a_zip_that_is_too_tight_is_questioned() -> None:
    plans = (plan_of(panel_with(arc((0, 0), 50, -math.pi * 0.75, math.pi / 2))),)
    (part,) = zips(plans, job_of("zip", [{"along": ["p/bottom"]}]))
    assert "too tight" in part.findings[0].message


def test_an_edge_rope_split_at_the_centre() -> None:
    plans = (plan_of(panel_with(line((0, 0), (1000, 0)))),)
    said = {"along": ["p/bottom"], "split": 40, "setbacks": [10, 10], "name": "r"}
    (part,) = edge_ropes(plans, job_of("edge_rope", [said]))
    assert number(part, "length of a strip") == pytest.approx((1000 - 20 - 40) / 2)
    assert part.supplies[0].amount == pytest.approx(940)
    marks = {mark.name: mark.station for mark in part.on_panels[0].marks}
    assert marks == pytest.approx(
        {"r 1 start": 10, "r 1 end": 480, "r 2 start": 520, "r 2 end": 990}
    )
