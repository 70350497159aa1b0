"""Straps: lengths, folds, places on panels, buckles, and what is refused."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.errors import InputError
from cutpath.geometry.chain import line
from cutpath.geometry.measure import bounds, length
from cutpath.model import Drill, Mark
from cutpath.part_model import Part, SupplyKind
from cutpath.parts.webbing import webbings
from cutpath.parts.webbing_list import webbing_lists
from cutpath.settings.job import Job
from cutpath.settings.job_file import JobFile
from cutpath.settings.panel_plan import PanelPlan
from tests.parts.laid_along import panel_with, plan_of

KIND = {"fibre": "polyester", "width": 25, "thickness": 1.5}


def job_of(*entries: dict[str, Any], **kind: Any) -> Job:
    said = {"webbings": {"w": {**KIND, **kind}}, "webbing": [{"of": "w", **e} for e in entries]}
    return Job(JobFile.model_validate(said), None)


def host(count: int = 1, mirrored: int = 0) -> PanelPlan:
    """Give a panel 1000 wide and 900 high, a mark in the middle of its bottom, a drill mark."""
    panel = panel_with(line((0, 0), (1000, 0)))
    mark = Mark("CL", "bottom", 500.0, panel.source)
    drill = Drill("d1", np.array([500.0, 600.0]))
    return plan_of(replace(panel, marks=(mark,), drills=(drill,), count=count, mirrored=mirrored))


def strap(*plans: PanelPlan, **entry: Any) -> Part:
    (part,) = webbings(plans, job_of(entry))
    return part


sizes = st.just(0.0) | st.floats(1.0, 200.0)


@given(st.floats(200, 3000), st.lists(sizes, max_size=2), st.floats(0, 60), st.booleans())
def test_folding_a_strap_gives_its_finished_length(
    finished: float, backs: list[float], bar: float, sealed: bool
) -> None:
    (piece,) = strap(length=finished, turn_backs=backs, bar=bar, sealed=sealed).webbing
    wrap = math.pi * (bar + 1.5) / 2 if bar else 0.0
    ends = [0.0, piece.length]
    for fold in piece.marks:
        side = 0 if fold < piece.length / 2 else 1
        ends[side] = fold + (wrap / 2 if side == 0 else -wrap / 2)
    if len(piece.marks) == len([back for back in backs if back > 0]) == 2:
        assert ends[1] - ends[0] == pytest.approx(finished)
    for begin, end in piece.boxes:
        assert 0 <= begin < end <= piece.length
    assert len(piece.boxes) == len(piece.marks)


def test_boxes_lie_over_the_ends_that_are_turned_back() -> None:
    # Cut 724.4: 2 melted, 50 turned back, half-wrap 10.2, then the run with the box 6 mm inside the
    # 50 mm that the end covers.
    (piece,) = strap(length=600, turn_backs=[50, 50], bar=5).webbing
    wrap = math.pi * 6.5 / 2
    (first, second) = piece.boxes
    assert first == pytest.approx((2 + 50 + wrap + 6, 2 + 50 + wrap + 44))
    assert second == pytest.approx((piece.length - first[1], piece.length - first[0]))


def test_a_path_runs_over_places_that_have_names() -> None:
    part = strap(
        host(), panel="p", path=["mark CL", "drill d1", "corner right/top", "edge top 250 mm"]
    )
    whole = 600 + math.hypot(500, 300) + 250
    (piece,) = part.webbing
    assert piece.length == pytest.approx(whole + 4)


def test_the_pen_draws_where_the_strap_lies() -> None:
    part = strap(host(), panel="p", path=["mark CL", [500, 400]])
    (on_panel,) = part.on_panels
    boxes = np.array([bounds(chain) for chain in on_panel.drawn])
    assert boxes[:, 0].min() == pytest.approx(487.5)
    assert boxes[:, 2].max() == pytest.approx(512.5)
    assert sum(length(chain) for chain in on_panel.drawn) > 2 * 397
    rows = [row.length for row in part.stitching]
    assert rows == pytest.approx([800])


def test_what_lies_beyond_the_panel_is_strap_but_not_drawn() -> None:
    part = strap(host(), panel="p", path=[[500, 800], [500, 1500]])
    assert part.webbing[0].length == pytest.approx(704)
    assert max(bounds(chain)[3] for chain in part.on_panels[0].drawn) <= 900.001
    with pytest.raises(InputError, match="no part of the path"):
        strap(host(), panel="p", path=[[5000, 800], [5000, 1500]])


def test_each_panel_that_is_cut_gets_its_straps() -> None:
    part = strap(host(count=1, mirrored=1), panel="p", length=500, count=3, turn_backs=[50])
    once = strap(host(), panel="p", length=500, count=3, turn_backs=[50])
    assert (part.webbing[0].count, once.webbing[0].count) == (6, 3)
    assert part.supplies[0].amount == pytest.approx(2 * once.supplies[0].amount)
    assert part.stitching[0].length == pytest.approx(2 * once.stitching[0].length)


def test_buckles_come_with_tabs() -> None:
    # A tab 60 mm long when folded round a bar of 5: 2 · 60 + π · 6.5 / 2 + 4.
    part = strap(length=500, count=3, buckles=1)
    tab = part.webbing[1]
    assert (tab.name, tab.count) == ("webbing 1 tab", 3)
    assert tab.length == pytest.approx(120 + math.pi * 6.5 / 2 + 4)
    assert tab.marks == pytest.approx([tab.length / 2])
    buckles = [each for each in part.supplies if each.kind is SupplyKind.FASTENER]
    assert [(each.name, each.amount) for each in buckles] == [("buckle for webbing of 25 mm", 3)]


def test_the_list_by_roll_takes_remnants_first() -> None:
    job = job_of(
        {"length": 600, "turn_backs": [50, 50], "bar": 5, "count": 3}, {"length": 600},
        on_hand=["3 m"],
    )  # fmt: skip
    (found,) = webbing_lists(webbings((), job), job)
    # 3 × 724.4 + 604 and four cuts of 2 mm: 214.8 of 3 m are left.
    (bar,) = found.cuts.bars
    assert not bar.is_new
    assert bar.left == pytest.approx(214.8, abs=0.1)  # 724.42 and not 724.4
    assert [found.names[i] for i in bar.pieces] == ["webbing 1"] * 3 + ["webbing 2"]


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ({"of": "x", "length": 500}, "no webbing 'x'"),
        ({"panel": "q", "length": 500}, "no panel 'q'"),
        ({"panel": "p", "path": ["corner right/bottom", "mark Q"]}, "no mark 'Q'"),
        ({"panel": "p", "path": ["corner right/left", "mark CL"]}, "do not meet"),
        ({"panel": "p", "path": ["edge bottom 2 m", "mark CL"]}, "not on it"),
        ({"panel": "p", "path": ["somewhere", "mark CL"]}, "names no place"),
        ({"panel": "p", "path": ["mark CL", [500, 0]]}, "are one"),
        ({"length": 40, "turn_backs": [50]}, "cannot be turned back"),
    ],
)
def test_bad_straps_are_told_with_their_place(entry: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        webbings((host(),), job_of(entry))
    assert caught.value.source is not None
    assert caught.value.source.key.startswith("webbing[1]")
    assert caught.value.remedy or "edge" in words or "mark" in words or "panel" in words


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ({}, "either length or path"),
        ({"length": 5, "path": [[0, 0], [1, 1]]}, "either length or path"),
        ({"path": [[0, 0]]}, "two places"),
        ({"path": ["mark CL", [0, 0]]}, "panel"),
        ({"length": -5}, "more than 0"),
        ({"length": 5, "turn_backs": [-1]}, "negative"),
        ({"length": 5, "count": 0}, "greater than or equal"),
        ({"length": 5, "buckles": 3}, "less than or equal"),
    ],
)
def test_settings_refuse_what_makes_no_strap(entry: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        job_of(entry)


def test_what_to_mind_is_told() -> None:
    said = [finding.message for finding in strap(length=500, turn_backs=[20], bar=5).findings]
    assert any("short for a box" in words for words in said)
    said = [finding.message for finding in strap(length=500, bar=5).findings]
    assert any("nothing is turned back" in words for words in said)
    (part,) = webbings((), job_of({"length": 500}, fibre="nylon"))
    assert any("shrinks" in finding.message for finding in part.findings)
    assert strap(length=500).findings == ()


def test_every_length_says_why() -> None:
    part = strap(length=600, turn_backs=[50, 50], bar=5, buckles=1)
    told = {reason.what: reason for reason in part.reasons}
    assert told["cut length"].value == pytest.approx(part.webbing[0].length)
    assert "600 + 50 + 50 + 2 · π(5 + 1.5)/2 + 2 · 2" in told["cut length"].formula
    assert told["tab of a buckle"].value == pytest.approx(part.webbing[1].length)
    assert all(reason.source for reason in part.reasons)
