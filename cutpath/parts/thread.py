"""How much thread stitching takes."""

from __future__ import annotations

import math

from cutpath.errors import InputError
from cutpath.settings.job import Job
from cutpath.settings.part_tables.webbing import ThreadEntry

RATIOS = {"301": 2.5, "304": 5.5}
"""Thread to seam length by stitch type of ISO 4915 (apparelscience.com, stitch classes 300 to 400);
for stacks and stitches of one's own the formulas below hold."""
_THROW = 5.0


def thread_ratio(stitch: str, thickness: float, advance: float, throw: float = _THROW) -> float:
    """Give the length of thread a unit of seam takes: needle and looper or bobbin together.

    Lockstitch 301: C = 2 + 2 T / p (textilecalculations.com, as 2 + 2·T·S with S = 1/p stitches a
    unit); zigzag lockstitch 304: C = 2 (√(p² + W²) + T) / p (plane geometry). ``thickness`` T of
    all plies, ``advance`` p of a stitch and ``throw`` W in mm.

    Raises ValueError for another stitch, or an advance that is not positive.
    """
    if advance <= 0:
        raise ValueError("a stitch needs some length")
    if stitch == "301":
        return 2 + 2 * thickness / advance
    if stitch == "304":
        return 2 * (math.hypot(advance, throw) + thickness) / advance
    raise ValueError(f"no formula for stitch {stitch}")


def thread_for(length: float, stitch: str, plies: int, entry: ThreadEntry) -> float:
    """Give mm of thread for ``length`` mm of one row through ``plies``, without waste."""
    return length * thread_ratio(stitch, plies * entry.ply, entry.stitch_length)


def require_known_stitch(job: Job) -> None:
    """Refuse a stitch that there is no formula for.

    Raises InputError.
    """
    stitch = job.said.thread.stitch
    if stitch not in RATIOS:
        raise InputError(
            f"there is no formula for stitch type '{stitch}' of ISO 4915",
            job.place("thread", "stitch"),
            f"Known: {', '.join(RATIOS)}.",
        )
