"""The house rules that a reader relies on: who may import whom, and how long a module may grow."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "cutpath"
MODULES = sorted(PACKAGE.rglob("*.py"))

RANK = {
    "errors": 0, "pdf_paths": 2, "units": 1, "geometry": 1, "delivery": 1, "model": 2,
    "seam_report": 2, "revision": 2, "laid": 2, "moves": 2, "moving": 3, "revision_words": 2,
    "kinematics": 2, "settings": 3, "part_model": 3, "sewing_plan": 3, "run_model": 3,
}  # fmt: skip
STAGES = {
    "intake", "panels", "revise", "walk", "parts", "sewing", "path", "lay", "machine", "replay",
    "bench", "paper", "sheet", "look", "send",
}  # fmt: skip
TOP = {
    "proof_beside": 5, "cut_file": 5, "cut_proof": 5, "sheet_lines": 5,
    "proving": 5, "effort": 5, "cooling_check": 5, "planning": 5, "webbing_loads": 5, "why": 5,
    "reading_back": 5,
    "purchasing": 5, "looking": 5, "plotting_paper": 5, "papering": 5, "sheeting": 5,
    "pipeline": 5, "checking": 5, "starting": 5, "laying": 5, "cloth_lay": 5, "lay_report": 5,
    "continuing": 5, "panel_words": 5, "tip_view": 5, "start_names": 5, "start_words": 5, "cli": 6,
    "one_file": 5, "file_page": 5,
"run_making": 5, "batching": 5, "desk": 5, "patterning": 5, "fitting": 5,
    "remaining": 5, "check_mark": 5, "resuming": 5,
}  # fmt: skip
HOME = {
    "sqlite3": ("send/queue",),
    "filelock": ("send",),
    "ezdxf": ("intake/dxf",),
    "shapely": ("geometry",),
    "pyclipper": ("geometry",),
    "click": ("cli",),
    "pydantic": ("settings",),
    "HersheyFonts": ("path",),
    "spyrrow": ("lay",),
    "jinja2": ("sheet",),
    "reportlab": ("bench", "paper", "sheet", "pdf_paths"),
    "svgwrite": ("sheet", "paper"),
    "serial": ("send",),
    "distributed": ("batching/cluster",),
    "scipy": ("bench",),
    "starlette": ("desk",),
    "uvicorn": ("desk",),
}


def part_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imports(path: Path) -> list[str]:
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [name.name for name in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.append(node.module)
    return found


def rank(part: str) -> int:
    return 4 if part in STAGES else RANK.get(part, TOP.get(part, 9))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_point_one_way(path: Path) -> None:
    mine = part_of(path)
    if mine in {"__init__", "__main__", "data"}:
        return
    for name in imports(path):
        if not name.startswith("cutpath."):
            continue
        theirs = name.split(".")[1]
        if theirs == mine:
            continue
        assert not (mine in STAGES and theirs in STAGES), f"{mine} must not know {theirs}"
        assert rank(theirs) <= rank(mine), f"{mine} must not import {theirs}"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_libraries_stay_at_home(path: Path) -> None:
    place = path.relative_to(PACKAGE).as_posix()
    for name in imports(path):
        library = name.split(".")[0]
        if library in HOME:
            assert place.startswith(HOME[library]), f"{library} is used in {HOME[library]} only"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_modules_stay_small(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400


def test_the_top_level_is_as_designed() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    ).stdout.split("\n")
    tops = {name.split("/")[0] for name in listed if name}
    if not tops:
        pytest.skip("not in a git checkout")
    visible = {name for name in tops if not name.startswith(".")}
    allowed = {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "cutpath", "profiles", "tests", "samples",
    }  # fmt: skip
    assert visible <= allowed


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys; from cutpath.cli.main import cutpath; "
        "print(sorted({'ezdxf', 'shapely', 'pydantic', 'svgwrite', 'scipy'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
