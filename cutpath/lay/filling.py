"""One lay at once: pieces in a given order, each to the best free place of the cloth.

The free places are exact: what the room for a piece's origin holds outside the no-fit polygons of
all that lies there. Of its corners the best by one linear measure is taken, as in bottom-left
filling (Baker, Coffman and Rivest, "Orthogonal packings in two dimensions", 1980).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from cutpath.geometry.nofit import (
    PER_MM,
    Path,
    Ring,
    free_on_line,
    free_places,
    no_fit,
    no_fit_box,
)
from cutpath.geometry.points import Floats
from cutpath.laid import Place, Stock
from cutpath.lay.shapes import EDGE, Pose, Shape

_ROOM = 2
"""Micrometres by which a room is widened, so that a piece just as wide as the cloth has one."""
_BACK = 1.2
"""How far before the end of what was laid a new batch begins, as a share of the longest piece."""
_REACH = 3.0e6
"""How far along a new roll a piece may lie beyond all others, µm; any piece is shorter."""


Box = tuple[int, int, int, int]
"""Least x and y, most x and y, µm."""


class Rule(NamedTuple):
    """What makes a place good: the least of the weighted sum, weights of the right end, x and y."""

    end: float
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class How:
    """How pieces are filled in: by which rule, a pattern's ``repeat`` along the roll in mm.

    From each number in ``fresh`` on a new batch begins, which leaves alone what was laid long
    before, so that the work grows with the number of pieces and not with its square.
    """

    rule: Rule = field(default_factory=lambda: Rule(1.0, 0.0, 0.001))
    repeat: float | None = None
    fresh: frozenset[int] = frozenset()


RULES = (Rule(1.0, 0.0, 0.001), Rule(0.0, 1.0, 0.001), Rule(1.0, 0.0, 0.2), Rule(0.0, 1.0, 0.2))


@dataclass(slots=True)
class NoFits:
    """No-fit polygons made so far, for pairs of rings."""

    made: dict[tuple[int, int], tuple[Path, ...]] = field(default_factory=dict)
    boxes: dict[tuple[int, int], Box] = field(default_factory=dict)
    flaws: dict[tuple[float, float], Ring] = field(default_factory=dict)
    kept: dict[int, Ring] = field(default_factory=dict)

    def of(self, fixed: Ring, moving: Ring) -> tuple[Path, ...]:
        """Give the no-fit polygon of ``moving``'s origin about ``fixed``'s."""
        key = (id(fixed), id(moving))
        if key not in self.made:
            # While they live their ids are their own.
            self.kept[id(fixed)], self.kept[id(moving)] = fixed, moving
            self.made[key] = no_fit(fixed, moving)
        return self.made[key]

    def box(self, fixed: Ring, moving: Ring) -> Box:
        """Give the box of the same."""
        key = (id(fixed), id(moving))
        if key not in self.boxes:
            self.kept[id(fixed)], self.kept[id(moving)] = fixed, moving
            self.boxes[key] = no_fit_box(fixed, moving)
        return self.boxes[key]

    def flaws_of(self, stock: Stock) -> list[tuple[Ring, int, int]]:
        """Give the flaws of ``stock``: outline and place of each."""
        out = []
        for x, y, length, width in stock.flaws:
            if (length, width) not in self.flaws:
                far, high = math.ceil(length * PER_MM) + 1, math.ceil(width * PER_MM) + 1
                path = np.array([(0, 0), (far, 0), (far, high), (0, high)])
                self.flaws[length, width] = Ring.of(path)
            out.append((self.flaws[length, width], round(x * PER_MM), round(y * PER_MM)))
        return out


class Spot(NamedTuple):
    """A place found: how good, then where."""

    cost: float
    x: int
    y: int
    pose: Pose
    table: int


@dataclass(slots=True)
class Filled:
    """How far one order came: places by shape number, None for what found none."""

    places: dict[int, Place | None]
    ends: list[float]
    """How far each stock is used, mm."""
    spots: list[Spot | None]
    """The places in the order they were found."""

    @property
    def unlaid(self) -> int:
        """Give how many pieces found no place."""
        return sum(place is None for place in self.places.values())


@dataclass(slots=True)
class _Table:
    """One stock while it is being filled."""

    stock: Stock
    fixed: list[tuple[Ring, int, int]]
    end: float = 0.0
    floor: float = 0.0
    """Before here nothing more is laid: so much was laid since that looking is not worth it."""


def fill(
    shapes: Sequence[Shape],
    order: Sequence[int],
    stocks: Sequence[Stock],
    no_fits: NoFits,
    how: How | None = None,
    known: Sequence[Spot | None] = (),
) -> Filled:
    """Lay ``shapes`` in ``order``: each on the first of ``stocks`` that has a place for it.

    The first of the order go to the spots ``known`` from another order that began the same way.

    Shapes with a level lie level with the first of them that was laid, on the same stock, or off
    by a multiple of ``how.repeat`` mm.
    """
    how = how or How()
    tables = [_Table(stock, no_fits.flaws_of(stock)) for stock in stocks]
    places: dict[int, Place | None] = {}
    spots: list[Spot | None] = []
    level: tuple[int, float] | None = None
    longest = max((pose.length for shape in shapes for pose in shape.poses), default=0.0)
    for count, index in enumerate(order):
        if count in how.fresh:
            tables[-1].floor = max(tables[-1].end - _BACK * longest, 0.0)
        shape = shapes[index]
        kept = any(pose.level is not None for pose in shape.poses)
        at = level if kept else None
        is_known = count < len(known)
        spot = known[count] if is_known else _best_spot(shape, tables, no_fits, how, at)
        spots.append(spot)
        if spot is None:
            places[index] = None
            continue
        place = _put(shape, spot, tables[spot.table])
        places[index] = place
        if kept and level is None:
            level = spot.table, place.x + (spot.pose.level or 0.0)
    return Filled(places, [table.end for table in tables], spots)


def _best_spot(
    shape: Shape,
    tables: Sequence[_Table],
    no_fits: NoFits,
    how: How,
    at: tuple[int, float] | None,
) -> Spot | None:
    for number, table in enumerate(tables):
        if at is not None and number != at[0]:
            continue
        best: Spot | None = None
        for pose in shape.poses:
            room = _room(pose, table)
            if room is None:
                continue
            taken = _taken(pose, table, room, no_fits)
            if at is None or pose.level is None:
                corners = free_places(room, taken)
            else:
                corners = _level_places(room, taken, at[1] - pose.level, how.repeat)
            if not len(corners):
                continue
            costs = _costs(corners, pose, how.rule)
            index = int(np.argmin(costs))
            x, y = corners[index].tolist()
            spot = Spot(float(costs[index]), x, y, pose, number)
            if best is None or spot.cost < best.cost - 1e-9:
                best = spot
        if best is not None:
            return best
    return None


def _costs(corners: Path, pose: Pose, rule: Rule) -> Floats:
    x, y = corners[:, 0] / PER_MM, corners[:, 1] / PER_MM
    cost = rule.end * (x + pose.length) + rule.x * x + rule.y * y
    # Among equals the one to the left and near, whatever order the corners came in.
    return np.asarray(cost + 1e-6 * x + 1e-7 * y)


def _room(pose: Pose, table: _Table) -> tuple[int, int, int, int] | None:
    """Give where the pose's origin may be, µm; None when it is too large for the stock."""
    stock = table.stock
    across = stock.high + EDGE - stock.low - pose.width
    along = math.inf if stock.length is None else stock.length - pose.length
    if across < -1e-6 or along < -1e-6:
        return None
    low = math.floor(stock.low * PER_MM)
    high = math.ceil((stock.low + max(across, 0.0)) * PER_MM)
    far = math.ceil(table.end * PER_MM) + _REACH if math.isinf(along) else max(along, 0.0) * PER_MM
    near = math.floor(table.floor * PER_MM)
    return near, low, max(math.ceil(far), near + _ROOM), max(high, low + _ROOM)


def _taken(
    pose: Pose, table: _Table, room: tuple[int, int, int, int], no_fits: NoFits
) -> list[Path]:
    """Give the no-fit polygons that reach into the room."""
    out: list[Path] = []
    for outline, x, y in table.fixed:
        low_x, low_y, high_x, high_y = no_fits.box(outline, pose.outline)
        meets_x = low_x + x < room[2] and high_x + x > room[0]
        if meets_x and low_y + y < room[3] and high_y + y > room[1]:
            shift = np.array([x, y])
            out += [ring + shift for ring in no_fits.of(outline, pose.outline)]
    return out


def _level_places(
    room: tuple[int, int, int, int], taken: Sequence[Path], x: float, repeat: float | None
) -> Path:
    """Give free places on the lines where the marks lie level."""
    lines = [x]
    if repeat is not None:
        first = math.ceil((room[0] / PER_MM - x) / repeat)
        last = math.floor((room[2] / PER_MM - x) / repeat)
        lines = [x + repeat * number for number in range(first, last + 1)]
    found = []
    for line in lines:
        at = round(line * PER_MM)
        if not room[0] - 1 <= at <= room[2] + 1:
            continue
        corners = free_on_line(at, (room[1], room[3]), taken)
        if len(corners):
            found.append(corners)
    return np.concatenate(found) if found else np.zeros((0, 2), dtype=np.int64)


def _put(shape: Shape, spot: Spot, table: _Table) -> Place:
    stock, pose = table.stock, spot.pose
    x, y = max(spot.x / PER_MM, 0.0), spot.y / PER_MM
    if stock.length is not None:
        x = min(x, max(stock.length - pose.length, 0.0))
    y = max(min(y, stock.high + EDGE - pose.width), stock.low)
    table.fixed.append((pose.outline, spot.x, spot.y))
    table.end = max(table.end, x + pose.length)
    return Place(shape.piece, spot.table, pose.turn, x, y)
