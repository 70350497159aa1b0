"""Seams guessed from a bare drawing: right where it tells, and honest where it does not."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.geometry.chain import polyline
from cutpath.model import EdgeName, Panel
from cutpath.planning import Request, plan
from cutpath.walk.free_edges import free_edges
from cutpath.walk.guessing import SeamGuess, guess_seams
from tests.walk.gores import cone_gores, cylinder_gores, panel_of, straight_panel, with_marks
from tests.walk.planting import mirrored, planted, sound_job

SAMPLES = Path(__file__).parents[2] / "samples"
SHELTER = SAMPLES / "bow-shelter" / "shelter.dxf"
FIVE = {
    ("FRONT/top", "TOP/fore"),
    ("FRONT/port", "PORT SIDE/fore"),
    ("FRONT/starboard", "STARBOARD SIDE/fore"),
    ("PORT SIDE/top", "TOP/port"),
    ("STARBOARD SIDE/top", "TOP/starboard"),
}


def panels_in(drawing: Path) -> list[Panel]:
    return [each.panel for each in plan(Request(drawing, "", allowance=0.0)).plans]


def pair(guess: SeamGuess) -> tuple[str, str]:
    first, second = sorted((str(guess.first), str(guess.second)))
    return first, second


def likely(panels: Sequence[Panel]) -> dict[tuple[str, str], SeamGuess]:
    return {pair(guess): guess for guess in guess_seams(panels) if guess.is_likely}


def test_the_bow_shelter_gets_its_five_seams_and_no_other() -> None:
    guesses = guess_seams(panels_in(SHELTER))
    assert {pair(guess) for guess in guesses} == FIVE
    assert all(guess.certainty > 0.95 and guess.reverse and not guess.rivals for guess in guesses)
    top = next(guess for guess in guesses if pair(guess) == ("FRONT/top", "TOP/fore"))
    assert "7 marks agree within 0.1 mm" in top.reasons
    # The deck line bends where the front hoop stands, and nothing else runs on with a turn.
    bent = {pair(guess) for guess in guesses if guess.kink > math.radians(2)}
    assert bent == {("FRONT/port", "PORT SIDE/fore"), ("FRONT/starboard", "STARBOARD SIDE/fore")}


def without(tmp_path: Path, *kinds: str) -> list[Panel]:
    """Give the shelter's panels from a copy of its drawing without entities of these kinds."""
    document = ezdxf.readfile(SHELTER)  # type: ignore[attr-defined, unused-ignore]
    space = document.modelspace()
    gone = list(space.query(" ".join(kinds)))
    assert gone
    for entity in gone:
        space.delete_entity(entity)
    path = tmp_path / "bare.dxf"
    document.saveas(path)
    return panels_in(path)


def same_place(bare: Sequence[Panel]) -> dict[str, str]:
    """Give the name in the full drawing of each bare edge, by where it lies."""
    names = {}
    for panel in panels_in(SHELTER):
        for edge in panel.edges:
            names[tuple(np.round(edge.chain.points.mean(axis=0), 3))] = f"{panel.name}/{edge.name}"
    return {
        f"{panel.name}/{edge.name}": names[tuple(np.round(edge.chain.points.mean(axis=0), 3))]
        for panel in bare
        for edge in panel.edges
    }


def test_without_a_single_name_marks_still_tell_left_from_right(tmp_path: Path) -> None:
    bare = without(tmp_path, "TEXT", "MTEXT")
    assert not {panel.name for panel in bare} & {"FRONT", "TOP"}
    real = same_place(bare)
    found = {tuple(sorted(real[name] for name in names)) for names in likely(bare)}
    assert found == FIVE


def without_marks(panels: Sequence[Panel]) -> list[Panel]:
    return [
        replace(panel, name=f"p{number}", marks=()) for number, panel in enumerate(panels, start=1)
    ]


def renamed_sides(panel: Panel) -> Panel:
    edges = tuple(replace(edge, name=f"e{k}") for k, edge in enumerate(panel.edges))
    return replace(panel, edges=edges)


def test_without_names_and_marks_it_says_that_left_may_be_right() -> None:
    full = panels_in(SHELTER)
    bare = [renamed_sides(panel) for panel in without_marks(full)]
    real = {
        f"{new.name}/e{k}": f"{old.name}/{edge.name}"
        for new, old in zip(bare, full, strict=True)
        for k, edge in enumerate(old.edges)
    }
    found = {}
    for guess in guess_seams(bare):
        found[tuple(sorted(real[name] for name in pair(guess)))] = guess
    assert ("FRONT/top", "TOP/fore") in found
    # Either side may be left; each is told as the other's rival.
    sides = [guess for names, guess in found.items() if any("SIDE/fore" in name for name in names)]
    assert len(sides) == 2
    for guess in sides:
        assert guess.certainty < 0.6
        assert any("SIDE/fore" in real[str(rival)] for rival in guess.rivals)


@pytest.mark.parametrize("name", ["market-stall/side-wall.svg", "tool-roll/tool-roll.svg"])
def test_samples_without_plain_seams_get_questions_at_most(name: str) -> None:
    for guess in guess_seams(panels_in(SAMPLES / name)):
        assert guess.certainty < 0.45
        assert not guess.is_likely


@pytest.mark.parametrize("noise", [0.0, 0.3])
def test_nearly_all_seams_of_developments_are_named(noise: float) -> None:
    right = wanted = wrong = 0
    for seed in range(24):
        job = sound_job(np.random.default_rng(seed), noise=noise)
        found = likely(list(job.panels.values()))
        seams = {tuple(sorted((str(s.first), str(s.second)))) for s in job.seams}
        right += len(seams & found.keys())
        wanted += len(seams)
        wrong += sum(guess.certainty > 0.75 for names, guess in found.items() if names not in seams)
    assert right >= 0.95 * wanted
    assert wrong == 0


@pytest.mark.parametrize("kind", ["mark", "corner", "scaled", "counted"])
def test_a_fault_in_one_seam_hides_hardly_any(kind: str) -> None:
    right = wanted = 0
    for seed in range(8):
        job = planted(kind, np.random.default_rng(seed), noise=0.3).job
        found = likely(list(job.panels.values()))
        seams = {tuple(sorted((str(s.first), str(s.second)))) for s in job.seams}
        right += len(seams & found.keys())
        wanted += len(seams)
    # A seam whose marks run backwards on one edge is rightly doubted: that one may be missed.
    assert right >= (0.9 if kind == "counted" else 0.95) * wanted


def test_a_panel_traced_face_down_is_walked_the_same_way() -> None:
    job = sound_job(np.random.default_rng(3))
    joint = job.seams[1]
    over = mirrored(job.panels[joint.second.panel])
    panels = [over if panel.name == over.name else panel for panel in job.panels.values()]
    guess = likely(panels)[tuple(sorted((str(joint.first), str(joint.second))))]  # type: ignore[index]
    assert not guess.reverse
    assert "one of them traced face down" in guess.reasons


def half(name: str, marks: Sequence[tuple[str, float]], *, flip: bool) -> Panel:
    """Give one half of a cover: its curved edge is the centre seam."""
    bend = [(1000 + 90 * math.sin(t), 1200 * t / math.pi) for t in np.linspace(0, math.pi, 40)]
    panel = panel_of(
        name,
        {
            "low": polyline([(0, 0), bend[0]]),
            "middle": polyline(bend),
            "high": polyline([bend[-1], (0, 1100)]),
            "out": polyline([(0, 1100), (0, 0)]),
        },
        {"middle": marks},
    )
    return mirrored(panel) if flip else panel


def test_two_halves_are_joined_where_mark_names_say_so() -> None:
    marks = [("C1", 300.0), ("C2", 700.0)]
    panels = [half("left", marks, flip=False), half("right", marks, flip=True)]
    assert likely(panels).keys() == {("left/middle", "right/middle")}


def test_mirror_images_without_a_word_are_a_question_at_most() -> None:
    marks = [("", 300.0), ("", 700.0)]
    panels = [half("left", marks, flip=False), half("right", marks, flip=True)]
    guesses = guess_seams(panels)
    assert {pair(guess) for guess in guesses} == {("left/middle", "right/middle")}
    assert not guesses[0].is_likely


def test_other_names_on_the_marks_tell_left_from_right() -> None:
    panels = [
        half("left", [("P1", 300.0), ("P2", 700.0)], flip=False),
        half("right", [("S1", 300.0), ("S2", 700.0)], flip=True),
    ]
    assert guess_seams(panels) == ()


def test_a_dart_joins_two_edges_of_one_panel() -> None:
    panel = panel_of(
        "cap",
        {
            "low": polyline([(0, 0), (900, 0)]),
            "right": polyline([(900, 0), (900, 600)]),
            "top-1": polyline([(900, 600), (530, 600)]),
            "dart-1": polyline([(530, 600), (450, 210)]),
            "dart-2": polyline([(450, 210), (370, 600)]),
            "top-2": polyline([(370, 600), (0, 610)]),
            "left": polyline([(0, 610), (0, 0)]),
        },
    )
    found = likely([panel])
    assert ("cap/dart-1", "cap/dart-2") in found
    assert "both are edges of one panel, about a dart" in found["cap/dart-1", "cap/dart-2"].reasons


def test_gores_of_one_pattern_stand_for_each_other() -> None:
    found = likely(list(cylinder_gores(6, 700.0, 600.0, 0.5, 60).values()))
    guess = found["band 0/top", "band 1/bottom"]
    assert guess.certainty > 0.6
    assert not guess.rivals
    assert EdgeName("band 3", "top") in guess.copies
    assert all((f"band {k}/top", f"band {k + 1}/bottom") in found for k in range(5))


def test_edge_names_that_speak_of_panels_decide_between_equals() -> None:
    box = [(0, 0), (800, 0), (800, 500), (0, 500)]
    panels = [
        straight_panel("roof", box, ("fore", "starboard", "aft", "port")),
        straight_panel("port wall", [(0, 0), (500, 0), (510, 300), (0, 300)]),
        straight_panel("starboard wall", [(0, 0), (500, 0), (490, 310), (0, 310)]),
    ]
    found = likely(panels)
    assert any(names[1] == "roof/port" and "port wall" in names[0] for names in found)
    assert any(names[0] == "roof/starboard" and "starboard" in names[1] for names in found)


def test_a_mark_on_one_side_only_counts_against() -> None:
    plain = list(cylinder_gores(2, 700.0, 600.0, 0.5, 60).values())
    joined = guess_seams(plain)
    lone = [with_marks(plain[0], "top", [("a", 111.0), ("b", 333.0)]), plain[1]]
    before = next(guess for guess in joined if pair(guess) == ("band 0/top", "band 1/bottom"))
    after = [guess for guess in guess_seams(lone) if pair(guess) == ("band 0/top", "band 1/bottom")]
    assert not after or after[0].certainty < before.certainty


@given(st.integers(0, 10_000), st.integers(2, 7))
@settings(max_examples=25, deadline=None)
def test_an_edge_joins_at_most_one_and_the_order_of_panels_changes_nothing(
    seed: int, count: int
) -> None:
    rng = np.random.default_rng(seed)
    panels = []
    for k in range(count):
        angles = np.sort(rng.uniform(0, 2 * math.pi, 4)) + np.array([0.0, 0.3, 0.6, 0.9])
        corners = rng.uniform(400, 900) * np.column_stack([np.cos(angles), np.sin(angles)])
        panel = straight_panel(f"n{k}", corners)
        marks = [("", float(at)) for at in np.sort(rng.uniform(10, 90, rng.integers(0, 3)))]
        panels.append(with_marks(panel, "port", marks))
    guesses = guess_seams(panels)
    joined = [name for guess in guesses for name in (guess.first, guess.second)]
    assert len(joined) == len(set(joined))
    assert all(0 < guess.certainty < 1 for guess in guesses)
    assert guess_seams(panels) == guesses
    shuffled = [panels[k] for k in rng.permutation(count)]
    again = {pair(guess): guess.certainty for guess in guess_seams(shuffled)}
    assert again == pytest.approx({pair(guess): guess.certainty for guess in guesses})


def test_free_edges_are_asked_about_by_their_look() -> None:
    panels = panels_in(SHELTER)
    sewn = {name for guess in guess_seams(panels) for name in (guess.first, guess.second)}
    asked = {str(edge.name): edge.finish for edge in free_edges(panels, sewn)}
    assert asked == {
        "TOP/aft": "zip",
        "STARBOARD SIDE/bottom": "hem",
        "STARBOARD SIDE/aft": "hem",
        "FRONT/bottom": "bound",
        "PORT SIDE/aft": "hem",
        "PORT SIDE/bottom": "hem",
        "CHAFE PATCH/rim": "raw",
    }


def test_a_single_panel_has_no_seam() -> None:
    assert guess_seams([straight_panel("one", [(0, 0), (900, 0), (910, 400), (0, 420)])]) == ()
    assert guess_seams(list(cone_gores(1, 500, 900, 0.3).values())) == ()
