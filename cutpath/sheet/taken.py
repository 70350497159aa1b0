"""What is already written on a sheet, so that nothing is written over it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

Box = tuple[float, float, float, float]
"""Left, top, right, bottom, mm of paper."""


def box_about(x: float, y: float, width: float, height: float) -> Box:
    """Give the box about a middle."""
    return (x - width / 2, y - height / 2, x + width / 2, y + height / 2)


class Taken:
    """Boxes that are taken."""

    def __init__(self, room: Box) -> None:
        """Begin with nothing taken; nothing may be written outside ``room``."""
        self._room = room
        self._boxes = np.zeros((64, 4))
        self._count = 0

    def is_free(self, boxes: Sequence[Box]) -> bool:
        """Tell whether all of ``boxes`` are on the sheet and clear of what is taken."""
        held = self._boxes[: self._count]
        left, top, right, bottom = self._room
        for x0, y0, x1, y1 in boxes:
            if x0 < left or y0 < top or x1 > right or y1 > bottom:
                return False
            apart = (
                (held[:, 0] >= x1) | (held[:, 2] <= x0) | (held[:, 1] >= y1) | (held[:, 3] <= y0)
            )
            if not apart.all():
                return False
        return True

    def take(self, boxes: Sequence[Box]) -> None:
        """Take ``boxes``, free or not."""
        for box in boxes:
            if self._count == len(self._boxes):
                self._boxes = np.concatenate([self._boxes, np.zeros_like(self._boxes)])
            self._boxes[self._count] = box
            self._count += 1

    def within(self, box: Box) -> list[Box]:
        """Give the taken boxes that reach into ``box``."""
        held = self._boxes[: self._count]
        x0, y0, x1, y1 = box
        meets = (held[:, 0] < x1) & (held[:, 2] > x0) & (held[:, 1] < y1) & (held[:, 3] > y0)
        return [(left, top, right, low) for left, top, right, low in held[meets].tolist()]
