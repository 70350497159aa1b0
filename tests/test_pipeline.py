"""The whole way from drawing to files, over every sample on every machine that can cut it.

What each sample must come to is worked by hand in its README.
"""

import hashlib
import json
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

import pytest

from cutpath.delivery import deliver
from cutpath.errors import InputError, MachineError
from cutpath.geometry.measure import bounds, length, signed_area
from cutpath.model import Feature, Role
from cutpath.pipeline import Cut, cut, files_to_deliver
from cutpath.planning import Request
from cutpath.settings.profile import load_profile

SAMPLES = Path(__file__).parents[1] / "samples"
SOURCES = {
    "bow-shelter": Request(SAMPLES / "bow-shelter/job.toml", ""),
    "market-stall": Request(SAMPLES / "market-stall/job.toml", ""),
    "tool-roll": Request(SAMPLES / "tool-roll/tool-roll.svg", "", allowance=12.7),
}
MACHINES = ("flatbed-hpgl", "flatbed-hpgl2", "gantry-rs274", "paper-plotter", "paper-plotter-small")
TOO_LARGE = {
    ("bow-shelter", "paper-plotter-small"): ("front", "top", "port", "starboard"),
    ("market-stall", "paper-plotter"): ("wall",),
    ("market-stall", "paper-plotter-small"): ("wall", "door"),
}
FITTING = [(name, on) for name in SOURCES for on in MACHINES if (name, on) not in TOO_LARGE]

SIZES = {
    "bow-shelter": {
        "front": (1997.3, 1106.1),
        "top": (1827.2, 940.5),
        "port": (899.4, 790.1),
        "starboard": (899.4, 790.1),
        **{f"patch {number}/4": (180.0, 180.0) for number in (1, 2, 3, 4)},
    },
    "market-stall": {"wall": (2159.0, 1691.0), "door": (673.1, 1174.75)},
    "tool-roll": {
        "BACK": (665.4, 425.4),
        "LINING": (665.4, 425.4),
        "TALL POCKET": (665.4, 225.4),
        "LOW POCKET": (665.4, 145.4),
        "FLAP": (665.4, 175.4),
        **{f"TIE-{number}": (653.9, 55.4) for number in (1, 2)},
        **{f"GUARD-{number}": (115.4, 165.4) for number in (1, 2, 3)},
    },
}
NOTCHES = {"bow-shelter": 31, "market-stall": 14, "tool-roll": 17}
DRILLS = {"bow-shelter": 19, "market-stall": 8, "tool-roll": 2}
RANK = {
    Feature.LINE: 0,
    Feature.LETTERING: 0,
    Feature.DRILL: 1,
    Feature.NOTCH: 2,
    Feature.INNER: 2,
    Feature.OUTLINE: 3,
}


@cache
def outcome(sample: str, machine: str) -> Cut:
    request = SOURCES[sample]
    return cut(Request(request.source, machine, request.allowance))


@pytest.mark.parametrize(("sample", "machine"), FITTING)
def test_every_sample_comes_to_what_its_readme_says(sample: str, machine: str) -> None:
    pieces = {
        piece.name: piece for file in outcome(sample, machine).files for piece in file.load.pieces
    }
    assert set(pieces) == set(SIZES[sample])
    for name, piece in pieces.items():
        low_x, low_y, high_x, high_y = bounds(piece.cut)
        assert (high_x - low_x, high_y - low_y) == pytest.approx(SIZES[sample][name], abs=0.2), name
        assert signed_area(piece.cut) > signed_area(piece.net) - 1e-6, name
    features = [path.feature for file in outcome(sample, machine).files for path in file.toolpaths]
    assert features.count(Feature.NOTCH) == NOTCHES[sample]
    assert features.count(Feature.DRILL) == (0 if "paper" in machine else DRILLS[sample])
    assert features.count(Feature.OUTLINE) == len(pieces)


@pytest.mark.parametrize("sample", ["bow-shelter", "tool-roll"])
def test_where_no_drill_is_the_pen_draws_crosses(sample: str) -> None:
    drilled, drawn = (
        [path for file in outcome(sample, on).files for path in file.toolpaths]
        for on in ("flatbed-hpgl", "paper-plotter")
    )
    lines = [sum(path.feature is Feature.LINE for path in paths) for paths in (drilled, drawn)]
    assert lines[1] - lines[0] == 2 * DRILLS[sample]


@pytest.mark.parametrize(("sample", "machine"), FITTING)
def test_every_file_passes_its_proof_tool_by_tool(sample: str, machine: str) -> None:
    done = outcome(sample, machine)
    assert done.passed
    assert done.proof["passed"]
    assert 0 <= done.proof["deviation_mm"] <= done.proof["tolerance_mm"] == 0.1
    for file in done.proof["files"]:
        assert [check for check in file["checks"] if not check["holds"]] == []
        for tool in file["tools"].values():
            both_ways = (tool["asked_to_cut_mm"], tool["cut_to_asked_mm"])
            assert tool["deviation_mm"] == max(both_ways) <= tool["tolerance_mm"]
    for name, tool in done.proof["tools"].items():
        worst = max(
            file["tools"][name]["deviation_mm"]
            for file in done.proof["files"]
            if name in file["tools"]
        )
        assert tool["deviation_mm"] == worst


@pytest.mark.parametrize(("sample", "machine"), FITTING)
def test_hashes_are_those_of_the_files(sample: str, machine: str, tmp_path: Path) -> None:
    done = outcome(sample, machine)
    deliver(tmp_path, *files_to_deliver(done))
    proof = json.loads((tmp_path / "proof.json").read_text(encoding="utf-8"))
    for file in proof["files"]:
        written = (tmp_path / file["file"]).read_bytes()
        assert file["sha256"] == hashlib.sha256(written).hexdigest()
    source, drawing = SOURCES[sample].source, done.job.drawing
    assert drawing is not None
    assert proof["sha256"] == {
        "job": hashlib.sha256(source.read_bytes()).hexdigest(),
        "drawing": hashlib.sha256(drawing.read_bytes()).hexdigest(),
        "profile": load_profile(machine).digest(),
    }
    expected = {"proof.json"} | {
        file[kind] for file in proof["files"] for kind in ("file", "run", "picture", "tip_picture")
    }
    expected |= {lay["picture"] for lay in proof["lays"]}
    expected |= {"lay.json"} if proof["lays"] else set()
    assert {path.name for path in tmp_path.iterdir()} == expected


@pytest.mark.parametrize(("sample", "machine"), FITTING)
def test_work_goes_from_pen_to_outline(sample: str, machine: str) -> None:
    for file in outcome(sample, machine).files:
        roles = [list(Role).index(path.role) for path in file.toolpaths]
        assert roles == sorted(roles)
        done: set[str] = set()
        for path in file.toolpaths:
            assert path.piece not in done, f"{path.feature} of {path.piece} after its outline"
            if path.feature is Feature.OUTLINE:
                done.add(path.piece)
        for name in {path.piece for path in file.toolpaths}:
            ranks = [RANK[path.feature] for path in file.toolpaths if path.piece == name]
            assert ranks == sorted(ranks)


@pytest.mark.parametrize(("sample", "machine"), FITTING)
def test_pieces_lie_on_the_bed_and_one_cloth_at_a_time(sample: str, machine: str) -> None:
    done = outcome(sample, machine)
    bed = done.profile.bed
    for file in done.files:
        assert {piece.cloth for piece in file.load.pieces} == {file.load.cloth}
        for piece in file.load.pieces:
            low_x, low_y, high_x, high_y = bounds(piece.cut)
            assert min(low_x, low_y) >= bed.margin - 1e-6
            assert high_x <= bed.width - bed.margin + 1e-6
            assert high_y <= bed.height - bed.margin + 1e-6


@pytest.mark.parametrize(("sample", "machine"), FITTING)
def test_pictures_are_svg_that_says_what_was_proved(sample: str, machine: str) -> None:
    for file in outcome(sample, machine).files:
        root = ET.fromstring(file.picture)
        words = " ".join(root.itertext())
        assert root.tag == "{http://www.w3.org/2000/svg}svg"
        assert "Proof passed" in words
        for legend in ("cut line", "net (stitch) line", "pen", "travel, tool up"):
            assert legend in words


@pytest.mark.parametrize(("sample", "machine"), sorted(TOO_LARGE))
def test_what_does_not_fit_the_bed_is_told(sample: str, machine: str) -> None:
    with pytest.raises(MachineError) as caught:
        outcome(sample, machine)
    told = str(caught.value)
    assert any(f"piece '{name}'" in told for name in TOO_LARGE[sample, machine])
    assert load_profile(machine).name in told
    assert "larger bed" in caught.value.remedy


def test_notches_go_from_the_cut_line_towards_the_net_line() -> None:
    """A slit is as deep as asked and ends in the allowance, short of the stitch line."""
    for file in outcome("bow-shelter", "gantry-rs274").files:
        for path in file.toolpaths:
            if path.feature is Feature.NOTCH:
                assert length(path.chain) == pytest.approx(5.0, abs=1e-6)


def test_a_changed_drawing_changes_only_its_own_hash(tmp_path: Path) -> None:
    folder = tmp_path / "stall"
    folder.mkdir()
    for name in ("job.toml", "side-wall.svg"):
        (folder / name).write_bytes((SAMPLES / "market-stall" / name).read_bytes())
    with (folder / "side-wall.svg").open("a", encoding="utf-8") as drawing:
        drawing.write("<!-- seen -->\n")
    before = outcome("market-stall", "flatbed-hpgl")
    after = cut(Request(folder / "job.toml", "flatbed-hpgl"))
    assert after.proof["sha256"]["job"] == before.proof["sha256"]["job"]
    assert after.proof["sha256"]["profile"] == before.proof["sha256"]["profile"]
    assert after.proof["sha256"]["drawing"] != before.proof["sha256"]["drawing"]
    assert after.files[0].written.data == before.files[0].written.data


def test_an_allowance_beside_a_job_file_is_refused() -> None:
    with pytest.raises(InputError, match="without a job file"):
        cut(Request(SAMPLES / "market-stall/job.toml", "flatbed-hpgl", allowance=5.0))


@pytest.mark.parametrize("corner", ["0,0", "200,0"])
def test_the_pen_stays_on_the_cloth_at_sharp_corners(corner: str, tmp_path: Path) -> None:
    """Beside a corner of 27° a tick square to the edge would run off it."""
    x, y = corner.split(",")
    drawing = tmp_path / "fin.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" '
        'viewBox="0 0 300 200"><g id="outline"><path d="M0 0 H200 V100 Z"/></g>'
        f'<g id="marks"><circle cx="{x}" cy="{y}" r="1"/></g></svg>',
        encoding="utf-8",
    )
    (file,) = cut(Request(drawing, "flatbed-hpgl", allowance=0.0)).files
    (piece,) = file.load.pieces
    low_x, low_y, high_x, high_y = bounds(piece.cut)
    for stroke in piece.pen:
        for x_, y_ in (stroke.first, stroke.last):
            assert low_x - 0.01 <= x_ <= high_x + 0.01
            assert low_y - 0.01 <= y_ <= high_y + 0.01
            # The sloping side runs from the upper left to the lower right.
            assert y_ - high_y >= -(x_ - low_x) / 2 - 0.01
