"""Which few faults explain how the marks' differences run along a seam."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.points import Floats
from cutpath.seam_report import Cause, Symptom

KNOWN_SCALES = {
    25.4: "inches taken for millimetres",
    25.4 / 25: "an inch taken for 25 mm",
    10.0: "centimetres taken for millimetres",
    1000.0: "metres taken for millimetres",
    96 / 90: "pixels of 1/96 in and of 1/90 in",
    96 / 72: "pixels of 1/96 in and points of 1/72 in",
    90 / 72: "pixels of 1/90 in and points of 1/72 in",
}
"""Factors by which drawings are off when a unit is mistaken (25.4 mm to the inch; CSS: 96 px to the
inch; 90 by older SVG editors, 72 points: common practice, no source)."""
_NEAR_SCALE = 0.002


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """Stations of start, marks and end on the first edge, and the differences there, (n + 2,)."""

    stations: Floats
    differences: Floats
    wanted: float
    second_length: float

    @property
    def ratio(self) -> float:
        """Give the second edge's length as a multiple of what is wanted."""
        return self.second_length / self.wanted


@dataclass(frozen=True, slots=True, eq=False)
class _Story:
    symptoms: tuple[Symptom, ...]
    misfit: float


def known_scale(ratio: float) -> str:
    """Name the mistake of units that ``ratio`` stands for; empty when it is none."""
    for factor, words in KNOWN_SCALES.items():
        if abs(max(ratio, 1 / ratio) / factor - 1) <= _NEAR_SCALE:
            return words
    return ""


def explained_along(run: Run, tolerance: float, length_limit: float) -> tuple[Symptom, ...]:
    """Give the fewest faults that leave every interval within ``tolerance`` mm.

    Tried are: nothing but misread marks; a corner moved at either end, or one stretch off (a step
    of the whole difference); both corners moved; all longer evenly. Each is helped out by misread
    marks. Of stories with equally few faults the one that leaves the least sum of squares wins.
    """
    total = float(run.differences[-1])
    if len(run.stations) == 2:
        return (_without_marks(run, total),)
    stories = [_evenly(run, tolerance)]
    if abs(total) <= length_limit:
        stories.append(_told(run, tolerance, np.zeros_like(run.differences), ()))
    stories += [
        _stepped(run, tolerance, ((index, total),)) for index in range(len(run.stations) - 1)
    ]
    if len(run.stations) > 3:
        shift = float(np.median(run.differences[1:-1]))
        last = len(run.stations) - 2
        stories.append(_stepped(run, tolerance, ((0, shift), (last, total - shift))))
    able = [story for story in stories if story is not None]
    return min(able, key=lambda story: (len(story.symptoms), story.misfit)).symptoms


def _without_marks(run: Run, total: float) -> Symptom:
    words = known_scale(run.ratio)
    if words:
        return Symptom(Cause.SCALE, run.ratio, -1, 0, 0.0, words)
    return Symptom(Cause.UNCLEAR, total, -1, 0, 0.0)


def _evenly(run: Run, tolerance: float) -> _Story | None:
    # What is left is judged at the smaller of both scales, where tracing tremor is not blown up.
    wanted = run.stations * (run.wanted / run.stations[-1])
    rest = wanted + run.differences - wanted * run.ratio
    base = run.differences - rest / max(run.ratio, 1.0)
    words = known_scale(run.ratio)
    size = run.ratio if words else float(run.differences[-1])
    cause = Cause.SCALE if words else Cause.EVENLY_LONGER
    symptom = Symptom(cause, size, -1, len(run.stations) - 2, 0.0, words)
    return _told(run, tolerance, base, (symptom,))


def _stepped(run: Run, tolerance: float, steps: Sequence[tuple[int, float]]) -> _Story | None:
    base = np.zeros_like(run.differences)
    last = len(run.stations) - 2
    symptoms = []
    for index, size in steps:
        base[index + 1 :] += size
        cause = Cause.CORNER_MOVED if index in {0, last} else Cause.STRETCH_OFF
        at = run.stations[-1] if index == last else run.stations[index]
        symptoms.append(Symptom(cause, size, index - 1, index, float(at)))
    return _told(run, tolerance, base, tuple(symptoms))


def _told(run: Run, tolerance: float, base: Floats, symptoms: tuple[Symptom, ...]) -> _Story | None:
    """Take the largest leftovers for misread marks until all intervals are inside."""
    rest = run.differences - base
    misread = []
    while float(np.abs(np.diff(rest)).max()) > tolerance:
        inner = np.abs(rest[1:-1])
        worst = int(inner.argmax())
        if inner[worst] == 0.0:
            return None  # the ends themselves disagree: no mark can mend that
        at = float(run.stations[worst + 1])
        misread.append(Symptom(Cause.MARK_MISREAD, float(rest[worst + 1]), worst, worst, at))
        rest[worst + 1] = 0.0
    return _Story(symptoms + tuple(misread), float(rest @ rest))
