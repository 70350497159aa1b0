"""Toolpaths and the file written of them → the run that its sender needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from cutpath.model import Toolpath
from cutpath.proving import Written
from cutpath.run_model import Run, RunStroke
from cutpath.settings.profile import Profile


@dataclass(frozen=True, slots=True)
class RunTitle:
    """What a machine file is called, and what it belongs to."""

    name: str
    job: str
    machine: str
    cloth: str
    note: str = ""


def make_run(
    title: RunTitle, toolpaths: Sequence[Toolpath], written: Written, profile: Profile
) -> Run:
    """Give the run of ``written``, which is the file of ``toolpaths`` on the profile's machine."""
    joints = written.joints.tolist()
    strokes = tuple(
        RunStroke(
            toolpath=path,
            tool=profile.tool_name_of(path),
            first=joints[number],
            last=joints[number + 1],
            seconds=round(float(written.seconds[number]), 3),
        )
        for number, path in enumerate(toolpaths)
    )
    return Run(
        name=title.name,
        job=title.job,
        machine=title.machine,
        profile=profile,
        cloth=title.cloth,
        note=title.note,
        pieces=tuple(dict.fromkeys(path.piece for path in toolpaths if path.piece)),
        strokes=strokes,
        seconds=round(written.clock.total, 3),
        data=written.data,
    )


def machine_word(machine: str) -> str:
    """Give what a profile is called by: its name, or its file's without folder and ending."""
    return Path(machine).stem if machine.endswith(".toml") else Path(machine).name
