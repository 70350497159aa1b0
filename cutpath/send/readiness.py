"""What must hold before a run is sent: its proof, its profile, and the cloth on the table."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path
from typing import Any

from cutpath.delivery import PROOF
from cutpath.errors import FitError, InputError, Source
from cutpath.geometry.measure import bounds
from cutpath.run_model import Run
from cutpath.settings.profile import Flow, Link, Profile
from cutpath.settings.profile_schema import BESIDE_THE_BYTES
from cutpath.units import parse_length

_AGAIN = "Cut the job again on this profile: cutpath cut writes file and proof anew."
_ROOM = 0.05
"""mm that a stroke may reach over the cloth that was given: rounding of its size."""


@dataclass(frozen=True, slots=True)
class Reach:
    """How far the strokes go from the bed's near left corner, mm."""

    left: float
    near: float
    right: float
    far: float


def ready_run(run: Run, profile: Profile, folder: Path) -> Run:
    """Give ``run`` with the way of ``profile``, once its proof in ``folder`` holds for both.

    Raises InputError where the proof is missing or of other bytes or of another profile, FitError
    where it was not passed.
    """
    place = Source(file=str(folder / PROOF))
    proof = _proof_in(folder, place)
    mine = _entry_of(run, proof)
    if mine is None:
        raise InputError(f"there is no proof of {run.name} here", place, _AGAIN)
    if mine.get("sha256") != run.sha256:
        raise InputError(f"{run.name} is not the file that was proved", place, _AGAIN)
    if mine.get("passed") is not True:
        raise FitError(f"{run.name} did not pass its proof", place, "It is not sent.")
    if proof.get("sha256", {}).get("profile") != profile.digest():
        raise InputError(
            f"{run.name} was made for another profile than '{profile.name}'"
            f"{_difference(run.profile, profile)}",
            place,
            _AGAIN + " Only [link] may differ.",
        )
    _require_lines_fit(run, profile.link)
    return replace(run, profile=run.profile.model_copy(update={"link": profile.link}))


def _require_lines_fit(run: Run, link: Link) -> None:
    """Refuse what a machine that takes whole lines could never take."""
    if link.flow is not Flow.LINE_REPLY:
        return
    longest = max(map(len, run.data.split(b"\n"))) + 1
    if longest > link.buffer:
        raise InputError(
            f"a line of {run.name} has {longest} bytes, more than the machine's buffer of "
            f"{link.buffer}",
            remedy="Make longest_line shorter in the profile's [output] and cut the job again; "
            "or is buffer in [link] too small?",
        )


def _proof_in(folder: Path, place: Source) -> dict[str, Any]:
    try:
        proof = json.loads((folder / PROOF).read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(
            "there is no proof beside the file, and what is not proved is not sent", place, _AGAIN
        ) from error
    except ValueError as error:
        raise InputError("the proof cannot be read", place, _AGAIN) from error
    if not isinstance(proof, dict) or not isinstance(proof.get("sha256", {}), dict):
        raise InputError("this is no proof of cutpath's", place, _AGAIN)
    return proof


def _entry_of(run: Run, proof: dict[str, Any]) -> dict[str, Any] | None:
    files = proof.get("files")
    entries = files if isinstance(files, list) else []
    found = (each for each in entries if isinstance(each, dict) and each.get("file") == run.name)
    return next(found, None)


def _difference(mine: Profile, theirs: Profile) -> str:
    keys = list(islice(_differing(_said(mine), _said(theirs), ""), 3))
    return f" (differing: {', '.join(keys)})" if keys else ""


def _said(profile: Profile) -> dict[str, Any]:
    return profile.model_dump(mode="json", exclude=set(BESIDE_THE_BYTES))


def _differing(one: Any, other: Any, key: str) -> Iterator[str]:  # noqa: ANN401 (any TOML)
    if isinstance(one, dict) and isinstance(other, dict):
        for name in dict.fromkeys([*one, *other]):
            yield from _differing(one.get(name), other.get(name), f"{key}.{name}".strip("."))
    elif one != other:
        yield key


def reach_of(run: Run) -> Reach | None:
    """Give how far the strokes reach over the cloth; None for a file without strokes.

    Where the machine moves the cloth on, later strokes lie further along it.
    """
    low, high = [math.inf, math.inf], [-math.inf, -math.inf]
    moved = 0.0
    for stroke in run.strokes:
        moved += stroke.toolpath.advance
        x0, y0, x1, y1 = bounds(stroke.toolpath.chain)
        low = [min(low[0], x0 + moved), min(low[1], y0)]
        high = [max(high[0], x1 + moved), max(high[1], y1)]
    return Reach(*low, *high) if run.strokes else None


def parse_cloth(text: str) -> tuple[float, float]:
    """Give length and width of "2.4 m x 1.5 m", mm. Raises InputError for anything else."""
    parts = re.split(r"\s*[x×]\s*|\s+by\s+", text.strip(), flags=re.IGNORECASE)
    if len(parts) != 2:
        raise InputError(
            f"'{text}' is not the size of a cloth", Source(key="--cloth"), 'Write "2.4 m x 1.5 m".'
        )
    length, width = (parse_length(part) for part in parts)
    return length, width


def require_cloth(run: Run, cloth: tuple[float, float]) -> None:
    """Raise FitError when the strokes reach over a cloth of this size, laid where a lay lays it.

    Its near left corner then lies as far in from the bed's as the profile's margin says.
    """
    reach = reach_of(run)
    if reach is None:
        return
    margin = run.profile.bed.margin
    along, across = reach.right - margin, reach.far - margin
    length, width = cloth
    if along > length + _ROOM or across > width + _ROOM:
        raise FitError(
            f"the strokes of {run.name} need {along:.0f} by {across:.0f} mm of cloth, laid with "
            f"its corner {margin:g} mm in from the bed's near left corner; "
            f"this one is {length:.0f} by {width:.0f} mm",
            remedy="Lay a larger one, or cut the job for this one: on_hand in [cloths] says what "
            "there is.",
        )
