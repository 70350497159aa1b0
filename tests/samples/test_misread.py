"""The faulty twin of the bow shelter: each planted mistake is found, explained and placed."""

import subprocess
import sys
from pathlib import Path

import pytest

from cutpath.checking import check
from cutpath.planning import Request
from cutpath.seam_report import Cause, WalkFinding

FOLDER = Path(__file__).parents[2] / "samples" / "bow-shelter-misread"


def findings(job: str) -> dict[str, WalkFinding]:
    found = check(Request(FOLDER / job, "")).findings
    seams = [finding.seam for finding in found]
    assert len(set(seams)) == len(seams), "one mistake a seam was planted"
    return {finding.seam: finding for finding in found}


def test_four_mistakes_are_told_by_their_own_numbers() -> None:
    found = findings("job.toml")
    assert {seam: finding.cause for seam, finding in found.items()} == {
        "A": Cause.MARK_MISREAD,
        "B": Cause.NAMES_SWAPPED,
        "C": Cause.WRONG_SIDE_UP,
        "D": Cause.CORNER_MOVED,
        "E": Cause.WRONG_SIDE_UP,
    }
    assert found["A"].place == "mark S2"
    assert abs(found["A"].size) == pytest.approx(5.0, abs=0.15)
    assert "224" in found["A"].recheck
    assert abs(found["D"].size) == pytest.approx(6.0, abs=0.15)
    assert "top/aft meets port/aft" in found["D"].place
    for seam in "CE":
        assert [edge.panel for edge in found[seam].suspects] == ["starboard"]


def test_a_scaled_drawing_is_told_from_its_neighbours() -> None:
    found = findings("scaled.toml")
    assert set(found) == {"A", "B", "C"}
    for finding in found.values():
        assert finding.cause is Cause.SCALE
        assert "1.016" in finding.message
        assert "25 mm" in finding.message
        assert [edge.panel for edge in finding.suspects] == ["front"]


def test_the_drawings_are_what_the_script_makes(tmp_path: Path) -> None:
    script = FOLDER / "make_drawings.py"
    subprocess.run([sys.executable, str(script), str(tmp_path)], check=True)
    for name in ("misread.dxf", "scaled.dxf"):
        assert (tmp_path / name).read_bytes() == (FOLDER / name).read_bytes()
