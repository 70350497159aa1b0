"""Drawing on the sheet as a careful hand does: true to a tenth of a millimetre, not truer."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from ezdxf.layouts import Modelspace
from ezdxf.math import ConstructionArc, Vec2, fit_points_to_cad_cv
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_AMPLITUDE = 0.1  # mm, how far a traced line strays from the true one
_WAVE = 700.0  # mm, over which it comes back
_ARC = 250  # dense points to one drawn arc
_FIT = 90  # dense points between two fit points of a spline


@dataclass(frozen=True, slots=True)
class Tracing:
    """One panel's place on the sheet: it is moved by ``shift`` and strays in its own ``phase``.

    All that is drawn with it strays alike, so marks stay on the outline. Coordinates are mm; curves
    are dense (n, 2) points, drawn through a few of them as arcs or splines.
    """

    sheet: Modelspace
    shift: tuple[float, float]
    phase: float

    def at(self, points: ArrayLike) -> Floats:
        """Give (n, 2) true points where the hand puts them, rounded to a micrometre."""
        true = np.atleast_2d(np.asarray(points, dtype=np.float64))
        wave = 2 * math.pi * true[:, ::-1] / _WAVE + self.phase
        strayed = true + _AMPLITUDE * np.sin(wave) + np.array(self.shift)
        return np.asarray(strayed.round(3))

    def line(self, start: ArrayLike, end: ArrayLike, layer: str = "OUTLINE") -> None:
        """Draw a LINE."""
        a, b = self.at(np.array([start, end])).tolist()
        self.sheet.add_line(a, b, dxfattribs={"layer": layer})

    def arc(self, start: ArrayLike, middle: ArrayLike, end: ArrayLike) -> None:
        """Draw an ARC through three points."""
        a, b, c = self.at(np.array([start, middle, end]))
        if _bulge(a, b, c) < 0:  # an ARC always runs counter-clockwise
            a, c = c, a
        drawn = ConstructionArc.from_3p(Vec2(a), Vec2(c), Vec2(b))
        drawn.add_to_layout(self.sheet, dxfattribs={"layer": "OUTLINE"})

    def spline(self, curve: Floats) -> None:
        """Draw a cubic SPLINE through every few points of a dense curve."""
        count = max(4, len(curve) // _FIT)
        picked = curve[np.linspace(0, len(curve) - 1, count + 1).round().astype(int)]
        fitted = fit_points_to_cad_cv(self.at(picked).tolist())
        drawn = self.sheet.add_spline(dxfattribs={"layer": "OUTLINE"})
        drawn.apply_construction_tool(fitted)
        drawn.control_points = [point.round(4) for point in fitted.control_points]

    def outline(self, runs: Sequence[Floats]) -> None:
        """Draw a closed LWPOLYLINE of arcs: each run goes on where the one before ends.

        A run of two points is straight.
        """
        vertices: list[tuple[float, float, float]] = []
        for run in runs:
            points = self.at(run)
            knots = np.linspace(0, len(run) - 1, max(1, len(run) // _ARC) + 1).round().astype(int)
            for first, last in itertools.pairwise(knots):
                middle = points[(first + last) // 2]
                bulge = _bulge(points[first], middle, points[last]) if last > first + 1 else 0.0
                x, y = points[first]
                vertices.append((x, y, round(bulge, 9)))
        self._closed(vertices, "OUTLINE")

    def rounded(self, corners: ArrayLike, radius: float, layer: str) -> None:
        """Draw a closed LWPOLYLINE through ``corners``, each rounded by ``radius``."""
        points = self.at(corners)
        vertices: list[tuple[float, float, float]] = []
        ahead, behind = np.roll(points, -1, axis=0), np.roll(points, 1, axis=0)
        for before, corner, after in zip(behind, points, ahead, strict=True):
            inward = (corner - before) / math.dist(corner, before)
            outward = (after - corner) / math.dist(after, corner)
            turn = math.atan2(
                inward[0] * outward[1] - inward[1] * outward[0], float(inward @ outward)
            )
            back = radius * math.tan(turn / 2)
            (x1, y1), (x2, y2) = corner - back * inward, corner + back * outward
            bulge = round(math.tan(turn / 4), 9)
            vertices += [(round(x1, 3), round(y1, 3), bulge), (round(x2, 3), round(y2, 3), 0.0)]
        self._closed(vertices, layer)

    def point(self, xy: ArrayLike, layer: str) -> None:
        """Draw a POINT."""
        self.sheet.add_point(self.at(xy)[0].tolist(), dxfattribs={"layer": layer})

    def ring(self, center: ArrayLike, diameter: float, layer: str) -> None:
        """Draw a CIRCLE."""
        self.sheet.add_circle(
            self.at(center)[0].tolist(), diameter / 2, dxfattribs={"layer": layer}
        )

    def words(self, text: str, xy: ArrayLike, height: float, layer: str) -> None:
        """Write TEXT with its middle at ``xy``."""
        x, y = self.at(xy)[0]
        width = 0.8 * height * len(text)  # near enough to centre it in any plain font
        place = (round(x - width / 2, 3), round(y - height / 2, 3))
        self.sheet.add_text(text, height=height, dxfattribs={"layer": layer, "insert": place})

    def _closed(self, vertices: list[tuple[float, float, float]], layer: str) -> None:
        self.sheet.add_lwpolyline(vertices, format="xyb", close=True, dxfattribs={"layer": layer})


def _bulge(start: Floats, middle: Floats, end: Floats) -> float:
    """Give tan(sweep / 4) of the arc through three points, ``middle`` halfway along."""
    chord, spoke = end - start, middle - start
    return float(-2 * (chord[0] * spoke[1] - chord[1] * spoke[0]) / (chord @ chord))
