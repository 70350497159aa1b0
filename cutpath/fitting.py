"""A profile and what was measured on its test patterns, to a new profile beside the old one."""

from __future__ import annotations

import os
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cutpath.bench.fit.outcome import Outcome
from cutpath.bench.fit.profile_text import profile_text
from cutpath.bench.fit.tuning import tune
from cutpath.delivery import deliver
from cutpath.errors import CutpathError, FitError, InputError, Source
from cutpath.settings.measured_file import Measured, read_measured
from cutpath.settings.profile import Profile, load_profile, profile_of_text, shipped_profiles


@dataclass(frozen=True, slots=True)
class Tuned:
    """The outcome of a fit, and the new profile's text and place; empty when nothing changes."""

    outcome: Outcome
    old: Profile
    place: Path
    text: str


def fit(name: str, measured_at: Path, out: Path | None, held: Collection[str] = ()) -> Tuned:
    """Fit the profile ``name`` (or its file) to the measured file; nothing is written.

    ``out`` is where the new profile will go; where it is None, ``<name>-tuned.toml`` in the current
    folder. Raises InputError for a measured file of another profile or another state of it, where
    ``out`` is what the new profile is made from, and what ``tune`` raises.
    """
    profile = load_profile(name)
    measured = read_measured(measured_at)
    _require_same(profile, name, measured)
    place = out if out is not None else Path(_new_name(Path(name).stem))
    _require_apart(place, [measured_at, Path(name), *shipped_profiles().values()])
    outcome = tune(measured, profile, held)
    text = ""
    if outcome.changes:
        title = _title(profile.name)
        # The new one's folder may not be there yet, so what it extends is named from the root.
        rooted = name if name in shipped_profiles() else Path(name).resolve().as_posix()
        _require_sound(profile_text(outcome, rooted, title), place, measured)
        text = profile_text(outcome, _parent(name, place), title)
    return Tuned(outcome, profile, place, text)


def write(tuned: Tuned, *, replace: bool) -> None:
    """Write the new profile whole or not at all.

    Raises InputError where a file stands in its place and ``replace`` is False.
    """
    place = tuned.place
    if place.exists() and not replace:
        raise InputError(
            "there is such a file already",
            Source(file=str(place)),
            "Give another with --out, or --replace this one.",
        )
    deliver(place.parent, {place.name: tuned.text.encode("utf-8")})


def facts(tuned: Tuned) -> dict[str, Any]:
    """Give the outcome for programs: mm, rad; sigma is the standard uncertainty."""
    outcome = tuned.outcome
    return {
        "profile": tuned.old.name,
        "written": str(tuned.place) if tuned.text else None,
        "values": {
            each.unknown.name: {
                "was": each.unknown.told,
                "measured": each.value,
                "sigma": each.sigma,
                "now": each.written,
                "changes": each.changes,
                "patterns": list(each.patterns),
            }
            for each in outcome.fitted
        },
        "readings": {
            row.name: {
                "read_mm": row.mm,
                "sigma_mm": row.sigma,
                "expected_mm": row.expected,
                "used": row.used,
            }
            for row in outcome.rows
        },
        "misread": [
            {
                "reading": each.name,
                "line": each.line,
                "read_mm": each.mm,
                "expected_mm": each.expected,
                "within_mm": each.doubt,
                "likely": each.slip or None,
            }
            for each in outcome.misread
        ],
        "set": [
            {"key": ".".join(each.key) or None, "value": each.text or None, "why": each.words}
            for each in outcome.settings
        ],
        "notes": list(outcome.notes),
        "held": list(outcome.held),
        "more_than_needed": outcome.spare,
        "scatter": outcome.scatter,
    }


def _require_same(profile: Profile, name: str, measured: Measured) -> None:
    digest = profile.digest()
    if measured.digest == digest:
        return
    raise InputError(
        f"these patterns were made with another state of a profile ('{measured.profile}', digest "
        f"{measured.digest[:12]} …), not with '{name}' as it is now ({digest[:12]} …)",
        measured.place("digest"),
        "Fit the profile that they were made with, or make and measure the patterns again: what "
        "is measured tells only what that profile leaves.",
    )


def _require_apart(place: Path, sources: Sequence[Path]) -> None:
    if place.resolve() in {source.resolve() for source in sources}:
        raise InputError(
            "this would be written over, and it is what the new profile is made from",
            Source(file=str(place)),
            "Give another file with --out; the old profile is kept.",
        )


def _new_name(stem: str) -> str:
    base, mark, number = stem.rpartition("-tuned")
    if not mark:
        return f"{stem}-tuned.toml"
    if number == "":
        return f"{base}-tuned-2.toml"
    return (
        f"{base}-tuned-{int(number[1:]) + 1}.toml" if number[1:].isdigit() else f"{stem}-tuned.toml"
    )


def _title(name: str) -> str:
    return name if name.endswith(", tuned") else f"{name}, tuned"


def _parent(name: str, place: Path) -> str:
    """Give what the new profile extends: a shipped name, or the old file seen from its folder."""
    if name in shipped_profiles():
        return name
    old = Path(name).resolve()
    try:
        return Path(os.path.relpath(old, place.resolve().parent)).as_posix()
    except ValueError:  # another drive
        return old.as_posix()


def _require_sound(text: str, place: Path, measured: Measured) -> None:
    """Read the new profile as it will be; raise FitError for what its schema refuses."""
    try:
        profile_of_text(text, place)
    except CutpathError as error:
        raise FitError(
            f"by these readings the new profile would contradict itself: {error.message}",
            measured.place(error.source.key),
            f"{error.remedy} in the profile; or keep the value as it is, with --hold.",
        ) from error
