"""How much thread stitching takes, by the stitch types of ISO 4915."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from cutpath.errors import InputError
from cutpath.settings.job import Job
from cutpath.settings.part_tables.webbing import ThreadEntry
from cutpath.settings.toml_file import Settings, checked, parsed

ZIGZAG = "304"


class Stitch(Settings):
    """A stitch type: C = ``constant`` + 2 T / p, or None where it is worked out otherwise.

    ``ratio`` is the rule of thumb; ``shares`` are those of needle, bobbin or looper.
    """

    name: str
    constant: float | None = None
    source: str
    ratio: float
    ratio_source: str
    shares: dict[str, float]


class Stitches(Settings):
    """The whole table, by number."""

    stitches: dict[str, Stitch]


@cache
def stitches() -> Mapping[str, Stitch]:
    """Give the table that comes with cutpath."""
    name = "thread.toml"
    text = files("cutpath.parts").joinpath("data", name).read_text(encoding="utf-8")
    return checked(parsed(text, name), text, name, Stitches).stitches


def thread_ratio(stitch: str, thickness: float, advance: float, throw: float) -> float:
    """Give the length of thread a unit of seam takes, all threads of the stitch together.

    C = constant + 2 T / p, the constant and its source in the table; zigzag 304: C = 2 (√(p² + W²)
    + T) / p (plane geometry). ``thickness`` T of all plies, ``advance`` p of a stitch and ``throw``
    W in mm.

    Raises ValueError for a stitch that is not in the table, or an advance that is not positive.
    """
    if advance <= 0:
        raise ValueError("a stitch needs some length")
    known = stitches().get(stitch)
    if known is None:
        raise ValueError(f"no formula for stitch {stitch}")
    if known.constant is None:
        return 2 * (math.hypot(advance, throw) + thickness) / advance
    return known.constant + 2 * thickness / advance


def thread_for(length: float, stitch: str, plies: int, entry: ThreadEntry) -> float:
    """Give mm of thread for ``length`` mm of one row through ``plies``, without waste."""
    ratio = thread_ratio(stitch, plies * entry.ply, entry.stitch_length, entry.throw)
    return length * ratio


def thread_words(stitch: str, plies: int, entry: ThreadEntry) -> tuple[str, str]:
    """Give the formula of a row in words and figures, and its source."""
    known = stitches()[stitch]
    thick, step = plies * entry.ply, entry.stitch_length
    told = (
        f"2 (√({step:g}² + {entry.throw:g}²) + {thick:g}) / {step:g}"
        if known.constant is None
        else f"{known.constant:g} + 2 · {thick:g} / {step:g}"
    )
    return told, known.source


def require_known_stitch(job: Job) -> None:
    """Refuse a stitch that the table has not. Raises InputError."""
    stitch = job.said.thread.stitch
    if stitch not in stitches():
        known = ", ".join(f"{key} ({value.name})" for key, value in stitches().items())
        raise InputError(
            f"stitch type '{stitch}' of ISO 4915 is not in the table of thread",
            job.place("thread", "stitch"),
            f"Known: {known}.",
        )
