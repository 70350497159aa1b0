"""What a person reads off the picture of a seam."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.geometry.chain import arc, polyline
from cutpath.model import Panel
from cutpath.seam_report import SeamReport, Verdict
from cutpath.sheet.seam_picture import draw_seam
from cutpath.sheet.shape_band import laid_together
from cutpath.walk.explaining import explain
from cutpath.walk.walking import walk_seam
from tests.sheet.svg_reading import PageRead, off_page, overlapping
from tests.walk.gores import panel_of, seam, straight_panel, with_marks

Marks = list[tuple[str, float]]


def box(name: str, width: float, height: float = 500.0) -> Panel:
    return straight_panel(name, [(0, 0), (width, 0), (width, height), (0, height)])


def facing(
    lengths: tuple[float, float], first: Marks, second: Marks, names: tuple[str, str] = ("a", "b")
) -> tuple[Panel, Panel]:
    """Give two rectangles with marks at stations in the direction of a seam from aft to fore."""
    one = with_marks(box(names[0], lengths[0]), "aft", first)
    turned = [(name, lengths[1] - station) for name, station in second]
    return one, with_marks(box(names[1], lengths[1]), "fore", turned)


def drawn(one: Panel, other: Panel, **said: object) -> tuple[SeamReport, str]:
    """Walk and draw the seam from ``one``'s aft edge to ``other``'s fore edge."""
    report = walk_seam(one, other, seam("A", f"{one.name}/aft", f"{other.name}/fore", **said))
    chains = {edge.name: edge.chain for edge in one.edges}, {e.name: e.chain for e in other.edges}
    edges = (chains[0]["aft"], chains[1]["fore"])
    return report, draw_seam(report, edges, explain([report]), "A job")


def factor_said(page: PageRead) -> int:
    heading = next(text for text in page.texts("headings") if "Differences drawn" in text)
    found = re.search(r"drawn (\d+) times", heading)
    return int(found[1]) if found else 1


MARKS = [("P1", 300.0), ("CL", 500.0), ("S1", 800.0)]


def test_the_title_names_both_edges_and_the_verdict_is_a_word() -> None:
    one, other = facing((1000, 1000), MARKS, MARKS)
    report, svg = drawn(one, other)
    words = PageRead(svg).texts("head")
    assert report.verdict is Verdict.FITS
    assert "Seam A: a/aft to b/fore" in words
    assert "FITS" in words
    assert "A job" in words


def test_a_mark_line_leans_by_its_difference_times_the_factor_said() -> None:
    first = [("P1", 200.0), ("CL", 500.0), ("S1", 700.0)]
    second = [("P1", 200.8), ("CL", 495.0), ("S1", 700.3)]
    one, other = facing((1000, 1000), first, second)
    report, svg = drawn(one, other)
    page = PageRead(svg)
    start, *marks, end = page.lines("joins")
    scale = (end.start[0] - start.start[0]) / report.first_length
    factor = factor_said(page)
    assert factor > 1
    assert len(marks) == 3
    for line, mark in zip(marks, report.marks, strict=True):
        assert line.start[0] == pytest.approx(start.start[0] + scale * mark.first, abs=0.011)
        lean = line.end[0] - line.start[0]
        assert lean == pytest.approx(factor * scale * mark.difference, abs=0.021)
    assert {"+0.8", "−5.0", "+0.3"} <= set(page.texts("differences"))


def test_both_lengths_and_stations_are_written() -> None:
    first = [("CL", 500.0)]
    one, other = facing((1000, 1002.2), first, [("CL", 501.1)])
    _, svg = drawn(one, other)
    page = PageRead(svg)
    assert page.texts("sizes") == ["a/aft 1000.0 mm", "b/fore 1002.2 mm"]
    assert {"CL", "500.0", "501.1"} <= set(page.texts("marks"))
    assert "+2.2 mm" in page.texts("ends")


def test_what_is_out_is_heavy_and_has_the_word() -> None:
    first = [("P1", 700.0), ("CL", 500.0), ("S1", 200.0)]
    moved = [("P1", 700.0), ("CL", 505.0), ("S1", 200.0)]
    for second, outs in ((first, 0), (moved, 2)):
        one, other = facing((1000, 1000), first, second)
        report, svg = drawn(one, other)
        page = PageRead(svg)
        flags = [text for text in page.texts("differences") if text.startswith("OUT")]
        bars = [text for text in page.texts("bar-words") if text.startswith("OUT")]
        assert len(flags) == len(bars) == outs
        assert len(page.boxes("bars", "#111111")) == outs
        # Both whole edges are drawn first, then again, heavy, where they are out.
        edge, *rest = sorted(line.weight for line in page.lines("edges"))
        assert sum(weight > 2 * edge for weight in rest) == 2 * outs
        assert ("OUT" in page.texts("head")) is (report.verdict is Verdict.OUT)
        words = " ".join(page.texts("findings"))
        assert ("mark CL" in words) is bool(outs)


def test_a_long_edge_is_flagged_at_its_end() -> None:
    marks = [("a", 300.0), ("b", 600.0)]
    one, other = facing((1000, 1004.2), marks, [("a", 301.4), ("b", 602.8)])
    _, svg = drawn(one, other)
    page = PageRead(svg)
    assert "OUT" in page.texts("ends")
    assert "OUT +4.2" in page.texts("bar-words")


def test_lone_marks_are_drawn_and_named() -> None:
    one, other = facing(
        (1000, 1000), [("CL", 500.0), ("odd", 620.0)], [("CL", 500.0), ("queer", 250.0)]
    )
    _, svg = drawn(one, other)
    page = PageRead(svg)
    assert {"odd, alone", "queer, alone"} <= set(page.texts("marks"))
    assert len(page.lines("joins")) == 3  # start, CL, end: a lone mark has no partner


def test_the_strip_draws_each_stretch_against_its_limit() -> None:
    one, other = facing((1000, 1000), [("CL", 400.0)], [("CL", 401.2)])
    report, svg = drawn(one, other)
    page = PageRead(svg)
    bars = page.boxes("bars", "#d9d9d9")
    assert len(bars) == 3  # two stretches and the whole edge
    zero, plus, minus = (line.start[1] for line in page.lines("strip")[:3])
    assert sorted([plus, minus])[0] < zero
    limit = abs(plus - zero) / report.seam.mark_tolerance
    assert bars[0][3] == pytest.approx(1.2 * limit, abs=0.02)
    assert bars[0][1] == pytest.approx(zero - 1.2 * limit, abs=0.02)  # longer: above
    assert bars[1][1] == pytest.approx(zero, abs=0.02)  # shorter: below
    middle = page.lines("joins")[1].start[0]
    assert bars[0][0] + bars[0][2] == pytest.approx(middle, abs=0.02)


@pytest.mark.parametrize("reverse", [True, False])
def test_equal_arcs_laid_together_leave_no_gap(reverse: bool) -> None:
    # The same arc elsewhere and turned: a rigid motion away, by construction.
    one = arc((0, 0), 900, 0.2, 1.1)
    same = arc((4000, -300), 900, 1.9, -1.1) if reverse else arc((4000, -300), 900, -2.0, -1.1)
    assert laid_together(one, same, reverse=reverse).gaps.max() < 1e-6


def test_the_largest_gap_of_an_arc_and_its_chord() -> None:
    # Closed form: points at angles t on a unit arc about its bisector against evenly spaced points
    # on a straight line of the same length. Both are symmetric, so the best motion shifts along the
    # axis alone, by the mean; the gap at the end is |(r sin a − r a, r cos a − mean)|.
    radius, half = 1000.0, 0.4
    t = np.linspace(-half, half, 97)
    rise = radius * np.cos(t)
    expected = np.hypot(radius * np.sin(half) - radius * half, rise[-1] - rise.mean())
    bent = arc((0, 0), radius, np.pi / 2 - half, 2 * half)
    straight = polyline([(0, 0), (2 * radius * half, 0)])
    found = laid_together(bent, straight, reverse=True)
    assert found.gaps.max() == pytest.approx(expected, rel=1e-9)


def test_the_picture_and_the_report_tell_the_same_gap() -> None:
    half = 0.4
    bent = panel_of(
        "bent",
        {
            "aft": arc((0, 0), 1000, np.pi / 2 - half, 2 * half),
            "rest": polyline([(-1000 * np.sin(half), 1000 * np.cos(half)), (0, 0), (
                1000 * np.sin(half), 1000 * np.cos(half))]),
        },
    )  # fmt: skip
    report, svg = drawn(bent, box("b", 800.0))
    laid = laid_together(bent.edges[0].chain, box("b", 800.0).edges[0].chain, reverse=True)
    assert laid.gaps.max() == pytest.approx(report.shape.gap, rel=1e-9)
    assert f"{report.shape.gap:.1f}" in PageRead(svg).texts("gap")


def many(count: int, length: float = 4000.0) -> tuple[SeamReport, str]:
    rng = np.random.default_rng(7)
    stations = np.sort(rng.uniform(20, length - 20, count))
    first = [(f"M{i}", float(s)) for i, s in enumerate(stations)]
    second = [(name, s + float(rng.normal(0, 0.8))) for name, s in first]
    return drawn(*facing((length, length), first, second))


@pytest.mark.parametrize("count", [0, 1, 12, 40, 150])
def test_no_words_are_printed_over_others(count: int) -> None:
    _, svg = many(count)
    page = PageRead(svg)
    for layer in ("marks", "differences", "bar-words", "ends", "sizes", "headings", "findings"):
        assert overlapping(page.words(layer)) == []
    assert overlapping([word for word in page.words() if word.layer != "gap"]) == []
    assert off_page(page, 9.0) == []


def test_what_finds_no_room_is_told() -> None:
    _, svg = many(150)
    page = PageRead(svg)
    left_out = [text for text in page.texts("findings") if "want of room" in text]
    assert len(left_out) == 1
    names = [text for text in page.texts("marks") if text.startswith("M")]
    assert 0 < len(names) < 300


def test_forty_marks_all_keep_their_names() -> None:
    _, svg = many(40)
    names = [text.split()[0] for text in PageRead(svg).texts("marks")]
    assert sorted(names) == sorted(2 * [f"M{i}" for i in range(40)])


NASTY = "<a & \"b\" 'c'>"


def test_names_with_signs_of_xml_survive() -> None:
    one, other = facing((1000, 1000), [(NASTY, 500.0)], [(NASTY, 500.0)], (NASTY, "e\x07<f>"))
    _, svg = drawn(one, other)
    page = PageRead(svg)
    assert any(NASTY in text for text in page.texts("head"))
    assert NASTY in page.texts("marks")
    assert any("e <f>/fore" in text for text in page.texts("sizes"))


def test_the_same_bytes_twice() -> None:
    assert many(40)[1] == many(40)[1]


def test_a_picture_needs_no_colour() -> None:
    _, svg = many(40)
    colours = set(re.findall(r"#[0-9a-fA-F]{6}", svg))
    assert all(len({c[1:3], c[3:5], c[5:7]}) == 1 for c in colours)


station = st.floats(0.0, 1.0)


@settings(max_examples=30, deadline=None)
@given(
    st.floats(5.0, 30_000.0),
    st.floats(0.03, 30.0),
    st.lists(st.tuples(station, station), max_size=8),
    st.text(max_size=30),
)
def test_any_seam_can_be_drawn_on_its_page(
    length: float, ratio: float, shares: list[tuple[float, float]], name: str
) -> None:
    first = [(f"m{i}x", a * length) for i, (a, _) in enumerate(shares)]
    second = [(f"m{i}x", b * length * ratio) for i, (_, b) in enumerate(shares)]
    one, other = facing((length, length * ratio), first, second, ("a" + name, "b" + name))
    report, svg = drawn(one, other)
    page = PageRead(svg)
    assert off_page(page, 9.0) == []
    for line in page.lines("joins") + page.lines("edges"):
        for x, y in (line.start, line.end):
            assert 9.0 <= x <= page.width - 9.0
            assert 9.0 <= y <= page.height - 9.0
    if report.verdict is Verdict.OUT:
        assert "OUT" in page.texts("head")
