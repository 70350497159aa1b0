"""One tool that draws a pattern: how it comes to each stroke, and what it does there."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from cutpath.bench.ground import Ground
from cutpath.geometry.chain import Chain, line, polyline
from cutpath.geometry.points import Point
from cutpath.model import Feature, Pause, Role, Toolpath, Trial
from cutpath.settings.profile import Profile, Tool

COMES = 6.0
"""mm that a tool is driven one way in the air before a stroke, more than any play."""
_FEATURES = {Role.PEN: Feature.LINE, Role.DRILL: Feature.DRILL}


@dataclass(frozen=True, slots=True, eq=False)
class Hand:
    """The profile's tool ``name``, drawing the pattern ``piece``.

    It comes to each stroke from ``side``: (−1, −1) drives x and y towards + at the end. A tool that
    must cool waits at ``rest`` before each stroke instead, and comes from there.
    """

    piece: str
    name: str
    tool: Tool
    rest: Point
    side: tuple[float, float] = (-1.0, -1.0)

    def from_side(self, x: float, y: float) -> Hand:
        """Give the same tool coming from another side."""
        return replace(self, side=(x, y))

    def stroke(self, chain: Chain, trial: Trial | None = None) -> Toolpath:
        """Give one stroke along ``chain``."""
        pause = Pause(chain.first + COMES * np.asarray(self.side), 0.0)
        if self.tool.cool_time:
            pause = Pause(self.rest, self.tool.cool_time)
        how = replace(trial or Trial(), tool=self.name)
        feature = _FEATURES.get(self.tool.role, Feature.TEST)
        return Toolpath(self.tool.role, feature, self.piece, chain, pause, how)

    def line(self, start: ArrayLike, end: ArrayLike) -> Toolpath:
        """Give one straight stroke."""
        return self.stroke(line(start, end))

    def run(self, *points: tuple[float, float]) -> Toolpath:
        """Give one stroke with corners."""
        return self.stroke(polyline(np.array(points)))

    def hit(self, at: Point) -> Toolpath:
        """Give one hit of a drill."""
        return self.stroke(line(at, at))

    def cross(self, at: Point, arm: float) -> list[Toolpath]:
        """Give a cross of two strokes, each made towards +."""
        x, y = arm * np.eye(2)
        return [self.line(at - x, at + x), self.line(at - y, at + y)]


def hand_of(profile: Profile, ground: Ground, name: str, piece: str) -> Hand:
    """Give the profile's tool of this name as it draws ``piece``."""
    return Hand(piece, name, profile.tools[name], ground.rest)
