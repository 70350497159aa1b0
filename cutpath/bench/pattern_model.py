"""What a test pattern is: strokes for a machine, places to measure, and words for the technician.

A pattern is thought out along the machine's own axes, x and y from the corner where both are least,
because that is how its faults go; ``placed`` puts it on the bed as the operator sees it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Point
from cutpath.geometry.transform import Matrix, moved_points, transformed
from cutpath.model import Pause, Toolpath
from cutpath.settings.profile import Profile

SIGNED = "mm, with the sign"
"""What is written for a shift that may go either way."""

FormValue = str | float | tuple[str, ...] | tuple[float, ...]
"""What a form's key may hold: a text ("0.5 mm"), a number, or a row of them."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What the technician asked for; where nothing is said, None and (), the pattern decides.

    ``size`` is mm along the machine's x and y, ``tool`` the profile's name of one, ``values`` rows
    of numbers and units as they were written.
    """

    size: tuple[float, float] | None = None
    tool: str = ""
    values: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Label:
    """Words that the pen writes about ``at``, to be read from the operator's place.

    One that is ``outside`` names a corner of the pattern, and stands clear of it on a drawing.
    """

    text: str
    at: Point
    height: float = 3.5
    outside: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """What goes into one machine file: ``name`` tells it from others of its pattern ("" alone)."""

    name: str
    strokes: tuple[Toolpath, ...]
    labels: tuple[Label, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Gauge:
    """One thing to measure: ``letter`` on the drawing, ``key`` in the form, mm that were ``told``.

    ``ends`` are the one or two places that it is measured at; ``tool`` names the tool it is for
    where a form asks for several; ``words`` say what it is, ``asked`` what to write. ``spot`` is
    where its letter stands on the drawing, None between its ends.
    """

    key: str
    letter: str
    words: str
    ends: tuple[Point, ...]
    told: float | None = 0.0
    tool: str = ""
    asked: str = "mm"
    spot: Point | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Inset:
    """A small drawing of its own that shows how to read: lines of two weights and words, in mm.

    ``on_bed`` tells whether it shows a part of the pattern, and is turned as that lies on the bed.
    """

    title: str
    thin: tuple[Chain, ...]
    heavy: tuple[Chain, ...]
    words: tuple[tuple[str, float, float], ...]
    caption: str
    on_bed: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Pattern:
    """One test pattern for one machine, on its bed.

    ``profile`` is what its files are written with: the machine's own, but for what the test
    switches off. ``settings`` go into the form as they are, ``uncertainty`` mm is of one reading.
    """

    name: str
    title: str
    finds: str
    profile: Profile
    frames: tuple[Frame, ...]
    gauges: tuple[Gauge, ...]
    instruments: tuple[str, ...]
    steps: tuple[str, ...]
    settings: Mapping[str, FormValue] = field(default_factory=dict)
    uncertainty: float = 0.1
    insets: tuple[Inset, ...] = ()
    cautions: tuple[str, ...] = ()


def placed(pattern: Pattern, matrix: Matrix) -> Pattern:
    """Give ``pattern`` with all its places moved by ``matrix``, insets turned alike."""
    return replace(
        pattern,
        frames=tuple(_moved_frame(frame, matrix) for frame in pattern.frames),
        gauges=tuple(
            replace(
                gauge,
                ends=tuple(_moved(end, matrix) for end in gauge.ends),
                spot=None if gauge.spot is None else _moved(gauge.spot, matrix),
            )
            for gauge in pattern.gauges
        ),
        insets=tuple(_turned_inset(inset, matrix) for inset in pattern.insets),
    )


def _turned_inset(inset: Inset, matrix: Matrix) -> Inset:
    if not inset.on_bed:
        return inset
    turn = np.column_stack([matrix[:, :2], np.zeros(2)])
    words = [(text, *(turn[:, :2] @ (x, y)).tolist()) for text, x, y in inset.words]
    return replace(
        inset,
        thin=tuple(transformed(chain, turn) for chain in inset.thin),
        heavy=tuple(transformed(chain, turn) for chain in inset.heavy),
        words=tuple((text, float(x), float(y)) for text, x, y in words),
    )


def _moved(at: Point, matrix: Matrix) -> Point:
    moved: Point = moved_points(np.reshape(at, (1, 2)), matrix)[0]
    return moved


def _moved_frame(frame: Frame, matrix: Matrix) -> Frame:
    strokes = []
    for stroke in frame.strokes:
        pause = stroke.pause
        if pause is not None:
            pause = Pause(_moved(pause.at, matrix), pause.seconds)
        strokes.append(replace(stroke, chain=transformed(stroke.chain, matrix), pause=pause))
    labels = tuple(replace(label, at=_moved(label.at, matrix)) for label in frame.labels)
    return Frame(frame.name, tuple(strokes), labels)
