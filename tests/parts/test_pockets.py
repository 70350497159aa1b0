"""Tube pockets: their marks and seams, reinforced ends, pairs, and what they refuse."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.errors import InputError
from cutpath.geometry.chain import Chain, arc, joined, line, reversed_chain
from cutpath.geometry.measure import length
from cutpath.model import NotchShape, Panel
from cutpath.part_model import Part
from cutpath.parts.deriving import derive
from cutpath.parts.pockets import pockets
from cutpath.path.piece_making import Marking, make_pieces
from cutpath.seam_report import Verdict
from cutpath.walk.walking import walk
from tests.parts.laid_along import (
    in_pair,
    job_of,
    marks_on,
    number,
    panel_with,
    plan_of,
    with_panel_marks,
)
from tests.walk.gores import with_marks

STRAIGHT = line((0, 0), (1000, 0))
OUTWARD = arc((0, 0), 800, -math.pi * 0.7, math.pi * 0.4)


def pocket_on(panel: Panel, along: str = "p/bottom", **entry: object) -> Part:
    said = {"along": [along], "tube": 25, **entry}
    return pockets((plan_of(panel),), job_of("pocket", said))[0]


def edge(part: Part, name: str, plan: int = 0) -> Chain:
    return next(each.chain for each in part.plans[plan].panel.edges if each.name == name)


@settings(deadline=None, max_examples=15)
@given(
    st.floats(500, 4000), st.floats(0.25, 1.2), st.floats(0, 60), st.floats(0, 60),
    st.lists(st.floats(0.05, 0.95), max_size=4, unique=True),
)  # fmt: skip
def test_every_pocket_walks_true_against_its_panel(
    radius: float, angle: float, first: float, last: float, shares: list[float]
) -> None:
    bow = arc((0, 0), radius, -math.pi / 2 - angle / 2, angle)
    stations = [(f"m{k}", share * radius * angle) for k, share in enumerate(sorted(shares))]
    panel = with_marks(panel_with(bow), "bottom", stations)
    part = pocket_on(panel, setbacks=[first, last])
    host = with_panel_marks(panel, part)
    (report,) = walk({"p": host, "pocket 1": part.plans[0].panel}, part.seams)
    assert report.verdict is Verdict.FITS, report.symptoms
    assert report.difference == pytest.approx(0, abs=1e-6)
    assert report.shape.gap < 0.01
    assert all(abs(mark.difference) < 1e-6 for mark in report.marks)


def test_a_pocket_over_two_edges_has_a_seam_for_each() -> None:
    joint = OUTWARD.last
    way = np.array([math.sin(math.pi * 0.3), math.cos(math.pi * 0.3)])
    panel = panel_with(OUTWARD, line(joint, joint + 300 * way))
    said = {"along": ["p/bottom", "p/bottom 2"], "tube": 25, "setbacks": [50, 0]}
    (part,) = pockets((plan_of(panel),), job_of("pocket", said))
    reports = walk({"p": panel, "pocket 1": part.plans[0].panel}, part.seams)
    assert [seam.second.edge for seam in part.seams] == ["inner 1", "inner 2"]
    assert [report.difference for report in reports] == pytest.approx([0, 0], abs=1e-5)
    assert reports[1].first_length == pytest.approx(300)
    assert part.seams[1].span is None


def test_pleats_are_marked_where_they_are_folded() -> None:
    part = pocket_on(panel_with(OUTWARD), setbacks=[0, 0])
    found = marks_on(part.plans[0].panel.marks, "outer")
    count, depth = int(number(part, "pleats")), number(part, "pleat depth")
    folds = [(found[f"pleat {k + 1} from"], found[f"pleat {k + 1} to"]) for k in range(count)]
    assert [to - start for start, to in folds] == pytest.approx([depth] * count)
    # Folded away, the outer edge is as long as the panel's own.
    folded = length(edge(part, "outer")) - sum(to - start for start, to in folds)
    assert folded == pytest.approx(length(OUTWARD), abs=1e-3)
    assert all(before[1] < after[0] for before, after in itertools.pairwise(folds))


def test_marks_lie_opposite_on_the_second_seam() -> None:
    panel = with_marks(panel_with(OUTWARD), "bottom", [("a", 250.0)])
    part = pocket_on(panel, setbacks=[0, 0])
    width = number(part, "width between seams")
    found = marks_on(part.plans[0].panel.marks, "outer")
    assert found["a, second seam"] == pytest.approx(250 * (800 + width) / 800, rel=1e-4)


def test_ease_instead_of_pleats_is_told_where_cloth_would_ripple() -> None:
    part = pocket_on(panel_with(OUTWARD), room="ease", setbacks=[0, 0])
    assert not any("pleat" in mark.name for mark in part.plans[0].panel.marks)
    assert number(part, "ease of the outer edge") == pytest.approx(
        number(part, "width between seams") * math.pi * 0.4, abs=0.05
    )
    assert "without a ripple" in part.findings[0].message
    assert pocket_on(panel_with(arc((0, 0), 9000, -1.6, 0.05)), room="ease").findings == ()


def test_an_inward_edge_pulls_and_it_is_told() -> None:
    bow = arc((0, -1600), 800, math.pi * 0.7, -math.pi * 0.4)
    part = pocket_on(panel_with(bow), setbacks=[0, 0])
    assert "will pull" in part.findings[0].message
    assert number(part, "outer edge stretched by") == pytest.approx(
        number(part, "width between seams") * math.pi * 0.4, abs=0.05
    )


def test_reinforced_ends_have_the_shape_of_the_strip() -> None:
    part = pocket_on(panel_with(OUTWARD), reinforce=80)
    strip, first, last = (plan.panel for plan in part.plans)
    assert (first.name, last.name) == ("pocket 1 end 1", "pocket 1 end 2")
    for number_ in (1, 2):
        assert length(edge(part, "inner", number_)) == pytest.approx(80)
        assert length(edge(part, "outer", number_)) > 80
    assert [each.width > 0 for each in part.plans[1].allowances] == [True, True, True, False]
    assert [each.width > 0 for each in part.plans[2].allowances] == [True, False, True, True]
    assert len(strip.drawn) == 5 + 2
    with pytest.raises(InputError, match="meet"):
        pocket_on(panel_with(STRAIGHT), reinforce=460)


def test_a_paired_panel_gets_a_pair_of_strips() -> None:
    part = pocket_on(in_pair(panel_with(OUTWARD)))
    assert (part.plans[0].panel.count, part.plans[0].panel.mirrored) == (1, 1)
    sliders = next(supply for supply in part.supplies if supply.kind.value == "slider")
    assert sliders.amount == 4


def test_a_girth_may_be_measured_in_place_of_the_tube() -> None:
    part = pocket_on(panel_with(STRAIGHT), tube=None, girth=82, ease=5)
    assert number(part, "width between seams") == pytest.approx(87)
    for bad in ({"girth": 82}, {"tube": None}):
        with pytest.raises(InputError, match="tube"):
            pocket_on(panel_with(STRAIGHT), **bad)


def test_the_largest_tube_that_is_named_does_go() -> None:
    inward = arc((0, -300), 150, math.pi * 0.75, -math.pi / 2)
    with pytest.raises(InputError) as told:
        pocket_on(panel_with(inward), tube=60, bow=12, setbacks=[0, 0])
    largest = float(told.value.remedy.split("there is ")[1].split(" mm")[0])
    assert 0 < largest < 60
    pocket_on(panel_with(inward), tube=largest, bow=12, setbacks=[0, 0])
    with pytest.raises(InputError, match="no strip is so wide"):
        pocket_on(panel_with(inward), tube=largest + 0.2, bow=12, setbacks=[0, 0])


def test_a_pocket_is_cut_as_one_whole_piece() -> None:
    plans, parts = derive(
        (plan_of(with_marks(panel_with(OUTWARD), "bottom", [("a", 250.0)])),),
        job_of("pocket", {"along": ["p/bottom"], "tube": 25}),
    )
    (piece,), findings = make_pieces(plans[1], Marking(NotchShape.SLIT, 5.0, can_drill=True))
    assert findings == ()
    assert piece.inner_cuts == ()
    pleats_ = int(number(parts[0], "pleats"))
    # Two marks on each long edge (the panel's own and the centre), and two for each pleat.
    assert len(piece.notches) == 4 + 2 * pleats_


def test_an_edge_that_bends_both_ways_is_pleated_for_its_outward_bend_alone() -> None:
    outward = arc((0, 0), 800, -math.pi / 2 - 0.5, 0.5)
    inward = arc((0, -1600), 800, math.pi / 2, -0.5)
    both = joined([outward, inward])
    part = pocket_on(panel_with(both), setbacks=[0, 0])
    width = number(part, "width between seams")
    assert length(edge(part, "outer")) == pytest.approx(800, abs=0.01)
    count = number(part, "pleats")
    assert count == math.ceil(width * 0.5 / 10)
    assert count * number(part, "pleat depth") == pytest.approx(width * 0.5, abs=0.01)
    told = marks_on(part.plans[0].panel.marks, "outer")
    assert all(told[f"pleat {k + 1} to"] < 400 + width * 0.5 for k in range(int(count)))
    assert number(part, "outer edge stretched by") == pytest.approx(width * 0.5, abs=0.01)


def test_a_tube_too_large_is_told_with_the_place_of_the_bend() -> None:
    tight = arc((0, 0), 60, math.pi, math.pi / 2)
    before, after = line((-60, 500), (-60, 0)), line((0, -60), (300, -60))
    run = joined([before, tight, after])
    # Run the other way round it bends inward, its bend 300 to 394 mm along.
    with pytest.raises(InputError) as told:
        pocket_on(panel_with(reversed_chain(run)), tube=25, setbacks=[0, 0])
    assert "radius of 60 mm" in told.value.message
    at = float(told.value.message.split(" mm at ")[1].split(" mm")[0])
    assert 300 <= at <= 395
    assert told.value.source.key == "pocket[1]"
