"""Real times against the profile's clock: what the journal suggests to the profile."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from cutpath.send.queue.journal import real_and_estimated
from cutpath.send.queue.values import Entry

_FEW = 3
_ENOUGH = 5
_AGREES = 0.05
"""Share of the time that may differ without a word."""
_LEAST_STROKE = 0.01
"""Seconds a stroke that are worth a word."""


@dataclass(frozen=True, slots=True)
class TimesTold:
    """How one lane's real times compare: ``factor`` real for estimated, over ``count`` jobs.

    ``low`` and ``high`` are the least and largest of single jobs. Where jobs differ enough to tell
    both apart, ``own`` is the factor on ways and ``per_stroke`` the seconds that each stroke takes
    beside; None elsewhere.
    """

    lane: str
    count: int
    factor: float
    low: float
    high: float
    own: float | None
    per_stroke: float | None

    @property
    def words(self) -> str:
        """Give what to change in the profile, in words."""
        jobs = "1 job" if self.count == 1 else f"{self.count} jobs"
        told = f"{self.lane}: {jobs} took {self.factor:.2f} × the time told"
        if self.count > 1:
            told += f" ({self.low:.2f} to {self.high:.2f})"
        if self.count < _FEW:
            return f"{told}. From {_FEW} jobs on there is a suggestion."
        if self.own is not None and self.per_stroke is not None:
            advice = []
            if abs(self.own - 1) > _AGREES:
                advice.append(
                    f"its speeds are {1 / self.own:.2f} × what the profile says (travel_speed in "
                    "[motion], speed of the tools; or its acceleration is lower)"
                )
            if abs(self.per_stroke) > _LEAST_STROKE:
                sign = "more" if self.per_stroke > 0 else "less"
                advice.append(
                    f"each stroke takes {abs(self.per_stroke):.2f} s {sign}: lift_time and "
                    "lower_time in [motion]"
                )
            return f"{told}. {'; '.join(advice).capitalize() or 'The profile agrees'}."
        if abs(self.factor - 1) <= _AGREES:
            return f"{told}. The profile agrees."
        return (
            f"{told}. As if its speeds were {1 / self.factor:.2f} × what the profile says: look at "
            "travel_speed and acceleration in [motion], and at the speeds of the tools."
        )


def times_told(entries: Iterable[Entry]) -> list[TimesTold]:
    """Compare the finished sendings of each lane, lanes by name."""
    by_lane: dict[str, list[tuple[float, float, int]]] = {}
    for lane, real, estimated, strokes in real_and_estimated(entries):
        if estimated > 0 and real > 0:
            by_lane.setdefault(lane, []).append((real, estimated, strokes))
    return [_compared(lane, by_lane[lane]) for lane in sorted(by_lane)]


def _compared(lane: str, rows: list[tuple[float, float, int]]) -> TimesTold:
    real, estimated, strokes = (
        np.array(column, dtype=np.float64) for column in zip(*rows, strict=True)
    )
    shares = real / estimated
    own, per_stroke = _apart(real, estimated, strokes)
    return TimesTold(
        lane=lane,
        count=len(rows),
        factor=float(real.sum() / estimated.sum()),
        low=float(shares.min()),
        high=float(shares.max()),
        own=own,
        per_stroke=per_stroke,
    )


def _apart(
    real: np.ndarray, estimated: np.ndarray, strokes: np.ndarray
) -> tuple[float | None, float | None]:
    """Fit real = own · estimated + per_stroke · strokes, where the jobs can tell both apart."""
    if len(real) < _ENOUGH:
        return None, None
    columns = np.column_stack([estimated, strokes])
    scaled = columns / np.linalg.norm(columns, axis=0)
    if np.linalg.cond(scaled) > 20:  # the same strokes an hour in every job
        return None, None
    (own, per_stroke), *_ = np.linalg.lstsq(columns, real, rcond=None)
    missed = np.abs(columns @ (own, per_stroke) - real).max()
    if own <= 0 or missed > _AGREES * real.max():
        return None, None
    return float(own), float(per_stroke)
