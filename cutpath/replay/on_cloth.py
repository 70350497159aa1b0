"""Where on the cloth a file works, when it moves the cloth on between frames.

Strokes are compared with what was asked frame by frame: laid out by the advances that were asked
for, so that an advance that is wrong is told as such, and once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Point
from cutpath.geometry.transform import transformed, translation
from cutpath.moves import ClothAdvance, Reading


@dataclass(frozen=True, slots=True, eq=False)
class AskedAdvances:
    """How far the cloth must move before each frame that is not the first, mm of cloth.

    ``run`` is the direction of its run in machine coordinates, ``scale`` how far it really goes for
    each mm told, ``tolerance`` how far it may be off after any of the advances.
    """

    distances: tuple[float, ...] = ()
    run: tuple[float, float] = (1.0, 0.0)
    scale: float = 1.0
    tolerance: float = 0.1


def merged(advances: Sequence[ClothAdvance]) -> Iterator[ClothAdvance]:
    """Give the advances with those put together between which nothing is cut."""
    held: ClothAdvance | None = None
    for each in advances:
        if held is not None and held.strokes == each.strokes:
            distance, is_up = held.distance + each.distance, held.is_up and each.is_up
            held = replace(held, distance=distance, is_up=is_up)
            continue
        if held is not None:
            yield held
        held = each
    if held is not None:
        yield held


def laid_out(reading: Reading, asked: AskedAdvances) -> Reading:
    """Give ``reading`` with its strokes and travel where they are on the cloth, by ``asked``."""
    if not reading.advances:
        return reading
    found = list(merged(reading.advances))
    at = [np.zeros(2)]
    for distance in asked.distances:
        at.append(at[-1] + distance * np.array(asked.run))
    strokes = _shifts([each.strokes for each in found], len(reading.strokes), at)
    travels = _shifts([each.travels for each in found], len(reading.travel), at)
    return replace(
        reading,
        strokes=tuple(
            replace(stroke, chain=_moved(stroke.chain, by))
            for stroke, by in zip(reading.strokes, strokes, strict=True)
        ),
        travel=tuple(_moved(chain, by) for chain, by in zip(reading.travel, travels, strict=True)),
    )


def _shifts(firsts: Sequence[int], count: int, at: Sequence[Point]) -> list[Point]:
    """Give the shift of each of ``count`` things; frames begin with those numbered ``firsts``."""
    frames = np.searchsorted(firsts, np.arange(count), side="right")
    return [at[min(int(frame), len(at) - 1)] for frame in frames]


def _moved(chain: Chain, by: Point) -> Chain:
    return transformed(chain, translation(float(by[0]), float(by[1])))
