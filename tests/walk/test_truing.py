"""Small differences shared by both edges of a seam."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.geometry.measure import length
from cutpath.model import EdgeName, Panel, Seam
from cutpath.seam_report import Verdict
from cutpath.walk.truing import true_seams
from cutpath.walk.walking import walk
from tests.walk.gores import seam, straight_panel, with_marks

QUAD = ("a", "b", "c", "d")


def shaken(rng: np.random.Generator, name: str, by: float) -> Panel:
    corners = np.array([(0, 0), (900, -40), (1000, 620), (60, 580)]) + rng.uniform(-by, by, (4, 2))
    return straight_panel(name, corners, QUAD)


def ring(seed: int, by: float = 0.35) -> tuple[dict[str, Panel], tuple[Seam, ...]]:
    """Give three panels joined one to the next by edges of 660 mm or so, each with a mark."""
    rng = np.random.default_rng(seed)
    panels = {}
    for name in "xyz":
        panel = shaken(rng, name, by)
        for edge in ("b", "d"):
            panel = with_marks(panel, edge, [("q", 300 + rng.uniform(-0.4, 0.4))])
        panels[name] = panel
    # b of 667 mm against d of 583 mm: lengths are brought together first.
    for name, panel in panels.items():
        corners = [edge.chain.first for edge in panel.edges]
        run = corners[3] - corners[0]
        size = length(panel.edges[1].chain) + rng.uniform(-1, 1)
        corners[3] = corners[0] + run / np.hypot(*run) * size
        panels[name] = replace(panel, edges=straight_panel(name, corners, QUAD).edges)
    seams = tuple(
        seam(letter, f"{one}/b", f"{other}/d", true=True)
        for letter, one, other in (("A", "x", "y"), ("B", "y", "z"), ("C", "z", "x"))
    )
    return panels, seams


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 10_000))
def test_lengths_and_marks_agree_exactly_and_nothing_moves_beyond_tolerance(seed: int) -> None:
    panels, seams = ring(seed)
    before = walk(panels, seams)
    after, told = true_seams(panels, before)
    again = {report.seam.letter: report for report in walk(after, seams)}
    for trued in told:
        report = again[trued.seam]
        if trued.why_not:
            assert report.verdict is Verdict.OUT or trued.corner_move == 0
            continue
        assert abs(report.difference) < 1e-8
        assert all(abs(mark.difference) < 1e-8 for mark in report.marks)
        assert trued.corner_move <= report.length_limit
        assert trued.mark_move <= report.seam.mark_tolerance
    for name, panel in after.items():
        for new, old in zip(panel.edges, panels[name].edges, strict=True):
            assert np.hypot(*(new.chain.first - old.chain.first)) <= 1.5 + 1e-9


def pair(
    difference: float, *, mark: float = 0.0, **settings: object
) -> tuple[dict[str, Panel], Seam]:
    one = straight_panel("x", [(0, 0), (800, 0), (800, 500), (0, 500)], QUAD)
    other = straight_panel(
        "y", [(0, 0), (800, 0), (800, 500 + difference), (0, 500 + difference)], QUAD
    )
    one = with_marks(one, "b", [("q", 200.0)])
    other = with_marks(other, "d", [("q", 300.0 + difference / 2 + mark)])
    joint = seam("A", "x/b", "y/d", true=True, **settings)
    return {"x": one, "y": other}, joint


def test_each_edge_takes_half() -> None:
    panels, joint = pair(1.2)
    after, (told,) = true_seams(panels, walk(panels, [joint]))
    sizes = [length(after["x"].edges[1].chain), length(after["y"].edges[3].chain)]
    assert sizes == pytest.approx([500.6, 500.6])
    assert told.shared == pytest.approx(1.2)
    assert told.why_not == ""


def test_wanted_ease_stays() -> None:
    panels, joint = pair(8.0, ease=7.0)
    after, _ = true_seams(panels, walk(panels, [joint]))
    first, second = length(after["x"].edges[1].chain), length(after["y"].edges[3].chain)
    assert second - first == pytest.approx(7.0)
    assert walk(after, [joint])[0].difference == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("difference", "mark", "reason"), [(4.0, 0.0, "out by 4.0 mm"), (0.0, 2.0, "marks are off")]
)
def test_what_is_out_of_tolerance_is_left_alone(
    difference: float, mark: float, reason: str
) -> None:
    panels, joint = pair(difference, mark=mark)
    after, (told,) = true_seams(panels, walk(panels, [joint]))
    assert reason in told.why_not
    assert after == panels


def test_a_seam_that_does_not_ask_keeps_its_lengths() -> None:
    panels, joint = pair(1.2)
    other = seam("B", "x/c", "y/c")
    kept = length(panels["x"].edges[2].chain), length(panels["y"].edges[2].chain)
    after, (told,) = true_seams(panels, walk(panels, [joint, other]))
    assert told.seam == "A"
    assert (length(after["x"].edges[2].chain), length(after["y"].edges[2].chain)) == pytest.approx(
        kept, abs=1e-9
    )


def test_a_corner_that_would_move_too_far_keeps_the_seam_from_being_trued() -> None:
    # Two sewn edges nearly in one line with a third: their lengths can only give way sideways.
    flat = straight_panel("x", [(0, 0), (1000, 0), (500, 8)], ("a", "b", "c"))
    sizes = [length(edge.chain) for edge in flat.edges]
    panels = {"x": flat}
    seams = []
    for letter, edge, size in zip("ABC", "abc", sizes, strict=True):
        longer = size + (0.0 if edge == "a" else -0.1)
        name = f"strip {edge}"
        panels[name] = straight_panel(name, [(0, 0), (50, 0), (50, longer), (0, longer)], QUAD)
        seams.append(seam(letter, f"x/{edge}", f"{name}/b", true=True))
    after, told = true_seams(panels, walk(panels, seams))
    assert any("a corner would have to move" in trued.why_not for trued in told)
    moved = [
        np.hypot(*(new.chain.first - old.chain.first))
        for new, old in zip(after["x"].edges, flat.edges, strict=True)
    ]
    assert max(moved) <= 2.0


def test_an_edge_in_two_trued_seams_is_told() -> None:
    panels, joint = pair(1.0)
    again = replace(joint, letter="B", second=EdgeName("y", "b"))
    _, told = true_seams(panels, walk(panels, [joint, again]))
    assert ["another seam" in trued.why_not for trued in told] == [False, True]
