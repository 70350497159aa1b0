"""Slide-in edge ropes: strips with the panel's marks, split at the centre, and what is refused."""

import math

import pytest

from cutpath.errors import InputError
from cutpath.geometry.chain import arc, line
from cutpath.parts.edge_ropes import edge_ropes
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

ALONG = {"along": ["p/bottom"], "name": "rope"}


def test_split_strips_walk_true_and_carry_the_panels_marks() -> None:
    bow = arc((0, 0), 2000, -math.pi / 2 - 0.25, 0.5)
    panel = with_marks(panel_with(bow), "bottom", [("a", 200.0), ("mid", 500.0), ("b", 900.0)])
    said = {**ALONG, "split": 40, "cloth": "c"}
    (part,) = edge_ropes((plan_of(panel),), job_of("edge_rope", said, cloths=["c"]))
    assert [plan.panel.name for plan in part.plans] == ["rope 1", "rope 2"]
    # Each strip is 470 long: from 10 to 480, and from 520 to 990.
    assert marks_on(part.plans[0].panel.marks, "sewn") == pytest.approx({"a": 280.0})
    assert marks_on(part.plans[1].panel.marks, "sewn") == pytest.approx({"b": 90.0})
    own = {"p": with_panel_marks(panel, part), **{p.panel.name: p.panel for p in part.plans}}
    for report in walk({**own}, [part.seams[0]]):
        assert report.difference == pytest.approx(0, abs=1e-6)
        assert report.verdict is not Verdict.OUT


def test_bought_rope_is_no_piece_but_a_length() -> None:
    panel = in_pair(panel_with(line((0, 0), (1000, 0))))
    (part,) = edge_ropes((plan_of(panel),), job_of("edge_rope", ALONG))
    assert part.plans == ()
    assert part.seams == ()
    assert part.supplies[0].amount == pytest.approx(2 * 980)


def test_a_strip_goes_round_its_cord() -> None:
    panel = panel_with(line((0, 0), (1000, 0)))
    said = {**ALONG, "rope": 6, "flap": 20, "cloth": "c"}
    (part,) = edge_ropes((plan_of(panel),), job_of("edge_rope", said, cloths=["c"]))
    assert number(part, "width of the strip") == pytest.approx(math.pi * 6 + 40)
    assert (part.plans[0].panel.name, part.seams[0].letter) == ("rope", "rope")
    assert part.supplies[0].name == "cord 6 mm"


@pytest.mark.parametrize(
    ("entries", "message"),
    [
        ([{**ALONG, "split": 990}], "nothing is left"),
        ([{**ALONG, "setbacks": [500, 495]}], "nothing is left"),
        ([{**ALONG, "cloth": "silk"}], "no cloth 'silk'"),
        ([ALONG, {**ALONG, "name": "again"}], "has two ropes"),
    ],
)
def test_ropes_that_cannot_be_are_told(entries: list[dict[str, object]], message: str) -> None:
    plans = (plan_of(panel_with(line((0, 0), (1000, 0)))),)
    with pytest.raises(InputError, match=message):
        edge_ropes(plans, job_of("edge_rope", *entries))
