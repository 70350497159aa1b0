"""Small invented jobs: a covering sheet of two sizes, quick to prepare."""

from pathlib import Path

from cutpath.batching.task import Task, Wishes
from cutpath.settings.profile import load_profile

ON = "flatbed-hpgl"
DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" viewBox="0 0 400 300">'
    '<path id="sheet" fill="none" stroke="black" d="M 20 20 H {width} V 220 H 20 Z"/>'
    '<text x="100" y="120" font-size="12">sheet</text></svg>'
)
JOB = """
name = "{name}"
drawing = "sheet.svg"
[cloths.duck]
width = "900 mm"
[panels.sheet]
from = "sheet"
cloth = "duck"
"""


def write_job(folder: Path, name: str, width: int = 300) -> Path:
    """Write a job and its drawing into ``folder``; give the job's file."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "sheet.svg").write_text(DRAWING.format(width=width), encoding="utf-8")
    (folder / "job.toml").write_text(JOB.format(name=name), encoding="utf-8")
    return folder / "job.toml"


def task(name: str, width: int = 300) -> Task:
    """Give the same job as a task."""
    return Task(
        name,
        ("job.toml", JOB.format(name=name).encode()),
        Wishes(ON, load_profile(ON)),
        ("sheet.svg", DRAWING.format(width=width).encode()),
    )


def contents(folder: Path) -> dict[str, bytes]:
    """Give every file below ``folder`` by its path."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }
