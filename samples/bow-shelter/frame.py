"""The invented boat's frame in space, and its cloth laid flat. All in mm.

x runs forward from the aft hoop, y to port, z up from the deck. Two hoops of bent tube stand
across the boat in parallel planes, the front one a smaller image of the aft one: so the cloth
between them is part of a cone. The cloth from the front hoop down to the deck is part of a second
cone, whose apex lies below the deck. A cone lies flat without stretching: every length survives,
which is why the seams of this sample agree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

HALF_WIDTH = 800.0
HEIGHT = 1050.0
BEND = 300.0
LEAN = math.radians(4)  # of the legs, inward from upright
CROWN = math.radians(12)  # half of the angle of the flat arc on top
BETWEEN_HOOPS = 850.0
SHRINK = 0.9  # front hoop over aft hoop
APEX_OF_TOP = np.array([BETWEEN_HOOPS / (1 - SHRINK), 0.0, 0.0])
APEX_OF_FRONT = np.array([2855.0, 0.0, -2500.0])

_STEPS = 1500


@dataclass(frozen=True, slots=True, eq=False)
class Half:
    """The port half of a hoop, from the crown to the foot.

    ``xyz`` are (n, 3) points and ``station`` (n,) their way along the tube; ``bend`` and
    ``shoulder`` are the indices where the bend begins and where it ends in the straight leg.
    """

    xyz: Floats
    station: Floats
    bend: int
    shoulder: int


def aft_hoop() -> Half:
    """Give the aft hoop: a flat arc on top, a bend of 300 mm, a straight leg that leans in."""
    turned = math.pi / 2 - LEAN
    # The crown's radius that brings the foot to the half width: the sum of the three parts.
    reach = math.sin(CROWN) - math.tan(LEAN) * (1 - math.cos(CROWN))
    rest = HEIGHT - BEND * (math.cos(CROWN) - math.cos(turned))
    radius = HALF_WIDTH - BEND * (math.sin(turned) - math.sin(CROWN)) - math.tan(LEAN) * rest
    radius /= reach

    crown = _arc(np.array([0.0, HEIGHT - radius]), radius, np.linspace(0, CROWN, _STEPS))
    spoke = np.array([math.sin(CROWN), math.cos(CROWN)])
    bend = _arc(crown[-1] - BEND * spoke, BEND, np.linspace(CROWN, turned, _STEPS))
    leg = np.linspace(bend[-1], [HALF_WIDTH, 0.0], _STEPS)
    yz = np.concatenate([crown, bend[1:], leg[1:]])
    lengths = np.concatenate(
        [
            np.full(_STEPS - 1, radius * CROWN / (_STEPS - 1)),
            np.full(_STEPS - 1, BEND * (turned - CROWN) / (_STEPS - 1)),
            np.full(_STEPS - 1, math.dist(bend[-1], [HALF_WIDTH, 0.0]) / (_STEPS - 1)),
        ]
    )
    station = np.concatenate([[0.0], np.cumsum(lengths)])
    xyz = np.column_stack([np.zeros(len(yz)), yz])
    return Half(xyz, station, _STEPS - 1, 2 * _STEPS - 2)


def front_hoop() -> Half:
    """Give the front hoop: the aft one seen from the apex of the top, at 0.9 of its size."""
    aft = aft_hoop()
    xyz = APEX_OF_TOP + SHRINK * (aft.xyz - APEX_OF_TOP)
    return Half(xyz, SHRINK * aft.station, aft.bend, aft.shoulder)


def deck_line() -> Floats:
    """Give where the front meets the deck, (n, 3): the front hoop seen from the lower apex."""
    hoop = front_hoop().xyz
    share = hoop[:, 2] / (hoop[:, 2] - APEX_OF_FRONT[2])
    return np.asarray(hoop + share[:, None] * (APEX_OF_FRONT - hoop))


def laid_flat(xyz: Floats, apex: Floats) -> Floats:
    """Roll the cone with this ``apex`` out flat: (n, 3) points on it to (n, 2).

    Each point keeps its distance from the apex, and neighbouring rays keep the angle between
    them. The first ray lies along +y from the apex, which stays at the origin; the rest follow
    towards +x.
    """
    rays = xyz - apex
    reach = np.linalg.norm(rays, axis=1)
    along = rays / reach[:, None]
    between = 2 * np.arcsin(np.linalg.norm(np.diff(along, axis=0), axis=1) / 2)
    angle = np.concatenate([[0.0], np.cumsum(between)])
    return np.column_stack([reach * np.sin(angle), reach * np.cos(angle)])


def _arc(center: Floats, radius: float, from_top: Floats) -> Floats:
    return np.asarray(center + radius * np.column_stack([np.sin(from_top), np.cos(from_top)]))
