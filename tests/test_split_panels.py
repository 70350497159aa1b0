"""A panel cut in two parts: sheet, templates and purchases know of it as the cutting does."""

from pathlib import Path

import pytest

from cutpath.geometry.measure import length
from cutpath.paper.template import Shown
from cutpath.papering import templates_of
from cutpath.planning import Planned, Request, plan
from cutpath.purchasing import purchases
from cutpath.sheet.work_sheet import WorkSheet
from cutpath.sheeting import make_sheet

SHELTER = Path(__file__).parents[1] / "samples" / "bow-shelter"


@pytest.fixture(scope="module")
def split_job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shelter on narrower cloth, its top split along the warp."""
    text = (SHELTER / "job.toml").read_text(encoding="utf-8")
    assert text.count("[panels.top]\n") == 1
    text = text.replace("[panels.top]\n", '[panels.top]\nsplit = ["450 mm"]\n')
    text = text.replace('drawing = "', f'drawing = "{SHELTER.as_posix()}/')
    job = tmp_path_factory.mktemp("split") / "job.toml"
    job.write_text(text, encoding="utf-8")
    return job


@pytest.fixture(scope="module")
def sheet(split_job: Path) -> tuple[Planned, WorkSheet]:
    return make_sheet(Request(split_job, ""))


def thread_of(planned: Planned) -> float:
    (line,) = [x for x in purchases(planned, ()).lines if x.supply.kind.value == "thread"]
    return line.supply.amount


def test_the_sheet_lists_the_parts_and_their_seam(sheet: tuple[Planned, WorkSheet]) -> None:
    planned, page = sheet
    assert {"top a", "top b"} <= {line.piece.panel for line in page.pieces}
    assert "top" not in {line.piece.panel for line in page.pieces}
    (seam,) = [line for line in page.seams if line.first == "top a/split"]
    assert seam.second == "top b/split"
    assert seam.letter not in {each.letter for each in planned.seams}
    (split,) = planned.splits.made
    run = length(split.parts[0].panel.edge("split").chain)
    assert float(seam.length) == pytest.approx(run, abs=0.5)


def test_parts_are_joined_before_anything_else_touches_the_panel(
    sheet: tuple[Planned, WorkSheet],
) -> None:
    steps = sheet[1].sewing.steps
    made = next(number for number, step in enumerate(steps) if step.name == "make up top")
    touching = [number for number, step in enumerate(steps) if "top" in step.panels]
    assert made == min(touching)


def test_templates_are_those_of_the_parts_with_all_letters(
    sheet: tuple[Planned, WorkSheet],
) -> None:
    planned, _ = sheet
    templates = {each.name: each for each in templates_of(planned, Shown())}
    assert "top" not in templates
    (split,) = planned.splits.made
    # Seams D and E run along the sides, which both parts have; A only along the fore edge.
    for part, own in (("top a", {"D", "E"}), ("top b", {"A", "D", "E"})):
        words = {word.text for word in templates[part].drawing.words}
        assert own | {split.seams[0].letter} <= words
    assert "A" not in {word.text for word in templates["top a"].drawing.words}


def test_thread_for_the_new_seam_is_bought(
    split_job: Path, sheet: tuple[Planned, WorkSheet]
) -> None:
    whole = plan(Request(SHELTER / "job.toml", ""))
    planned, _ = sheet
    (split,) = planned.splits.made
    more = thread_of(planned) - thread_of(whole)
    # Lockstitch takes at least the length of the seam twice for each row of stitching.
    rows = planned.job.said.thread.seam_rows
    assert more > 2 * rows * split.lengths[0]
    assert more < 4 * rows * split.lengths[0]
