"""A test pattern to files: written for its machine and proved, with picture, page and form.

It joins ``bench`` with ``machine`` and ``replay`` (through ``proving``), and with the letters of
``path``.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from cutpath.bench.catalogue import make_pattern
from cutpath.bench.choosing import pen_of
from cutpath.bench.form import NAME as FORM, with_part
from cutpath.bench.page import PageFacts, page_of
from cutpath.bench.pattern_model import Frame, Pattern, Wish
from cutpath.delivery import PROOF
from cutpath.errors import InputError, Source
from cutpath.model import Feature, Load, Role, Toolpath, Trial
from cutpath.path.lettering import lettered
from cutpath.proving import Written, machine_to_bed, travel_on_bed, write_and_prove
from cutpath.run_making import RunTitle, machine_word, make_run
from cutpath.run_model import Run
from cutpath.settings.profile import Profile, load_profile
from cutpath.settings.run_file import run_file_name, run_text
from cutpath.settings.toml_file import read_text
from cutpath.sheet.picture import Picture, draw_picture


@dataclass(frozen=True, slots=True, eq=False)
class PatternFile:
    """One machine file of a pattern; ``name`` is without an ending."""

    name: str
    toolpaths: tuple[Toolpath, ...]
    written: Written
    run: Run


@dataclass(frozen=True, slots=True, eq=False)
class Patterned:
    """A pattern with its machine files; ``called`` is the profile as the user named it."""

    pattern: Pattern
    profile: Profile
    called: str
    files: tuple[PatternFile, ...]

    @property
    def passed(self) -> bool:
        """Whether every file passed its proof."""
        return all(file.written.proof.passed for file in self.files)

    @property
    def seconds(self) -> float:
        """How long all files take the machine."""
        return sum(file.written.clock.total for file in self.files)

    @property
    def machine_files(self) -> tuple[str, ...]:
        """The names of the machine files and of what tells their bytes."""
        suffix = self.profile.file_suffix
        names = [file.name + suffix for file in self.files]
        return tuple(each for name in names for each in (name, run_file_name(name)))


def make_patterned(name: str, machine: str, wish: Wish) -> Patterned:
    """Write the pattern ``name`` for the machine and prove it.

    Raises InputError for a name, wish or profile that cannot be used, and MachineError for what the
    machine cannot do.
    """
    profile = load_profile(machine)
    pattern = make_pattern(name, profile, wish)
    files = []
    for frame in pattern.frames:
        toolpaths = toolpaths_of(frame, pattern)
        called = f"{pattern.name}-{frame.name}" if frame.name else pattern.name
        written = write_and_prove(toolpaths, pattern.profile)
        title = RunTitle(
            called + profile.file_suffix, f"test pattern {pattern.name}", machine_word(machine), ""
        )
        run = make_run(title, toolpaths, written, pattern.profile)
        files.append(PatternFile(called, toolpaths, written, run))
    return Patterned(pattern, profile, machine, tuple(files))


def toolpaths_of(frame: Frame, pattern: Pattern) -> tuple[Toolpath, ...]:
    """Give a frame's strokes in order, its labels first, written by the pen."""
    pen = pen_of(pattern.profile)
    letters = [
        Toolpath(Role.PEN, Feature.LETTERING, pattern.name, chain, trial=Trial(pen))
        for label in frame.labels
        for chain in lettered([label.text], label.height, label.at, 0.0)
    ]
    return (*letters, *frame.strokes)


@dataclass(frozen=True, slots=True)
class Earlier:
    """What earlier patterns left in a folder: the texts of their form and their proof, "" without.

    Both are added to.
    """

    form: str = ""
    proof: str = ""

    @classmethod
    def in_folder(cls, folder: Path) -> Earlier:
        """Read them."""
        paths = (folder / FORM, folder / PROOF)
        form, proof = (read_text(path) if path.is_file() else "" for path in paths)
        return cls(form, proof)


def pattern_files(made: Patterned, paper: str, earlier: Earlier) -> dict[str, bytes]:
    """Give all files by name; machine files only where every proof is passed.

    Raises InputError for a form or a proof that cannot be added to.
    """
    suffix = made.profile.file_suffix
    files: dict[str, bytes] = {}
    for file in made.files:
        files[f"{file.name}.svg"] = _picture(made, file).encode("utf-8")
        if made.passed:
            files[file.name + suffix] = file.written.data
            files[run_file_name(file.name + suffix)] = run_text(file.run)
    name = made.pattern.name
    files[f"{name}.pdf"] = page_of(made.pattern, _facts(made), paper)
    files[PROOF] = _json(_proof(made, earlier.proof))
    digest = made.profile.digest()
    text = with_part(earlier.form, made.pattern, made.called, digest, FORM)
    files[FORM] = text.encode("utf-8")
    return files


def _facts(made: Patterned) -> PageFacts:
    suffix = made.profile.file_suffix
    return PageFacts(
        called=Path(made.called).name,
        files=tuple(file.name + suffix for file in made.files),
        minutes=max(1, round(made.seconds / 60)),
        form=FORM,
        axes=np.rint(machine_to_bed(made.profile)[:, :2].T),
        cautions=made.profile.cautions,
    )


def _picture(made: Patterned, file: PatternFile) -> str:
    bed = made.profile.bed
    proof = file.written.proof.as_dict()
    verdict = "passed" if proof["passed"] else "NOT PASSED: this file is not delivered"
    note = (
        f"{made.profile.name}. Proof {verdict}; largest deviation {proof['deviation_mm']} mm, "
        f"tolerance {proof['tolerance_mm']} mm."
    )
    return draw_picture(
        Picture(
            title=f"Test pattern: {made.pattern.title.lower()} ({file.name})",
            notes=(note,),
            bed=(bed.width, bed.height),
            load=Load("", 1, ()),
            toolpaths=file.toolpaths,
            travel=travel_on_bed(file.written.reading, made.profile),
        )
    )


def _proof(made: Patterned, earlier: str) -> Mapping[str, Any]:
    """Put the proofs of this pattern's files to those of others that lie in the folder."""
    suffix, digest = made.profile.file_suffix, made.profile.digest()
    others = _others(earlier, made.pattern.name, digest)
    return {
        "passed": made.passed and all(other["passed"] for other in others),
        "machine": made.profile.name,
        "sha256": {"profile": digest},
        "files": [
            *others,
            *(
                {
                    "pattern": made.pattern.name,
                    "file": file.name + suffix,
                    "run": run_file_name(file.name + suffix),
                    "picture": f"{file.name}.svg",
                    "time_s": round(file.written.clock.total, 1),
                    **file.written.proof.as_dict(),
                }
                for file in made.files
            ),
        ],
    }


def _others(earlier: str, pattern: str, digest: str) -> list[dict[str, Any]]:
    """Give what a proof that is there says of other patterns for the same profile."""
    if not earlier:
        return []
    try:
        said = json.loads(earlier)
        files, profile = said["files"], said["sha256"]["profile"]
        if all("pattern" in file for file in files):
            same = profile == digest
            return [file for file in files if same and file["pattern"] != pattern]
    except (ValueError, KeyError, TypeError):
        pass
    raise InputError(
        "this folder holds the proof of something else than test patterns",
        Source(file=PROOF),
        "Choose another folder with --out.",
    )


def _json(value: Mapping[str, Any]) -> bytes:
    return (json.dumps(value, indent=2, ensure_ascii=False) + "\n").encode("utf-8")
