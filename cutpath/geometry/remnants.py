"""The largest rectangles that lie free among outlines."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Bools, Ints

Box = tuple[float, float, float, float]
"""x, y, length, width in mm."""

_FLATNESS = 0.5
_CELLS = 160
"""Cells along the longer side of the grid that rectangles are looked for on."""


def largest_rectangles(
    whole: Box, outlines: Sequence[Chain], flaws: Sequence[Box], least: float, most: int
) -> tuple[Box, ...]:
    """Give at most ``most`` free rectangles in ``whole``, apart from one another, largest first.

    Sides are at least ``least`` mm and end on a grid, so a rectangle is free for certain and at
    most two cells short in each direction.
    """
    x, y, length, width = whole
    cell = max(length, width) / _CELLS
    counts = max(int(length / cell), 1), max(int(width / cell), 1)
    steps = length / counts[0], width / counts[1]
    free = _free_cells(whole, counts, outlines, flaws)
    found: list[Box] = []
    for _ in range(most):
        i, j, columns, rows = _largest(free, steps, least)
        if not columns:
            break
        free[i : i + columns, j : j + rows] = False
        found.append((x + i * steps[0], y + j * steps[1], columns * steps[0], rows * steps[1]))
    return tuple(found)


def _free_cells(
    whole: Box, counts: tuple[int, int], outlines: Sequence[Chain], flaws: Sequence[Box]
) -> Bools:
    """Give which cells, (columns, rows), nothing reaches into."""
    x, y, length, width = whole
    xs, ys = (
        np.linspace(low, low + size, n + 1)
        for low, size, n in ((x, length, counts[0]), (y, width, counts[1]))
    )
    left, low = (part.ravel() for part in np.meshgrid(xs[:-1], ys[:-1], indexing="ij"))
    right, high = (part.ravel() for part in np.meshgrid(xs[1:], ys[1:], indexing="ij"))
    shapes = [
        shapely.Polygon(flatten(loop, _FLATNESS).points).buffer(_FLATNESS) for loop in outlines
    ]
    shapes += [shapely.box(fx, fy, fx + dx, fy + dy) for fx, fy, dx, dy in flaws]
    free = np.ones(len(left), dtype=bool)
    if shapes:
        _, cells = shapely.STRtree(shapely.box(left, low, right, high)).query(
            shapes, predicate="intersects"
        )
        free[cells] = False
    return free.reshape(counts)


def _largest(free: Bools, steps: tuple[float, float], least: float) -> tuple[int, int, int, int]:
    """Give (column, row, columns, rows) of the largest free rectangle; no columns for none.

    Column by column: for each row how far it is free to the left, and from row to row the least
    of these (the plain O(columns · rows²) search, whole columns at a time).
    """
    columns, rows = free.shape
    reach: Ints = np.zeros(rows, dtype=np.int64)
    best, best_area = (0, 0, 0, 0), 0.0
    for column in range(columns):
        reach = np.where(free[column], reach + 1, 0)
        least_reach = np.full(rows, columns + 1)
        for high in range(1, rows + 1):
            # least_reach[j]: over the rows j … j + high − 1.
            least_reach = np.minimum(least_reach[: rows - high + 1], reach[high - 1 :])
            if high * steps[1] < least:
                continue
            at = int(np.argmax(least_reach))
            wide = int(least_reach[at])
            if wide * steps[0] < least:
                break
            if wide * steps[0] * high * steps[1] > best_area:
                best_area = wide * steps[0] * high * steps[1]
                best = column - wide + 1, at, wide, high
    return best
