"""What a person reads off the sheet of the whole job."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.geometry.chain import polyline
from cutpath.geometry.inclusion import Inclusion
from cutpath.geometry.measure import bounds
from cutpath.geometry.transform import transformed, translation
from cutpath.model import Edge, Panel, Seam
from cutpath.seam_report import Verdict
from cutpath.sheet.panel_layout import Area, lay_out, rounded_down
from cutpath.sheet.seam_letters import Ground, SeamEdge, placed_letters
from cutpath.sheet.seam_sheet import draw_seam_sheet
from cutpath.sheet.taken import Taken
from cutpath.walk.walking import walk
from tests.sheet.svg_reading import PageRead, off_page, overlapping
from tests.walk.gores import cone_gores, cylinder_gores, seam, straight_panel, with_marks

LETTERS = [f"{a}{b}".strip() for a in " ABCDEFGHIJKLMNOPQRSTUVWXYZ" for b in "ABCDEFGHIJKLMNOPQRST"]


def moved(panel: Panel, dx: float, dy: float) -> Panel:
    shift = translation(dx, dy)
    edges = tuple(Edge(edge.name, transformed(edge.chain, shift)) for edge in panel.edges)
    return replace(panel, edges=edges)


def box(name: str, width: float, height: float, x: float = 0.0, y: float = 0.0) -> Panel:
    return straight_panel(name, [(x, y), (x + width, y), (x + width, y + height), (x, y + height)])


def grid(rows: int, columns: int, apart: float) -> tuple[dict[str, Panel], list[Seam]]:
    """Give rectangles in a grid, each sewn to those beside it and above it."""
    panels = {}
    joins = []
    for i in range(rows):
        for j in range(columns):
            name = f"{i}-{j}"
            panel = box(name, 600, 400, j * (600 + apart), i * (400 + apart))
            for edge, length in (("fore", 600), ("aft", 600), ("port", 400), ("starboard", 400)):
                panel = with_marks(panel, edge, [("1", length / 3), ("2", length / 2)])
            panels[name] = panel
            if j + 1 < columns:
                joins.append((f"{name}/port", f"{i}-{j + 1}/starboard"))
            if i + 1 < rows:
                joins.append((f"{name}/aft", f"{i + 1}-{j}/fore"))
    return panels, [seam(LETTERS[k], *pair) for k, pair in enumerate(joins)]


def sheet(panels: Mapping[str, Panel], seams: Sequence[Seam]) -> str:
    return draw_seam_sheet(list(panels.values()), seams, walk(panels, seams), "A job")


def gores(count: int = 8) -> tuple[dict[str, Panel], list[Seam]]:
    panels = cone_gores(count, 300, 1500, 0.7)
    seams = [
        seam(LETTERS[i], f"gore {i}/right", f"gore {(i + 1) % count}/left") for i in range(count)
    ]
    return panels, seams


@pytest.mark.parametrize(("rows", "columns"), [(1, 2), (3, 4), (10, 20)])
def test_every_letter_stands_exactly_twice_on_the_panels(rows: int, columns: int) -> None:
    panels, seams = grid(rows, columns, 100)
    page = PageRead(sheet(panels, seams))
    found = Counter(page.texts("letters"))
    flags = {word: found.pop(word, 0) for word in ("OUT", "LOOK")}
    assert found == {each.letter: 2 for each in seams}
    reports = walk(panels, seams)
    assert flags["OUT"] == 2 * sum(report.verdict == "out" for report in reports)
    assert Counter(page.texts("list"))["A"] == 1


def test_a_letter_stands_on_its_own_panel_near_its_own_edge() -> None:
    panels, seams = grid(2, 2, 100)
    svg = sheet(panels, seams)
    page = PageRead(svg)
    layout = lay_out(list(panels.values()), Area(0, 0, 400, 200))
    assert layout.is_as_drawn
    names = {word.text: _middle(word.box) for word in page.words("names")}
    for letter, firsts in (("A", ("0-0", "0-1")), ("B", ("0-0", "1-0"))):
        places = [_middle(word.box) for word in page.words("letters") if word.text == letter]
        nearest = {min(names, key=lambda name: math.dist(names[name], at)) for at in places}
        assert nearest == set(firsts)


def _middle(box: tuple[float, float, float, float]) -> tuple[float, float]:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def test_arrows_of_one_seam_run_the_same_way_when_laid_together() -> None:
    # Two boxes side by side as they are sewn: on paper both arrows point the same way.
    panels = {"a": box("a", 500, 500), "b": box("b", 500, 500, 600)}
    for reverse in (True, False):
        joined_ = [seam("A", "a/port", "b/starboard", reverse=reverse)]
        page = PageRead(sheet(panels, joined_))
        ways = [line.end[1] - line.start[1] for line in page.lines("letters")]
        assert len(ways) == 2
        assert (ways[0] * ways[1] > 0) is reverse


def test_a_seam_that_does_not_fit_has_the_word_and_a_heavy_ring() -> None:
    panels = {"a": box("a", 500, 500), "b": box("b", 500, 500, 600)}
    panels["a"] = with_marks(panels["a"], "port", [("CL", 250)])
    panels["b"] = with_marks(panels["b"], "starboard", [("CL", 256)])
    page = PageRead(sheet(panels, [seam("A", "a/port", "b/starboard")]))
    assert page.texts("letters").count("OUT") == 2
    assert page.texts("list").count("OUT") == 1
    assert {"500.0", "0.0"} <= set(page.texts("list"))  # lengths agree, the mark does not
    assert {"+6.0", "−6.0"} & set(page.texts("list"))
    rings = [node for node in page.layer("letters") if node.tag.endswith("circle")]
    assert all(float(ring.get("stroke-width", "0")) > 0.6 for ring in rings)
    assert "1 of 1 seam out: don't cut yet" in page.texts("head")


def test_sewn_edges_are_heavy_and_free_ones_fine() -> None:
    panels, seams = gores()
    page = PageRead(sheet(panels, seams))
    weights = Counter(float(node.get("stroke-width", "0")) for node in page.layer("panels"))
    fine, heavy = sorted(weights)
    assert heavy > 3 * fine
    assert weights[heavy] == weights[fine] == 16  # two seams and two rims a gore


def test_panels_stay_where_they_are_drawn_unless_they_overlap() -> None:
    panels, seams = grid(2, 3, 150)
    assert "panels as drawn" in " ".join(PageRead(sheet(panels, seams)).texts("head"))
    heap = {name: moved(panel, -100, -50 * k) for k, (name, panel) in enumerate(panels.items())}
    page = PageRead(sheet(heap, seams))
    assert "panels in rows" in " ".join(page.texts("head"))


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.floats(20, 20_000), st.floats(20, 20_000)), min_size=1, max_size=14))
def test_panels_in_rows_do_not_overlap_and_stay_in_their_area(
    sizes: list[tuple[float, float]],
) -> None:
    panels = [box(str(k), *size) for k, size in enumerate(sizes)]  # all in one heap
    area = Area(10, 20, 400, 230)
    layout = lay_out(panels, area)
    found = [bounds(transformed(laid.outline, laid.matrix)) for laid in layout.laid]
    for k, (x0, y0, x1, y1) in enumerate(found):
        assert x0 >= area.left - 1e-6
        assert y0 >= area.top - 1e-6
        assert x1 <= area.left + area.width + 1e-6
        assert y1 <= area.top + area.height + 1e-6
        assert max(x1 - x0, y1 - y0) >= 10 - 1e-6
        for a0, b0, a1, b1 in found[:k]:
            assert x1 <= a0 or a1 <= x0 or y1 <= b0 or b1 <= y0


def test_a_small_panel_is_drawn_larger_and_says_so() -> None:
    panels = {"sail": box("sail", 20_000, 8000), "tab": box("tab", 20, 20)}
    page = PageRead(sheet(panels, [seam("A", "tab/aft", "sail/fore")]))
    assert any("times larger" in text for text in page.texts("names"))
    assert page.texts("letters").count("A") == 2


@given(st.floats(1e-4, 1e3))
def test_scales_are_written_with_two_figures(scale: float) -> None:
    found = rounded_down(scale)
    assert 0.89 * scale < found <= scale * (1 + 1e-8)
    said = found if found >= 1 else 1 / found
    assert float(f"{said:.2g}") == pytest.approx(said, rel=1e-9)


@pytest.mark.parametrize("case", ["grid", "gores", "bands", "strip"])
def test_no_words_are_printed_over_others(case: str) -> None:
    if case == "grid":
        panels, seams = grid(6, 6, 60)
    elif case == "gores":
        panels, seams = gores(16)
    elif case == "bands":
        panels = cylinder_gores(6, 800, 300, 0.4, 60)
        seams = [seam(LETTERS[i], f"band {i}/top", f"band {i + 1}/bottom") for i in range(5)]
    else:
        panels, seams = strips()
    page = PageRead(sheet(panels, seams))
    assert overlapping(page.words()) == []
    assert off_page(page, 5.0) == []


def strips() -> tuple[dict[str, Panel], list[Seam]]:
    """Give narrow bands with forty marks on each side."""
    panels = {}
    for k in range(4):
        panel = box(f"strip {k}", 5000, 60)
        for edge in ("fore", "aft"):
            marks = [(f"M{i}", 5000 * (i + 1) / 41) for i in range(40)]
            panel = with_marks(panel, edge, marks)
        panels[panel.name] = panel
    return panels, [seam(LETTERS[k], f"strip {k}/aft", f"strip {k + 1}/fore") for k in range(3)]


def test_mark_names_without_room_are_left_out_and_told() -> None:
    page = PageRead(sheet(*strips()))
    told = next(text for text in page.texts("head") if "left out" in text)
    assert len(page.texts("mark-names")) < 320
    assert f"{320 - len(page.texts('mark-names'))} names" in told
    assert len(page.lines("marks")) == 320  # every mark keeps its tick


def test_names_and_letters_lie_inside_a_panel_with_room() -> None:
    panels, seams = gores(5)
    page = PageRead(sheet(panels, seams))
    area = page.layer("panels")
    assert area
    letters = [word for word in page.words("letters") if len(word.text) == 1]
    names = page.words("names")
    assert len(names) == 5
    for letter in letters:
        at = _middle(letter.box)
        assert min(math.dist(at, _middle(name.box)) for name in names) < 60


def test_names_with_signs_of_xml_survive() -> None:
    name = "<p & \"q\" 'r'>"
    panels = {name: box(name, 500, 500), "b": box("b", 500, 500, 600)}
    page = PageRead(sheet(panels, [seam("A&<", f"{name}/port", "b/starboard")]))
    assert name in page.texts("names")
    assert page.texts("letters") == ["A&<", "A&<"]
    assert f"{name}/port to b/starboard" in page.texts("list")


def test_two_seams_on_one_edge_have_a_stretch_each() -> None:
    panels = {"a": box("a", 900, 500), "b": box("b", 900, 500, 0, 700)}
    seams = [seam("A", "a/aft", "b/fore"), seam("B", "a/aft", "b/aft")]
    page = PageRead(sheet(panels, seams))
    letters = [word for word in page.words("letters") if word.text in {"A", "B"}]
    assert Counter(word.text for word in letters) == {"A": 2, "B": 2}
    assert overlapping(page.words()) == []


def test_the_paper_grows_with_the_job() -> None:
    few = PageRead(sheet(*grid(1, 2, 100)))
    many = PageRead(sheet(*grid(10, 20, 100)))
    assert (few.width, few.height) == (420, 297)
    assert many.width > few.width
    assert many.height / many.width < 1


def test_the_same_bytes_twice() -> None:
    assert sheet(*strips()) == sheet(*strips())


def test_a_point_is_inside_an_outline_or_not() -> None:
    square = polyline([(0, 0), (10, 0), (10, 10), (0, 10)], closed=True)
    points = np.array([[5.0, 5.0], [11.0, 5.0], [-1e-6, 5.0], [1e-6, 5.0]])
    assert Inclusion(square, 0.01).holds(points).tolist() == [True, False, False, True]


def test_panels_strewn_wide_are_laid_in_rows() -> None:
    panels = {"a": box("a", 500, 500), "b": box("b", 500, 500, 90_000)}
    page = PageRead(sheet(panels, [seam("A", "a/port", "b/starboard")]))
    assert "panels in rows" in " ".join(page.texts("head"))


def test_a_ring_outside_its_panel_stands_on_no_other() -> None:
    # Two narrow strips close to each other: between them there is no room for a ring.
    panels = [box("a", 5000, 50), box("b", 5000, 50, 0, 70)]
    frame = (0.0, 0.0, 420.0, 297.0)
    layout = lay_out(panels, Area(10, 30, 400, 230))
    assert layout.is_as_drawn
    outlines = [transformed(laid.outline, laid.matrix) for laid in layout.laid]
    ground = Ground(Taken(frame), Taken(frame), Taken(frame))
    ground.panels.take([bounds(outline) for outline in outlines])
    sides = [SeamEdge("A", "aft", backwards=False, verdict=Verdict.FITS)]
    for laid, outline, other in zip(layout.laid, outlines, outlines[::-1], strict=True):
        (spot,) = placed_letters(laid, outline, sides, ground)
        left, top, right, bottom = bounds(other)
        lies_on_other = any(
            x0 < right and x1 > left and y0 < bottom and y1 > top for x0, y0, x1, y1 in spot.boxes
        )
        assert spot.is_forced or not lies_on_other
        assert spot.is_forced is (laid.panel.name == "a")  # b's aft edge faces free paper


def test_a_job_without_seams_is_drawn_too() -> None:
    page = PageRead(draw_seam_sheet([box("a", 500, 500)], [], [], "A job"))
    assert "no seams" in page.texts("head")
    assert page.texts("names") == ["a"]
