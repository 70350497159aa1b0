"""The text of a run file: the same bytes for the same run, every time."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import astuple

from cutpath.geometry.points import Floats
from cutpath.model import Toolpath, Trial
from cutpath.run_model import Run, RunStroke

VERSION = 1
NO_PIECE = -1
"""What a check mark serves."""
_ABOUT = (
    "What the machine file beside this one does, stroke by stroke; cutpath sends by it. Strokes: "
    "role, feature, number of the piece (-1: none), tool, points of the line, closed (1) or not, "
    "has arcs, last byte + 1, seconds at the end, and what else there is to it. Points and bulges: "
    "little-endian float64 in base64, mm on the bed."
)


def run_text(run: Run) -> bytes:
    """Give the run file of ``run``: the same bytes every time."""
    numbers = {name: number for number, name in enumerate(run.pieces)}
    facts = {
        "about": _ABOUT,
        "version": VERSION,
        "file": run.name,
        "sha256": run.sha256,
        "size": len(run.data),
        "job": run.job,
        "machine": run.machine,
        "profile_digest": run.profile.digest(),
        "cloth": run.cloth,
        "note": run.note,
        "seconds": run.seconds,
        "pieces": run.pieces,
        "preamble": run.preamble,
    }
    head = json.dumps(facts, ensure_ascii=False, indent=1)[2:-2]
    rows = ",\n".join(json.dumps(_row(each, numbers)) for each in run.strokes)
    chains = [each.toolpath.chain for each in run.strokes]
    points = _packed([chain.points for chain in chains])
    bulges = _packed([chain.bulges for chain in chains if chain.bulges.any()])
    profile = json.dumps(run.profile.model_dump(mode="json"), ensure_ascii=False)
    text = (
        f'{head},\n "strokes": [\n{rows}\n ],\n "points": "{points}",\n "bulges": "{bulges}",\n'
        f' "profile": {profile}\n}}\n'
    )
    return signed(text)


def signed(body: str) -> bytes:
    """Give a run file of its ``body``, all but the first line, which checks the rest."""
    data = body.encode("utf-8")
    return f'{{"check": "{hashlib.sha256(data).hexdigest()}",\n'.encode() + data


def _row(stroke: RunStroke, numbers: Mapping[str, int]) -> list[object]:
    path = stroke.toolpath
    return [
        path.role.value,
        path.feature.value,
        numbers[path.piece] if path.piece else NO_PIECE,
        stroke.tool,
        len(path.chain.points),
        int(path.chain.closed),
        int(path.chain.bulges.any()),
        stroke.last,
        stroke.seconds,
        _more(path),
    ]


def _more(path: Toolpath) -> dict[str, object] | None:
    more: dict[str, object] = {}
    if path.pause is not None:
        more["pause"] = [*path.pause.at.tolist(), path.pause.seconds]
    if path.advance:
        more["advance"] = path.advance
    if path.trial != Trial():
        more["trial"] = astuple(path.trial)
    return more or None


def _packed(arrays: Sequence[Floats]) -> str:
    whole = b"".join(array.astype("<f8", copy=False).tobytes() for array in arrays)
    return base64.b64encode(whole).decode("ascii")
