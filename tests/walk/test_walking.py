"""Seams walked on plain panels: lengths, marks, kinks, ease, tolerances."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutpath.errors import InputError
from cutpath.geometry.chain import make_chain, polyline
from cutpath.model import EdgeName, Panel
from cutpath.seam_report import SeamReport, Verdict
from cutpath.walk.walking import walk, walk_seam
from tests.walk.gores import panel_of, seam, straight_panel, with_marks


def box(name: str, width: float, height: float = 500.0) -> Panel:
    """Give a rectangle; its fore edge runs along +x from (0, 0), its aft edge back."""
    return straight_panel(name, [(0, 0), (width, 0), (width, height), (0, height)])


def leaning(name: str, angle: float) -> Panel:
    """Give a trapezium with ``angle`` degrees at both ends of its fore edge."""
    lean = 500 / math.tan(math.radians(angle))
    return straight_panel(name, [(0, 0), (1000, 0), (1000 - lean, 500), (lean, 500)])


def walked(one: Panel, other: Panel, **settings: object) -> SeamReport:
    return walk_seam(one, other, seam("A", f"{one.name}/aft", f"{other.name}/fore", **settings))


@pytest.mark.parametrize(
    ("second", "ease", "verdict"),
    [
        # max(1.5 mm, 0.2 %) over the edge; trade practice holds 1.6 mm (1/16 in) and calls 3.2 mm
        # (1/8 in) workable; the split between marks and whole edge is common practice, no source.
        (1001.4, 0.0, Verdict.FITS),
        (1002.1, 0.0, Verdict.OUT),
        (1001.4, 2.0, Verdict.FITS),
        (1002.1, 2.0, Verdict.FITS),
        (1000.0, 2.1, Verdict.OUT),
    ],
)
def test_a_whole_edge_is_held_to_its_tolerance(
    second: float, ease: float, verdict: Verdict
) -> None:
    marks = [("a", 0.25), ("b", 0.5), ("c", 0.75)]
    one = with_marks(box("one", 1000), "aft", [(name, s * 1000) for name, s in reversed(marks)])
    other = with_marks(box("other", second), "fore", [(n, (1 - s) * second) for n, s in marks])
    report = walked(one, other, ease=ease)
    assert report.verdict is verdict
    assert report.difference == pytest.approx(second - 1000 - ease)


def test_marks_must_meet_though_the_totals_agree() -> None:
    # 400/600 against 405/595.
    one = with_marks(box("one", 1000), "aft", [("a", 400)])
    other = with_marks(box("other", 1000), "fore", [("a", 1000 - 405)])
    report = walked(one, other)
    assert report.verdict is Verdict.OUT
    assert report.difference == pytest.approx(0)
    assert [interval.difference for interval in report.intervals] == pytest.approx([5, -5])
    assert report.marks[0].name == "a"


def test_ease_is_spread_over_the_intervals() -> None:
    one = with_marks(box("one", 1000), "aft", [("a", 250)])
    other = with_marks(box("other", 1010), "fore", [("a", 1010 - 252.5)])
    report = walked(one, other, ease=10.0)
    assert report.verdict is Verdict.FITS
    assert report.marks[0].difference == pytest.approx(0)


@pytest.mark.parametrize(("angle", "kink"), [(85, 0), (90, 5)])
def test_end_angles_add_up_to_a_straight_angle(angle: float, kink: float) -> None:
    # 95° + 85° run on; 95° + 90° make a kink of 5°: angles of a trapezium, plane geometry.
    one, other = leaning("one", 95), leaning("other", angle)
    report = walk_seam(one, other, seam("A", "one/fore", "other/fore"))
    for end in report.ends:
        assert math.degrees(end.kink) == pytest.approx(kink, abs=1e-9)
        assert end.runs_on
    assert report.verdict is (Verdict.OUT if kink > 2 else Verdict.FITS)


def test_a_kink_counts_only_where_the_hem_runs_on() -> None:
    one, other = (
        box("one", 1000),
        straight_panel("other", [(0, 0), (1000, 0), (930, 500), (0, 500)]),
    )
    first = seam("A", "one/aft", "other/fore")
    assert walk_seam(one, other, first).verdict is Verdict.OUT
    third = box("third", 507)
    panels = {panel.name: panel for panel in (one, other, third)}
    reports = walk(panels, [first, seam("B", "third/fore", "other/port", length_tolerance=(9, 0))])
    assert [end.runs_on for end in reports[0].ends] == [False, True]
    assert reports[0].verdict is Verdict.FITS


def test_seams_are_walked_on_the_net_line_whatever_the_curvature() -> None:
    # An arc r = 1000 of 1 rad against the matching hollow: 1000 mm each; the best rigid motion
    # leaves nothing (a naive look at cut lines would see 1013 against 987).
    ends = 1000 * np.array([[1, 0], [math.cos(1), math.sin(1)]])
    out = {
        "rim": make_chain(ends, [math.tan(1 / 4)]),
        "rest": polyline([ends[1], (0, 0), ends[0]]),
    }
    hollow = {
        "rim": make_chain(ends[::-1], [-math.tan(1 / 4)]),
        "rest": polyline([ends[0], (1500, 0), (1500, 1500), ends[1]]),
    }
    report = walk_seam(
        panel_of("one", out),
        panel_of("other", hollow),
        seam("A", "one/rim", "other/rim"),
        sewn={EdgeName("one", "rest")},
    )
    assert report.first_length == pytest.approx(1000)
    assert report.second_length == pytest.approx(1000)
    assert report.shape.gap == pytest.approx(0, abs=1e-9)
    assert report.verdict is Verdict.FITS


def test_shape_is_told_and_limited_only_on_request() -> None:
    ends = [(0, 0), (1000, 0)]
    bent = {"rim": make_chain(ends, [0.1]), "rest": polyline([ends[1], (500, 800), ends[0]])}
    length = walk_seam(
        panel_of("one", bent), panel_of("two", bent), seam("A", "one/rim", "two/rim")
    )
    # Both bulge out by h = bulge · chord / 2 = 50: a least-squares fit leaves part of 100.
    assert 40 < length.shape.gap < 100
    limited = walk_seam(
        panel_of("one", bent),
        panel_of("two", bent),
        seam("A", "one/rim", "two/rim", shape_limit=10.0),
    )
    assert (length.verdict, limited.verdict) == (Verdict.FITS, Verdict.OUT)


def test_marks_without_names_are_paired_by_order_and_spacing() -> None:
    one = with_marks(box("one", 1000), "aft", [("", 200), ("", 450), ("", 800)])
    other = with_marks(box("other", 1000), "fore", [("", 1000 - 200.4), ("", 1000 - 799.8)])
    report = walked(one, other)
    assert [(mark.first, mark.second) for mark in report.marks] == [
        pytest.approx((200, 200.4)),
        pytest.approx((800, 799.8)),
    ]
    assert [mark.station for mark in report.first_lone] == pytest.approx([450])
    assert report.verdict is Verdict.LOOK


def test_a_seam_of_nothing_is_one_clear_error() -> None:
    one = box("one", 1000)
    with pytest.raises(InputError, match="no edge 'top'"):
        walk_seam(one, one, seam("A", "one/top", "one/fore"))
    with pytest.raises(InputError, match="no panel 'two'"):
        walk({"one": one}, [seam("A", "one/fore", "two/fore")])
    with pytest.raises(InputError, match="to itself"):
        walk({"one": one}, [seam("A", "one/fore", "one/fore")])
