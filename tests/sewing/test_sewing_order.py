"""The order of sewing: it works, and it handles the least."""

import itertools
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.errors import InputError
from cutpath.model import EdgeName
from cutpath.part_model import OnPanel, Part, PartKind
from cutpath.planning import Planned, Request, plan
from cutpath.settings.job import Job
from cutpath.settings.job_file import JobFile
from cutpath.sewing.ordering import sewing_plan
from cutpath.sewing.steps import steps_of
from cutpath.sewing_plan import SewingPlan, Step, StepKind

SHELTER = Path(__file__).parents[2] / "samples" / "bow-shelter" / "job.toml"
NO_JOB = Job(JobFile(), None)


def is_after_its_needs(steps: Sequence[Step]) -> bool:
    place = {step.name: index for index, step in enumerate(steps)}
    return all(place[need] < place[step.name] for step in steps for need in step.needs)


def joins(pairs: Sequence[tuple[str, str]]) -> list[Step]:
    return [Step(f"join {i}", StepKind.JOIN, "", pair) for i, pair in enumerate(pairs)]


def handled_by(order: Sequence[Step], areas: dict[str, float]) -> float:
    """Give what an order of joins handles, by its plain meaning."""
    groups = [{name} for name in areas]
    whole = 0.0
    for step in order:
        touched = [group for group in groups if group & set(step.panels)]
        groups = [group for group in groups if group not in touched]
        groups.append(set().union(*touched))
        whole += sum(areas[name] for name in groups[-1])
    return whole


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 10_000), st.integers(2, 5), st.integers(1, 5))
def test_no_order_of_joins_handles_less(seed: int, panels: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    areas = {f"p{i}": float(rng.integers(1, 50)) for i in range(panels)}
    pairs = [tuple(rng.choice(list(areas), 2, replace=False).tolist()) for _ in range(count)]
    steps = joins(pairs)
    plan_ = sewing_plan(steps, areas, NO_JOB)
    least = min(handled_by(order, areas) for order in itertools.permutations(steps))
    assert sum(plan_.handled) == pytest.approx(least)
    assert plan_.is_best


def test_many_joins_still_come_in_an_order_that_works() -> None:
    areas = {f"p{i}": 10.0 + i for i in range(30)}
    steps = joins([(f"p{i}", f"p{i + 1}") for i in range(29)])
    steps[3] = replace(steps[3], needs=("join 20",))
    plan_ = sewing_plan(steps, areas, NO_JOB)
    assert not plan_.is_best
    assert len(plan_.steps) == 29
    assert is_after_its_needs(plan_.steps)


def shelter() -> tuple[Planned, list[Part]]:
    """Give the bow shelter with a patch, a window, a pocket and straps."""
    parts = [
        Part("chafe patch", PartKind.PATCH, on_panels=(OnPanel("port"),)),
        Part("pane", PartKind.WINDOW, on_panels=(OnPanel("front"),)),
        Part("aft pocket", PartKind.POCKET, runs=(EdgeName("top", "aft"),)),
        Part("hold-downs", PartKind.WEBBING, on_panels=(OnPanel("port"),)),
    ]
    return plan(Request(SHELTER, "")), parts


def planned_sewing(job: Job | None = None) -> SewingPlan:
    planned, parts = shelter()
    traced = {panel.name for panel in planned.traced}
    plans = [each for each in planned.plans if each.panel.name in traced]
    steps = steps_of(plans, planned.seams, parts, job or planned.job)
    return sewing_plan(steps, dict.fromkeys(traced, 1.0), job or planned.job)


def test_the_shelter_is_sewn_in_an_order_that_works() -> None:
    steps = planned_sewing().steps
    assert is_after_its_needs(steps)
    names = [step.name for step in steps]
    place = {name: index for index, name in enumerate(names)}
    # What is common practice (no source), step by step.
    assert place["patch chafe patch"] < min(place["join B"], place["join D"])
    assert place["film pane"] < min(place[f"join {letter}"] for letter in "ABC")
    for letter in "ABCDE":
        assert names[place[f"join {letter}"] + 1] == f"top-stitch {letter}"
    assert place["pocket aft pocket"] > max(place["top-stitch D"], place["top-stitch E"])
    assert place["bind front/bottom"] > max(place["top-stitch B"], place["top-stitch C"])
    assert names[-1] == "open pane"


def test_a_hem_runs_on_across_a_seam_and_waits_for_it() -> None:
    steps = {step.name: step for step in planned_sewing().steps}
    # The sides' hems end on the front's bound edge, so each is a hem of its own.
    assert "top-stitch B" in steps["hem port/bottom"].needs
    # The zip goes from one foot over the top to the other; the pocket has the top's part.
    assert {name for name in steps if name.startswith("zip ")} == {
        "zip port/aft", "zip starboard/aft",
    }  # fmt: skip


def test_the_job_may_overrule_and_is_told_of_a_circle() -> None:
    job = Job(
        JobFile.model_validate({"sewing": [{"step": "join A", "after": ["hem port/bottom"]}]}), None
    )
    names = [step.name for step in planned_sewing(job).steps]
    assert names.index("hem port/bottom") < names.index("join A")
    circle = Job(
        JobFile.model_validate({"sewing": [{"step": "join B", "after": ["hem port/bottom"]}]}), None
    )
    with pytest.raises(InputError, match=r"wait for each other.*join B"):
        planned_sewing(circle)
    unknown = Job(JobFile.model_validate({"sewing": [{"step": "join Q", "after": []}]}), None)
    with pytest.raises(InputError, match="no step 'join Q'"):
        planned_sewing(unknown)
