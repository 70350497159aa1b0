"""Outlines as they are drawn, in user units.

An arc is kept as its end points and bulge *in the space where its ellipse is the unit circle*
(``frames`` gives the 2 × 2 matrix from there to user units). So no centre is ever computed, and an
arc that comes out circular after all transforms is an exact arc again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

XY = tuple[float, float]
Frame = tuple[XY, XY]
"""The rows of a 2 × 2 matrix."""
_HALF_TURN = 2e-15
"""1 − s² below this is the rounding of s = 1: the chord is a diameter."""
_FLATTEST = 1e-9
"""An ellipse flatter than this is drawn as the line of a radius of 0."""
_SAME_PLACE = 1e-12


@dataclass(slots=True, eq=False)
class Outline:
    """One subpath: ``frames`` holds the 2 × 2 matrix of each elliptical arc by its number."""

    points: list[XY]
    bulges: list[float] = field(default_factory=list)
    handles: dict[int, tuple[XY, XY]] = field(default_factory=dict)
    frames: dict[int, Frame] = field(default_factory=dict)
    closed: bool = False


class Pencil:
    """Draws outlines segment by segment; ``outlines`` holds those with at least one segment."""

    def __init__(self) -> None:
        self.outlines: list[Outline] = []
        self.at: XY = (0.0, 0.0)
        self._start: XY = (0.0, 0.0)
        self._outline: Outline | None = None

    def move(self, to: XY) -> None:
        """Begin a new subpath at ``to``."""
        self.at = self._start = to
        self._outline = None

    def line(self, to: XY) -> None:
        """Draw a straight segment."""
        outline = self._drawn_on()
        outline.points.append(to)
        outline.bulges.append(0.0)
        self.at = to

    def lines(self, to: list[XY]) -> None:
        """Draw straight segments through every point of ``to``."""
        outline = self._drawn_on()
        outline.points += to
        outline.bulges += [0.0] * len(to)
        self.at = to[-1]

    def cubic(self, handle1: XY, handle2: XY, to: XY) -> None:
        """Draw a cubic Bézier."""
        outline = self._drawn_on()
        outline.handles[len(outline.bulges)] = (handle1, handle2)
        self.line(to)

    def quadratic(self, handle: XY, to: XY) -> None:
        """Draw a quadratic Bézier, raised exactly to a cubic."""
        (x0, y0), (x, y), (x1, y1) = self.at, handle, to
        self.cubic(
            (x0 + (x - x0) * 2 / 3, y0 + (y - y0) * 2 / 3),
            (x1 + (x - x1) * 2 / 3, y1 + (y - y1) * 2 / 3),
            to,
        )

    def bend(self, radii: XY, tilt: float, bulge: float, to: XY) -> None:
        """Draw an arc of the ellipse with ``radii``, its x axis turned by ``tilt`` radians.

        ``bulge`` is the arc's in the ellipse's own space, + towards growing angles there.
        """
        if min(radii) <= _FLATTEST * max(radii):
            self.line(to)
            return
        frame = _frame(radii, tilt)
        if abs(bulge) > 1.0:
            # Halve what is more than half a turn, at its apex: a bulge is a sagitta per half chord.
            u, v = solved(frame, to[0] - self.at[0], to[1] - self.at[1])
            a, b = (u + bulge * v) / 2, (v - bulge * u) / 2
            apex = (
                self.at[0] + frame[0][0] * a + frame[0][1] * b,
                self.at[1] + frame[1][0] * a + frame[1][1] * b,
            )
            half = math.tan(math.atan(bulge) / 2)
            self._bend_once(radii, frame, half, apex)
            self._bend_once(radii, frame, half, to)
        else:
            self._bend_once(radii, frame, bulge, to)

    def _bend_once(self, radii: XY, frame: Frame, bulge: float, to: XY) -> None:
        outline = self._drawn_on()
        if radii[0] != radii[1]:
            outline.frames[len(outline.bulges)] = frame
        outline.points.append(to)
        outline.bulges.append(bulge)
        self.at = to

    def arc(self, radii: XY, tilt: float, large: bool, sweep: bool, to: XY) -> None:
        """Draw an elliptical arc by SVG's rules for its end points (SVG 1.1, F.6; SVG 2, 9.5.1).

        Equal end points draw nothing; a radius of 0 draws a line; radii that are too small grow
        evenly until they just reach.
        """
        if to == self.at:
            return
        rx, ry = abs(radii[0]), abs(radii[1])
        if min(rx, ry) <= _FLATTEST * max(rx, ry):
            self.line(to)
            return
        frame = _frame((rx, ry), tilt)
        reach = math.hypot(*solved(frame, to[0] - self.at[0], to[1] - self.at[1])) / 2
        if reach < 1e-150:
            self.line(to)
            return
        # The half angle φ over the unit circle has sin φ = reach; tan(φ / 2) is the bulge.
        gap = 1 - reach * reach
        root = math.sqrt(gap) if gap > _HALF_TURN else 0.0
        short = min(reach, 1.0) / (1 + root) if root else 1.0
        bulge = 1 / short if large else short
        self.bend((rx, ry), tilt, bulge if sweep else -bulge, to)

    def close(self) -> None:
        """Draw back to the subpath's first point; what follows begins there."""
        outline, self._outline = self._outline, None
        self.at = self._start
        if outline is None:
            return
        (x0, y0), (x1, y1) = outline.points[0], outline.points[-1]
        size = max(abs(x0), abs(y0), 1.0)
        if len(outline.bulges) > 1 and max(abs(x1 - x0), abs(y1 - y0)) <= _SAME_PLACE * size:
            outline.points.pop()
        else:
            outline.bulges.append(0.0)
        outline.closed = True

    def _drawn_on(self) -> Outline:
        if self._outline is None:
            self._outline = Outline([self.at])
            self._start = self.at
            self.outlines.append(self._outline)
        return self._outline


def _frame(radii: XY, tilt: float) -> Frame:
    """Give the rows of the matrix from the unit circle to the ellipse about its centre."""
    (rx, ry), cos, sin = radii, math.cos(tilt), math.sin(tilt)
    if rx == ry or tilt == 0:
        return (rx, 0.0), (0.0, ry)
    return (cos * rx, -sin * ry), (sin * rx, cos * ry)


def solved(frame: Frame, dx: float, dy: float) -> XY:
    """Give what ``frame`` maps to (dx, dy); the origin where it is flat."""
    (a, c), (b, d) = frame
    size = a * d - b * c
    if size == 0:
        return (0.0, 0.0)
    return (d * dx - c * dy) / size, (a * dy - b * dx) / size
