"""A file's bytes told apart by strokes, judged by reading the file back by its language."""

import json
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from cutpath.cut_file import CutFile
from cutpath.delivery import deliver
from cutpath.geometry.measure import bounds
from cutpath.geometry.transform import transformed
from cutpath.pipeline import Cut, cut, files_to_deliver
from cutpath.planning import Request
from cutpath.settings.profile import Language
from cutpath.settings.run_file import read_run, run_text

TOOL_ROLL = Path(__file__).parents[1] / "samples/tool-roll/tool-roll.svg"
MACHINES = ("flatbed-hpgl", "flatbed-hpgl2", "gantry-rs274")


@cache
def outcome(machine: str) -> Cut:
    return cut(Request(TOOL_ROLL, machine, 12.7))


def places(file: CutFile) -> list[int]:
    """Where in the bytes each tool-down run of the file begins, by its reader."""
    found = [stroke.place for stroke in file.written.reading.strokes]
    if file.run.profile.language is not Language.RS274:
        return found
    begins = np.cumsum([0, *map(len, file.run.data.splitlines(keepends=True))])
    return [int(begins[line - 1]) for line in found]


@pytest.mark.parametrize("machine", MACHINES)
def test_the_bytes_of_a_stroke_draw_that_stroke(machine: str) -> None:
    for file in outcome(machine).files:
        run = file.run
        drawn: dict[int, list[np.ndarray]] = {}
        for place, stroke in zip(places(file), file.written.reading.strokes, strict=True):
            drawn.setdefault(run.stroke_at(place), []).append(stroke.chain.points)
        assert sorted(drawn) == list(range(len(run.strokes)))
        matrix = run.profile.bed_to_machine()
        for number, each in enumerate(run.strokes):
            asked = np.array(bounds(transformed(each.toolpath.chain, matrix)))
            points = np.concatenate(drawn[number])
            got = np.concatenate([points.min(axis=0), points.max(axis=0)])
            # A drag blade and its overcut go a little beyond the line; arcs bulge out of chords.
            assert np.abs(asked - got).max() < 8.0


@pytest.mark.parametrize("machine", MACHINES)
def test_no_byte_is_left_over_and_time_only_grows(machine: str) -> None:
    for file in outcome(machine).files:
        run = file.run
        assert all(a.last == b.first for a, b in pairwise(run.strokes))
        assert 0 < run.preamble < run.ending <= len(run.data)
        times = [stroke.seconds for stroke in run.strokes]
        assert times == sorted(times)
        assert times[0] > 0
        assert times[-1] == pytest.approx(file.written.clock.total, abs=1e-3)
        lifts = [b"PU;"] if machine != "gantry-rs274" else [b"G0 Z8"]
        for each in run.strokes:
            assert run.data[each.first : each.last].rstrip().endswith(tuple(lifts))
        assert tuple(stroke.toolpath for stroke in run.strokes) == file.toolpaths


def test_every_machine_file_is_delivered_with_its_run(tmp_path: Path) -> None:
    done = outcome("flatbed-hpgl")
    deliver(tmp_path, *files_to_deliver(done))
    proof = json.loads((tmp_path / "proof.json").read_text(encoding="utf-8"))
    for told, file in zip(proof["files"], done.files, strict=True):
        run = read_run(tmp_path / told["run"])
        assert run.sha256 == told["sha256"]
        assert run_text(run) == run_text(file.run) == (tmp_path / told["run"]).read_bytes()
