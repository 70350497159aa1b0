"""Faults recognised from the numbers of one seam or several, in order, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

from cutpath.model import Panel
from cutpath.seam_report import Cause, Symptom, Verdict, WalkFinding
from cutpath.walk.along import Run, explained_along, known_scale
from cutpath.walk.explaining import explain
from cutpath.walk.walking import walk, walk_seam
from tests.walk.gores import seam, straight_panel, with_marks

STATIONS = (300.0, 550.0, 900.0, 1300.0)
WHOLE = 1600.0


def run(differences: Sequence[float]) -> Run:
    stations = np.array([0.0, *STATIONS, WHOLE])
    both = np.array([0.0, *differences])
    return Run(stations, both, WHOLE, WHOLE + float(both[-1]))


def told(differences: Sequence[float]) -> tuple[Symptom, ...]:
    return explained_along(run(differences), 1.5, 3.2)


def test_one_mark_off_is_misread() -> None:
    (one,) = told([0.2, -4.0, 0.1, -0.2, 0.3])
    assert (one.cause, one.begin, one.end, one.station) == (Cause.MARK_MISREAD, 1, 1, 550.0)
    assert one.size == pytest.approx(-4.0)


def test_two_marks_off_are_both_told() -> None:
    found = told([0.0, 6.0, 0.0, -4.0, 0.0])
    assert [(one.cause, one.begin) for one in found] == [
        (Cause.MARK_MISREAD, 1),
        (Cause.MARK_MISREAD, 3),
    ]


@pytest.mark.parametrize(
    ("differences", "cause", "begin"),
    [
        ([5, 5, 5, 5, 5], Cause.CORNER_MOVED, -1),
        ([0, 0, 0, 0, -5], Cause.CORNER_MOVED, 3),
        ([0, 0, 5, 5, 5], Cause.STRETCH_OFF, 1),
        ([5 * s / WHOLE for s in (*STATIONS, WHOLE)], Cause.EVENLY_LONGER, -1),
    ],
)
@pytest.mark.parametrize("tremor", [0.0, 0.4])
def test_a_whole_difference_is_laid_where_it_arises(
    differences: list[float], cause: Cause, begin: int, tremor: float
) -> None:
    shaken = np.array(differences, dtype=float)
    shaken[:-1] += tremor * np.array([1, -1, 1, -1])
    (one,) = told(list(shaken))
    assert (one.cause, one.begin) == (cause, begin)
    assert abs(one.size) == pytest.approx(5)


def test_a_corner_moved_within_the_whole_edges_limit_is_told_all_the_same() -> None:
    (one,) = told([0, 0.2, 0, -0.3, 3.0])  # 1.5 mm from mark to mark, 3.2 mm over the edge
    assert (one.cause, one.begin, one.size) == (Cause.CORNER_MOVED, 3, 3.0)


def test_both_corners_moved_are_two_faults_not_four() -> None:
    found = told([5, 5, 5, 5, 1])
    assert [(one.cause, one.begin, one.size) for one in found] == [
        (Cause.CORNER_MOVED, -1, 5),
        (Cause.CORNER_MOVED, 3, -4),
    ]


def test_a_corner_moved_and_a_mark_misread_are_told_apart() -> None:
    found = told([0, 0, 7, 0, -5])
    assert {(one.cause, one.begin) for one in found} == {
        (Cause.CORNER_MOVED, 3),
        (Cause.MARK_MISREAD, 2),
    }


@pytest.mark.parametrize(
    ("ratio", "word"),
    # 25.4 mm to the inch (1959 agreement); CSS: 96 px to the inch; 72 pt and 90: common practice.
    [(25.4, "inches"), (1 / 25.4, "inches"), (96 / 90, "1/90"), (0.75, "1/72"), (10.0, "centi")],
)
def test_mistaken_units_are_known_by_their_factor(ratio: float, word: str) -> None:
    assert word in known_scale(ratio)
    stations = np.array([0.0, *STATIONS, WHOLE])
    off = Run(stations, stations * (ratio - 1), WHOLE, WHOLE * ratio)
    (one,) = explained_along(off, 1.5, 3.2)
    assert one.cause is Cause.SCALE
    assert one.size == pytest.approx(ratio)
    bare = explained_along(
        Run(off.stations[[0, -1]], off.differences[[0, -1]], WHOLE, WHOLE * ratio), 1.5, 3.2
    )
    assert bare[0].cause is Cause.SCALE


@pytest.mark.parametrize("ratio", [25.4, 1 / 25.4])
def test_tremor_does_not_hide_a_factor(ratio: float) -> None:
    stations = np.array([0.0, *STATIONS, WHOLE]) * max(1 / ratio, 1)
    tremor = np.array([0, 0.5, -0.5, 0.5, -0.5, 0]) * max(ratio, 1)
    off = Run(stations, stations * (ratio - 1) + tremor, stations[-1], stations[-1] * ratio)
    (one,) = explained_along(off, 1.5, 3.2)
    assert one.cause is Cause.SCALE


def test_a_factor_of_no_unit_has_no_name() -> None:
    assert known_scale(1.003) == ""
    assert known_scale(2.0) == ""


def strip(name: str, width: float, height: float = 400.0) -> Panel:
    return straight_panel(name, [(0, 0), (width, 0), (width, height), (0, height)])


def facing(stations: Sequence[tuple[str, float]], whole: float) -> list[tuple[str, float]]:
    return [(name, whole - station) for name, station in stations]


def pair(
    first: Sequence[tuple[str, float]], second: Sequence[tuple[str, float]]
) -> tuple[WalkFinding, ...]:
    """Walk two strips of 1000 mm; ``second`` is given in the seam's direction."""
    one = with_marks(strip("one", 1000), "aft", first)
    other = with_marks(strip("two", 1000), "fore", facing(second, 1000))
    return explain([walk_seam(one, other, seam("A", "one/aft", "two/fore"))])


def test_a_misread_mark_is_told_with_both_numbers() -> None:
    (found,) = pair([("a", 200), ("b", 500), ("c", 700)], [("a", 200), ("b", 512), ("c", 700)])
    assert found.cause is Cause.MARK_MISREAD
    assert found.place == "mark b"
    assert found.begin == found.end == pytest.approx(500)
    assert "12.0 mm further along two/fore" in found.message
    assert "one/aft says 300.0 mm, two/fore says 312.0 mm" in found.recheck


def test_names_that_run_the_wrong_way_are_seen_by_the_spacing() -> None:
    (found,) = pair([("a", 200), ("b", 500), ("c", 700)], [("c", 200), ("b", 500), ("a", 700)])
    assert found.cause is Cause.NAMES_SWAPPED


def test_marks_of_one_side_only_are_odd_not_out() -> None:
    (found,) = pair([("a", 200), ("b", 500), ("c", 700)], [("a", 200), ("c", 700)])
    assert (found.cause, found.verdict) == (Cause.MARK_LONE, Verdict.LOOK)
    assert "one/aft has a mark here that two/fore lacks" in found.message
    assert found.begin == pytest.approx(200)
    assert found.end == pytest.approx(700)
    assert pair([("a", 200), ("b", 500)], []) == ()


def test_a_mark_just_off_the_middle_is_misread_not_the_whole_edge_turned() -> None:
    (found,) = pair([("a", 498.5)], [("a", 501.5)])
    assert found.cause is Cause.MARK_MISREAD


def test_what_hurts_most_comes_first() -> None:
    panels = {name: strip(name, 1000, 1000) for name in ("one", "two", "three", "four")}
    for name, panel in panels.items():
        fore = with_marks(panel, "fore", [("a", 200), ("b", 600)])
        panels[name] = with_marks(fore, "aft", [("a", 800), ("b", 400)])
    panels["two"] = with_marks(panels["two"], "fore", [("a", 200), ("b", 604)])
    panels["three"] = with_marks(panels["three"], "fore", [("a", 211), ("b", 600)])
    panels["four"] = with_marks(panels["four"], "fore", [("a", 800), ("b", 400)])
    names = ["one", "two", "three", "four"]
    seams = [
        seam(letter, f"{a}/aft", f"{b}/fore")
        for letter, a, b in zip("ABC", names[:-1], names[1:], strict=True)
    ]
    found = explain(walk(panels, seams))
    assert [(one.seam, one.cause) for one in found] == [
        ("C", Cause.BACKWARDS),
        ("B", Cause.MARK_MISREAD),
        ("A", Cause.MARK_MISREAD),
    ]


def test_a_corner_seen_on_two_seams_is_laid_to_its_panel() -> None:
    # The corner of "one" between aft and starboard lies 6 mm too far out both ways.
    ones = [(0, 0), (1000, 0), (1006, 1006), (0, 1000)]
    one = straight_panel("one", ones, ("fore", "starboard", "aft", "port"))
    one = with_marks(one, "starboard", [("s", 400)])
    one = with_marks(one, "aft", [("t", 606)])
    beside = with_marks(strip("two", 1000, 1000), "starboard", [("s", 600)])
    behind = with_marks(strip("three", 1000, 1000), "fore", [("t", 400)])
    panels = {panel.name: panel for panel in (one, beside, behind)}
    found = explain(
        walk(
            panels,
            [seam("A", "one/starboard", "two/starboard"), seam("B", "one/aft", "three/fore")],
        )
    )
    moved = [one for one in found if one.cause is Cause.CORNER_MOVED]
    assert [[str(edge) for edge in one.suspects] for one in moved] == [
        ["one/starboard"],
        ["one/aft"],
    ]


def leaning(name: str, start: float, end: float) -> Panel:
    """Give a four-sided panel with these inner angles, degrees, at its fore edge's ends."""
    left, right = (400 / math.tan(math.radians(angle)) for angle in (start, end))
    return straight_panel(name, [(0, 0), (1000, 0), (1000 - right, 400), (left, 400)])


def test_end_angles_tell_which_way_a_straight_panel_lies() -> None:
    marks = [("a", 200), ("b", 500), ("c", 700)]
    joint = seam("A", "one/fore", "two/fore")
    one = with_marks(leaning("one", 110, 80), "fore", marks)
    right = with_marks(leaning("two", 100, 70), "fore", facing(marks, 1000))
    assert explain([walk_seam(one, right, joint)]) == ()
    turned_over = with_marks(leaning("two", 70, 100), "fore", marks)
    (found,) = explain([walk_seam(one, turned_over, joint)])
    assert found.cause is Cause.WRONG_SIDE_UP
    miscounted = with_marks(right, "fore", marks)
    (found,) = explain([walk_seam(one, miscounted, joint)])
    assert (found.cause, "marks of one are counted" in found.message) == (Cause.BACKWARDS, True)


def test_a_kink_at_a_moved_corner_is_not_told_twice() -> None:
    one = with_marks(strip("one", 1000), "fore", [("a", 300), ("b", 700)])
    # The far corner is 20 mm out: the edge grows there and the side leans by 2.9°.
    longer = straight_panel("two", [(0, 0), (1020, 0), (1000, 400), (0, 400)])
    longer = with_marks(longer, "fore", [("b", 300), ("a", 700)])
    report = walk_seam(one, longer, seam("A", "one/fore", "two/fore"))
    assert {symptom.cause for symptom in report.symptoms} == {Cause.CORNER_MOVED, Cause.KINK}
    assert report.ends[0].step == pytest.approx(-20)
    (found,) = explain([report])
    assert found.cause is Cause.CORNER_MOVED


def test_marks_far_apart_are_no_pair() -> None:
    found = pair([("", 200), ("", 450)], [("", 200), ("", 800)])
    assert [one.cause for one in found] == [Cause.MARK_LONE, Cause.MARK_LONE]


def test_numbers_given_to_nameless_marks_pair_nothing() -> None:
    # Numbered along each outline, they run against one another along the seam.
    assert pair([("m1", 200), ("m2", 500)], [("m5", 200), ("m2", 500), ("m1", 870)])[0].cause is (
        Cause.MARK_LONE
    )
    assert pair([("m1", 200), ("m2", 500)], [("m2", 200), ("m1", 500)]) == ()
