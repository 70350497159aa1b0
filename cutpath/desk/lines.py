"""The lines of a job for the page to draw, stroke by stroke: lists of numbers packed in base64."""

from __future__ import annotations

import base64
import json

import numpy as np
from numpy.typing import NDArray

from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Points
from cutpath.run_model import Run, RunStroke

_CLOSE = 0.4
"""mm that a drawn line may be off: less than a pixel of any table on any tablet."""


def lines_of(run: Run) -> bytes:
    """Give the bed, the pieces and each stroke's polyline (mm on the bed, y up) as JSON.

    A stroke that serves no piece, a check mark's, has the piece -1.
    """
    lines = [_line(stroke) for stroke in run.strokes]
    numbers = {piece: number for number, piece in enumerate(run.pieces)}
    told = {
        "bed": [run.profile.bed.width, run.profile.bed.height],
        "pieces": run.pieces,
        "piece": [numbers.get(stroke.toolpath.piece, -1) for stroke in run.strokes],
        "words": [stroke.words for stroke in run.strokes],
        "roles": [stroke.toolpath.role.value for stroke in run.strokes],
        "counts": _packed(np.array([len(line) for line in lines], dtype="<u4")),
        "points": _packed(np.concatenate([np.zeros((0, 2)), *lines]).astype("<f4")),
    }
    return json.dumps(told, ensure_ascii=False, separators=(",", ":")).encode("utf-8")


def _line(stroke: RunStroke) -> Points:
    chain = stroke.toolpath.chain
    points = flatten(chain, _CLOSE).points
    return np.concatenate([points, points[:1]]) if chain.closed else points


def _packed(values: NDArray[np.generic]) -> str:
    return base64.b64encode(np.ascontiguousarray(values).tobytes()).decode("ascii")
