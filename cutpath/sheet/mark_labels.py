"""The names and stations of marks, in a row along one edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.sheet.label_row import chosen, fit_in, spread
from cutpath.sheet.page import FINE, HAIR, Letters, Page
from cutpath.sheet.words import shortened, text_width

_NAME = Letters(2.7, bold=True, anchor="middle")
_STATION = Letters(2.3, anchor="middle")
_UPRIGHT = 2.5
_PITCH = 3.3
UPRIGHT_LENGTH = 20.0
LYING_HEIGHT = 6.0
LEADER = 6.0
"""From the edge to its labels, mm: a tick of 2.5 and a leader that may lean."""
_TICK = 2.5


@dataclass(frozen=True, slots=True)
class MarkLabel:
    """One mark on one edge: its place on paper, what is written, and how much it matters."""

    x: float
    name: str
    station: str
    weight: float = 0.0
    is_alone: bool = False

    @property
    def title(self) -> str:
        """Give its name, with a word for a mark that the other edge lacks."""
        return ", ".join(part for part in (self.name, "alone" if self.is_alone else "") if part)


@dataclass(frozen=True, slots=True)
class Row:
    """Where labels go: the edge's ``y``, outwards −1 (up) or 1, and the room from low to high."""

    y: float
    outwards: int
    low: float
    high: float


def lies_flat(labels: Sequence[MarkLabel], row: Row) -> bool:
    """Tell whether there is room to write all labels level."""
    return fit_in([_flat_width(label) for label in labels], row.high - row.low)


def draw_mark_labels(page: Page, labels: Sequence[MarkLabel], row: Row, *, flat: bool) -> int:
    """Draw ticks, leaders and labels; give how many had to be left out."""
    labels = sorted(labels, key=lambda label: label.x)
    for label in labels:
        tip = row.y + row.outwards * _TICK
        page.line((label.x, row.y), (label.x, tip), FINE)
        if label.is_alone:
            page.ring((label.x, row.y), 0.9, FINE)
    widths = [_flat_width(label) if flat else _PITCH for label in labels]
    kept = chosen([label.weight for label in labels], widths, row.high - row.low)
    wanted = [labels[index].x for index in kept]
    middles = spread(wanted, [widths[index] for index in kept], row.low, row.high)
    for index, middle in zip(kept, middles, strict=True):
        start = (labels[index].x, row.y + row.outwards * _TICK)
        page.line(start, (middle, row.y + row.outwards * (LEADER - 0.8)), HAIR)
        if flat:
            _write_flat(page, labels[index], middle, row)
        else:
            _write_upright(page, labels[index], middle, row)
    return len(labels) - len(kept)


def _flat_width(label: MarkLabel) -> float:
    name = text_width(label.title, _NAME.size, bold=True)
    return max(min(name, 40.0), text_width(label.station, _STATION.size)) + 1.8


def _write_flat(page: Page, label: MarkLabel, middle: float, row: Row) -> None:
    near = row.y + row.outwards * LEADER
    lines = [(label.station, _STATION), (shortened(label.title, 40.0, 2.7, bold=True), _NAME)]
    if row.outwards > 0:
        near += 2.1
        lines = lines[::-1]
    for place, (text, letters) in enumerate(line for line in lines if line[0]):
        page.words(text, (middle, near + row.outwards * 3.1 * place), letters)


def _write_upright(page: Page, label: MarkLabel, middle: float, row: Row) -> None:
    room = UPRIGHT_LENGTH - text_width(label.station + " ", _UPRIGHT)
    title = shortened(label.title, max(room, 4.0), _UPRIGHT) if label.title else ""
    text = f"{title} {label.station}".strip()
    anchor = "start" if row.outwards < 0 else "end"
    at = (middle + 0.36 * _UPRIGHT, row.y + row.outwards * LEADER)
    page.words(text, at, Letters(_UPRIGHT, anchor=anchor, turned=-90.0))
