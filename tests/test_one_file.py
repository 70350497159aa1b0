"""A lay longer than the bed on a machine that moves the cloth itself: one file, frame by frame."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from cutpath.file_page import file_view
from cutpath.geometry.measure import bounds
from cutpath.model import Feature
from cutpath.pipeline import Cut, cut
from cutpath.planning import Request
from cutpath.proving import on_bed, prove_bytes

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="3000mm" height="2000mm"
 viewBox="0 0 3000 2000"><g id="outline">
<path d="M0 0 H1400 V1200 H0 Z"/><path d="M0 1300 H600 V1700 H0 Z"/>
</g></svg>
"""
JOB = """name = "Covers"
drawing = "covers.svg"
cloth = "acrylic"
finish = "raw"
[cloths.acrylic]
width = "1500 mm"
{cloth}
[panels.cover]
from = "panel-1"
count = 3
[panels.flap]
from = "panel-2"
"""
PROFILE = """name = "Short conveyor"
language = "rs274"
[bed]
width = "{width}"
height = "1550 mm"
{bed}
[advance]
lines = ["G91", "G0 U{{advance}}", "G90"]
speed = 100
settle_time = "2 s"
[output]
tool_change = ["T{{number}} M6"]
[tools.knife]
role = "knife"
number = 1
speed = 200
depth = "1 mm"
[tools.pen]
role = "pen"
number = 2
speed = 200
depth = "1 mm"
"""


Making = Callable[..., Cut]


@pytest.fixture
def made(tmp_path: Path) -> Making:
    def make(width: str = "1600 mm", bed: str = "", cloth: str = "") -> Cut:
        (tmp_path / "covers.svg").write_text(DRAWING, encoding="utf-8")
        (tmp_path / "job.toml").write_text(JOB.format(cloth=cloth), encoding="utf-8")
        machine = tmp_path / "conveyor.toml"
        machine.write_text(PROFILE.format(width=width, bed=bed), encoding="utf-8")
        done = cut(Request(tmp_path / "job.toml", str(machine)))
        assert done.passed
        return done

    return make


def test_one_file_cuts_the_whole_lay_where_it_lies(made: Making) -> None:
    done = made()
    (file,) = done.files
    (laid,) = done.laid.lays
    frames = done.proof["files"][0]["frames"]
    assert [frame["advance_mm"] for frame in frames] == pytest.approx(
        [frame.advance for frame in laid.frames], abs=1e-3
    )
    assert sum(frame["read_mm"] for frame in frames) == pytest.approx(laid.frames[-1].start)
    # What is read back lies on the cloth as the lay has it, its end in the bed's margin.
    read = on_bed(file.written.reading, done.profile)
    cut_lines = [stroke.chain for stroke in read.strokes if stroke.tool == 1]
    boxes = np.array([bounds(chain) for chain in cut_lines])
    for piece in laid.pieces:
        x0, y0, x1, y1 = bounds(piece.cut)
        wanted = np.array([x0, y0, x1, y1]) + 10
        assert np.abs(boxes - wanted).max(axis=1).min() < 0.1


def test_every_frame_stays_on_the_bed(made: Making) -> None:
    done = made()
    (file,) = done.files
    frames = done.laid.lays[0].frames
    assert len(frames) >= 3
    assert sum(path.advance > 0 for path in file.toolpaths) == len(frames) - 1
    for path in file.toolpaths:
        x0, y0, x1, y1 = bounds(path.chain)
        assert min(x0, y0) >= 0
        assert x1 <= 1600
        assert y1 <= 1550
    assert max(bounds(path.chain)[2] for path in file.shown) > 3 * 1400


def test_a_piece_longer_than_the_bed_goes_on_in_the_next_frame(made: Making) -> None:
    (file,) = made("1000 mm", 'continues = true\ncloth_runs = "right"').files
    whole = next(piece for piece in file.load.pieces if piece.name.startswith("cover"))
    parts = [
        path.chain
        for path in file.shown
        if path.piece == whole.name and path.feature is Feature.OUTLINE
    ]
    assert len(parts) == 2
    boxes = np.array([bounds(chain) for chain in parts])
    assert [*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)] == pytest.approx(
        bounds(whole.cut), abs=1e-6
    )


def test_cloth_that_runs_away_from_the_operator(made: Making) -> None:
    bed = 'cloth_runs = "away"'
    (file,) = made("1550 mm", bed).files
    assert max(bounds(path.chain)[3] for path in file.shown) > 3 * 1400
    assert all(bounds(path.chain)[3] <= 1550 for path in file.toolpaths)


def test_each_length_on_hand_has_a_file_of_its_own(made: Making) -> None:
    done = made(cloth='on_hand = [{ name = "offcut", length = "3 m" }]')
    assert [file.name for file in done.files] == ["covers-1.ngc", "covers-2.ngc"]
    assert file_words(done) == ["offcut", "new roll"]


def file_words(done: Cut) -> list[str]:
    return [file.load.note.partition(":")[0] for file in done.files]


def test_frames_exchanged_fail_the_proof(made: Making) -> None:
    done = made()
    (file,) = done.files
    lines = file.written.data.decode("ascii").splitlines()
    marks = [number for number, text in enumerate(lines) if text.startswith("G0 U")]
    swapped = [*lines]
    swapped[marks[0]], swapped[marks[1]] = lines[marks[1]], lines[marks[0]]
    if lines[marks[0]] == lines[marks[1]]:
        swapped[marks[0]] = "G0 U1000.0"
    data = ("\n".join(swapped) + "\n").encode("ascii")
    proof = prove_bytes(data, file.toolpaths, done.profile).proof
    assert {check.name for check in proof.checks if not check.holds} == {"cloth advances"}


def test_the_page_plays_the_cloths_way_in_the_machines_time(made: Making, tmp_path: Path) -> None:
    done = made()
    (file,) = done.files
    path = tmp_path / "covers.ngc"
    path.write_bytes(file.written.data)
    view = file_view(Request(path, str(tmp_path / "conveyor.toml")))
    assert view.timeline is not None
    assert view.timeline.places[:, 0].max() > 3 * 1400
    seconds = float(view.timeline.seconds[-1])
    assert seconds == pytest.approx(file.written.clock.total - 5, rel=0.03)
    # The page begins with the first tool in hand.
    moving = sum(2 + path.advance / 100 for path in file.toolpaths if path.advance)
    knife = file.written.clock.tools
    assert sum(tool.advances for tool in knife.values()) == pytest.approx(moving)
