"""Windows, patches and binding against plane geometry and the trade's figures."""

import itertools
import math
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from cutpath.errors import InputError
from cutpath.geometry.chain import Chain, arc, circle, line, polyline, reversed_chain
from cutpath.geometry.curvature import smallest_radius
from cutpath.geometry.loops import rounded_rectangle
from cutpath.geometry.measure import bounds, length, signed_area
from cutpath.model import Drill, Inner, InnerLoop
from cutpath.part_model import Part
from cutpath.parts.bindings import bindings
from cutpath.parts.deriving import derive
from cutpath.parts.patches import patches
from cutpath.parts.windows import windows
from cutpath.settings.job import Job
from cutpath.settings.job_file import JobFile
from cutpath.settings.panel_plan import PanelPlan
from tests.outside.test_parts_pockets import number, panel_with, plan_of
from tests.walk.gores import straight_panel

CLOTHS = {"film": {"width": 1370}, "c": {"width": 1500}}


def board(*loops: Chain) -> PanelPlan:
    """Give a panel of 2000 × 1200 mm with closed lines inside and two drill marks."""
    panel = straight_panel(
        "p", [(0, 0), (2000, 0), (2000, 1200), (0, 1200)], ("bottom", "right", "top", "left")
    )
    inner = tuple(
        InnerLoop(f"inner-{k}", reversed_chain(loop), Inner.CUT) for k, loop in enumerate(loops, 1)
    )
    drills = (Drill("d1", np.array([100.0, 60.0])), Drill("d2", np.array([1900.0, 60.0])))
    return plan_of(replace(panel, inner=inner, drills=drills))


def said(table: str, **entry: object) -> Job:
    return Job(JobFile.model_validate({"cloths": CLOTHS, table: [entry]}), Path("x.dxf"))


def window(plan: PanelPlan, **entry: object) -> Part:
    (part,) = windows((plan,), said("window", panel="p", film="film", **entry))
    return part


def film_of(part: Part, index: int = 0) -> Chain:
    return part.plans[index].panel.edges[0].chain


def test_film_is_the_opening_and_its_overlap_all_round() -> None:
    # Opening 600 × 400 r 50, overlap 20: film 640 × 440 r 70, 2039.8 around (the trade's figures).
    part = window(board(), at=(1000, 600), size=(600, 400), radius=50, overlap=20)
    film = film_of(part)
    x0, y0, x1, y1 = bounds(film)
    assert (x1 - x0, y1 - y0) == pytest.approx((640, 440))
    assert length(film) == pytest.approx(2039.8, abs=0.05)
    assert smallest_radius(film) == pytest.approx(70)
    assert number(part, "film corner") == pytest.approx(70)


def test_a_drawn_opening_is_not_cut_on_the_table() -> None:
    loop = rounded_rectangle(np.array([1000.0, 600.0]), 600, 400, 50)
    plans, (part,) = derive((board(loop),), said("window", panel="p", film="film", loop="inner-1"))
    host, film = plans
    assert host.panel.inner == (), "the knife leaves the cloth behind the film whole"
    # The opening, the film's edge, the line to cut by, and two ticks to lay it on by.
    assert len(host.panel.drawn) == 5
    assert len(host.panel.slits) == 4
    for slit in host.panel.slits:
        assert 7 < length(slit) < 8.1
    assert film.cloth == "film"
    assert film.label_height == 0
    assert part.on_panels[0].instead_of == ("inner-1",)


def test_a_wide_window_is_questioned_and_split_on_request() -> None:
    wide = window(board(), at=(1000, 600), size=(1500, 500), radius=60)
    assert "several panes" in wide.findings[0].message
    split = window(
        board(), at=(1000, 600), size=(1500, 500), radius=60, split=3, bar=80, overlap=15
    )
    assert split.findings == ()
    assert len(split.plans) == 3
    boxes = [bounds(film_of(split, k)) for k in range(3)]
    for one, other in itertools.pairwise(boxes):
        assert other[0] - one[2] == pytest.approx(80 - 2 * 15, abs=0.01)
    assert boxes[0][2] - boxes[0][0] == pytest.approx((1500 - 160) / 3 + 30, abs=0.01)


SHARP = polyline([(800, 400), (1200, 400), (1200, 800), (800, 800)], closed=True)


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ({"at": (1900, 600), "size": (400, 300)}, "reaches outside panel 'p'"),
        ({"at": (1000, 172), "size": (400, 300)}, "comes within"),
        ({"loop": "inner-2"}, "has no closed line 'inner-2'"),
        ({"loop": "inner-1"}, "sharp corner"),
        ({"at": (1000, 600), "size": (400, 300), "radius": 10}, "tighter than 25 mm"),
        ({"at": (1000, 600), "size": (400, 300), "radius": 190}, "do not fit"),
        (
            {"at": (1000, 600), "size": (1500, 500), "split": 2, "bar": 20, "overlap": 15},
            "more than half a bar",
        ),
        ({"at": (1000, 600), "size": (300, 300), "split": 6}, "cannot be split"),
    ],
)
def test_windows_that_cannot_be_are_told(entry: Mapping[str, object], message: str) -> None:
    with pytest.raises(InputError) as told:
        window(board(SHARP), **entry)
    assert message in str(told.value)


def test_films_that_meet_are_told() -> None:
    entries = [
        {"panel": "p", "film": "film", "at": (x, 600), "size": (400, 300), "radius": 50}
        for x in (700, 1120)
    ]
    job = Job(JobFile.model_validate({"cloths": CLOTHS, "window": entries}), None)
    with pytest.raises(InputError, match="meet"):
        windows((board(),), job)


def patch(plan: PanelPlan, **entry: object) -> Part:
    (part,) = patches((plan,), said("patch", panel="p", **entry))
    return part


def test_patches_over_every_drill_mark() -> None:
    part = patch(board(), over=["drills"], size=[80])
    (plan,) = part.plans
    assert plan.panel.count == 2
    assert signed_area(circle((0, 0), 40)) == pytest.approx(math.pi * 1600)
    assert length(plan.panel.edges[0].chain) == pytest.approx(math.pi * 80)
    assert len(part.on_panels[0].drawn) == 2


def test_a_corner_patch_follows_the_panels_outline() -> None:
    part = patch(board(), over=["corner bottom/right"], shape="corner", size=[200])
    loop = part.plans[0].panel.edges[0].chain
    # A quarter of a disc.
    assert length(loop) == pytest.approx(200 * (2 + math.pi / 2), rel=1e-4)


def test_layers_are_stepped() -> None:
    part = patch(
        board(), over=["edge bottom 1000 mm"], shape="rectangle", size=[200, 120], radius=20,
        layers=3, step=15,
    )  # fmt: skip
    sizes = []
    for plan in part.plans:
        x0, y0, x1, y1 = bounds(plan.panel.edges[0].chain)
        sizes.append((x1 - x0, y1 - y0))
    assert np.array(sizes) == pytest.approx(np.array([(200, 120), (170, 90), (140, 60)]), abs=0.01)
    # Half of it hangs over the edge: the pen draws what lies on the panel.
    x0, y0, x1, y1 = bounds(part.on_panels[0].drawn[0])
    assert y0 == pytest.approx(0, abs=0.01)


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ({"over": ["drill d9"]}, "no drill mark 'd9'"),
        ({"over": ["corner bottom/top"]}, "do not meet"),
        ({"over": ["corner botom/left"]}, "no edge 'botom'"),
        ({"over": ["edge bottom 3000 mm"]}, "is 2000.0 mm long"),
        ({"over": ["somewhere"]}, "names no place"),
        ({"over": ["drills"], "layers": 4, "size": [60]}, "comes to nothing"),
        ({"over": ["drills"], "cloth": "silk"}, "no cloth 'silk'"),
    ],
)
def test_patches_over_nothing_are_told(entry: Mapping[str, object], message: str) -> None:
    with pytest.raises(InputError) as told:
        patch(board(), **entry)
    assert message in str(told.value)


def test_a_patch_over_no_drill_marks_lies_over_nothing() -> None:
    bare = board()
    plan = replace(bare, panel=replace(bare.panel, drills=()))
    with pytest.raises(InputError, match="lies over nothing"):
        patch(plan, over=["drills"])


def bound(bottom: Chain, **entry: object) -> Part:
    plan = plan_of(panel_with(bottom), "bound", 0.0)
    (part,) = bindings((plan,), said("binding", along=["p/bottom"], **entry))
    return part


def test_binding_by_the_trades_figures() -> None:
    # 5000 mm, two ends of 50, one join of 25, 5 % waste: 5381 mm.
    part = bound(line((0, 0), (5000, 0)), joins=1)
    (supply,) = part.supplies
    assert supply.amount * (1 + supply.waste) == pytest.approx(5381.25)


def test_bias_strip_by_area() -> None:
    part = bound(line((0, 0), (5000, 0)), cloth="c", width=10)
    (plan,) = part.plans
    # 40 mm strips at 45° across 1500 mm: (1500 − 80) · √2 − 25 = 1983 mm each; 5355 mm need three.
    assert plan.panel.count == 3
    assert plan.panel.grain == pytest.approx(math.pi / 4)
    each = length(plan.panel.edges[0].chain)
    assert 3 * (each - 25) == pytest.approx((5000 + 100) * 1.05, abs=0.1)


@pytest.mark.parametrize(
    ("radius", "tape", "is_told"),
    [
        (28.0, "bias", True),
        (29.0, "bias", False),
        (150.0, "straight", True),
        (200.0, "straight", False),
    ],
)
def test_bends_that_the_tape_cannot_follow_are_told(
    radius: float, tape: str, is_told: bool
) -> None:
    # Bias binding of 9.5 mm follows 28.5 mm and more outward; straight 20 times its width.
    bow = arc((0, 0), radius, -math.pi * 0.75, math.pi / 2)
    part = bound(bow, tape=tape)
    assert bool(part.findings) is is_told


def test_edges_with_an_allowance_are_not_bound() -> None:
    plan = plan_of(panel_with(line((0, 0), (500, 0))))
    with pytest.raises(InputError, match="cut on the line"):
        bindings((plan,), said("binding", along=["p/bottom"]))


def test_pairs_get_pairs() -> None:
    # Port as drawn, starboard mirrored: each has its film and its corner patch, handed like it.
    plan = board()
    pair = replace(plan, panel=replace(plan.panel, count=1, mirrored=1))
    film = window(pair, at=(1000, 600), size=(600, 400), tape=True)
    single = window(plan, at=(1000, 600), size=(600, 400), tape=True)
    assert (film.plans[0].panel.count, film.plans[0].panel.mirrored) == (1, 1)
    assert film.supplies[0].amount == pytest.approx(2 * single.supplies[0].amount)
    assert film.stitching[0].length == pytest.approx(2 * single.stitching[0].length)
    corner = patch(pair, over=["corner bottom/right"], shape="corner", size=[200])
    assert (corner.plans[0].panel.count, corner.plans[0].panel.mirrored) == (1, 1)
    disc = patch(pair, over=["drills"])
    assert (disc.plans[0].panel.count, disc.plans[0].panel.mirrored) == (4, 0)


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ({"cloth": "c", "tape": "straight"}, "is bought"),
        ({"cloth": "c", "width": 400}, "too narrow"),
        ({"cloth": "unmeasured"}, "has no width"),
    ],
)
def test_strips_that_cannot_be_cut_are_told(entry: Mapping[str, object], message: str) -> None:
    plan = plan_of(panel_with(line((0, 0), (5000, 0))), "bound", 0.0)
    said_so = {"along": ["p/bottom"], **entry}
    cloths = {**CLOTHS, "unmeasured": {}}
    job = Job(JobFile.model_validate({"cloths": cloths, "binding": [said_so]}), Path("x.dxf"))
    with pytest.raises(InputError, match=message) as told:
        bindings((plan,), job)
    assert "binding" in str(told.value)


def test_a_length_that_cannot_be_read_says_where() -> None:
    with pytest.raises(InputError) as told:
        patch(board(), over=["edge bottom 1,5 m"])
    assert "patch" in str(told.value)
