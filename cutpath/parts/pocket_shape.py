"""The strip of a tube pocket: how wide it must be, its long edges, and where it is pleated."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain, polyline
from cutpath.geometry.loops import outer_edge
from cutpath.geometry.measure import joint_turns, length, points_at_stations
from cutpath.geometry.nearest import nearest
from cutpath.geometry.offset import outward_normal
from cutpath.geometry.points import Floats, Point, as_point
from cutpath.geometry.splitting import sub_chain
from cutpath.parts.runs import Run
from cutpath.settings.part_tables.pocket import PocketEntry

_SHORTEST = 20.0
_EVERY = 10.0
_CRUMB = 1e-6
_HALVINGS = 60


@dataclass(frozen=True, slots=True, eq=False)
class Strip:
    """A pocket's strip beside the stations ``begin`` to ``end`` of its run, mm.

    ``width`` lies between the seams; ``inner`` and ``outer`` are its long edges, both in the run's
    direction; ``longer`` is how much more there is of the outer edge than of the inner where the
    run bends outward, ``shorter`` how much less where it bends inward.
    """

    begin: float
    end: float
    width: float
    inner: Chain
    outer: Chain
    longer: float
    shorter: float

    @property
    def length(self) -> float:
        """Give the length of the inner edge, mm."""
        return self.end - self.begin

    def on_outer(self, along: float) -> float:
        """Give the station of the outer edge square to ``along`` mm of the inner edge."""
        found = nearest(self.outer, self._across(along, self.width)[None, :])
        return float(found.station[0])

    def across(self, along: float) -> tuple[Point, Point]:
        """Give the points of both long edges ``along`` mm from the strip's beginning."""
        points, _ = points_at_stations(self.outer, np.array([self.on_outer(along)]))
        return self._across(along, 0.0), as_point(points[0])

    def _across(self, along: float, away: float) -> Point:
        points, ways = points_at_stations(self.inner, np.array([along]))
        return as_point((points + away * outward_normal(ways))[0])


def pocket_width(tube: float, ease: float) -> float:
    """Give the strip's width between its seams, mm: the tube's girth π · d, and ease."""
    return math.pi * tube + ease


def bow_room(tube: float, bow: float) -> float:
    """Give the width to add where a bar of diameter ``tube`` stands ``bow`` mm off the seam.

    A loop from a point round a circle of radius r whose middle is D = r + bow away is
    2 √(D² − r²) + 2 r (π − arccos(r / D)) long (plane geometry); this is what it has more than the
    girth 2 π r.
    """
    radius = tube / 2
    return 2 * math.sqrt(bow**2 + bow * tube) - tube * math.acos(radius / (radius + bow))


def strip_of(run: Run, entry: PocketEntry, tube: float, name: str, place: Source) -> Strip:
    """Lay out the strip beside a run.

    Raises InputError where setbacks leave nothing, and for a tube too large for the run's bends.
    """
    begin, end = entry.setbacks[0], run.length - entry.setbacks[1]
    if end - begin < _SHORTEST:
        raise InputError(
            f"the setbacks leave nothing of '{name}': its edge is {run.length:.0f} mm long",
            place,
            "Make the setbacks shorter.",
        )
    width = pocket_width(tube, entry.ease)
    _require_room(run, (begin, end), entry, tube, name, place)
    inner = sub_chain(run.chain, begin, end)
    try:
        flat = outer_edge(inner, width)
    except ValueError as error:
        raise InputError(
            f"'{name}' cannot be {width:.0f} mm wide beside its edge's bends", place,
            "Make it shorter, take a smaller tube, or make two pockets.",
        ) from error  # fmt: skip
    outer = _bowed(inner, width, tube, entry.bow) if entry.bow else flat
    shorter = width * _turned_inward(inner)
    return Strip(begin, end, width, inner, outer, length(outer) - (end - begin) + shorter, shorter)


def _require_room(
    run: Run, span: tuple[float, float], entry: PocketEntry, tube: float, name: str, place: Source
) -> None:
    """Require that the run nowhere bends inward more tightly than the strip is wide."""
    stations, bends = run.bends(*span)
    tightest = float(bends.min())
    width = _widest(tube, entry)
    if tightest >= 0 or -1 / tightest > width * (1 + 1e-9):
        return
    radius = -1 / tightest
    at = float(stations[int(bends.argmin())])
    largest = _largest_tube(radius, entry)
    raise InputError(
        f"'{name}' needs {width:.0f} mm for a tube of {tube:.4g} mm, and its edge bends inward "
        f"with a radius of {radius:.0f} mm at {at:.0f} mm, where no strip is so wide",
        place,
        f"The largest tube that goes there is {math.floor(10 * largest) / 10:g} mm; or make two "
        "pockets.",
    )


def _widest(tube: float, entry: PocketEntry) -> float:
    return pocket_width(tube, entry.ease) + (bow_room(tube, entry.bow) if entry.bow else 0.0)


def _largest_tube(radius: float, entry: PocketEntry) -> float:
    """Give the diameter at which the strip is as wide as the bend's radius; 0 if none is."""
    low, high = 0.0, radius
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _widest(middle, entry) < radius else (low, middle)
    return low


def _bowed(inner: Chain, width: float, tube: float, bow: float) -> Chain:
    """Give the outer edge with the room that a bar bent in an arc takes at each place."""
    whole = length(inner)
    share = np.linspace(-0.5, 0.5, max(9, math.ceil(whole / _EVERY) | 1))
    radius = (whole**2 / 4 + bow**2) / (2 * bow)
    off = np.sqrt(np.maximum(radius**2 - (share * whole) ** 2, 0.0)) - (radius - bow)
    more = [bow_room(tube, max(each, 0.0)) for each in off.tolist()]
    places, ways = points_at_stations(inner, (share + 0.5) * whole)
    return polyline(places + (width + np.array(more))[:, None] * outward_normal(ways))


def _turned_inward(chain: Chain) -> float:
    """Give the angle by which arcs and kinks turn clockwise, radians."""
    arcs = 4 * np.arctan(np.maximum(-chain.bulges, 0.0))
    kinks = np.maximum(-joint_turns(chain), 0.0)
    return float(arcs.sum() + kinks.sum())


def pleats(run_bends: tuple[Floats, Floats], excess: float, depth: float) -> tuple[float, ...]:
    """Give the stations of pleats of at most ``depth`` mm that take up ``excess`` over the bend.

    They stand where equal shares of all outward bending have been made, so that a sharp bend has
    more of them; evenly where nothing bends outward.
    """
    count = math.ceil(excess / depth - 1e-9) if excess > _CRUMB else 0
    if not count:
        return ()
    stations, bends = run_bends
    bent = np.maximum(bends, 0.0)
    if bent.max() <= _CRUMB:
        bent = np.ones_like(bent)
    turned = np.concatenate([[0.0], np.cumsum((bent[1:] + bent[:-1]) / 2 * np.diff(stations))])
    wanted = turned[-1] * (np.arange(count) + 0.5) / count
    return tuple(np.interp(wanted, turned, stations).tolist())


def zip_line(strip: Strip) -> Chain:
    """Give the line half-way across, on which a zip is sewn and the cloth opened after."""
    return outer_edge(strip.inner, strip.width / 2)


def zip_lines(strip: Strip, rows: Sequence[float]) -> list[Chain]:
    """Give the zip's line, and stitch rows at these distances from it on both sides."""
    middle = strip.width / 2
    beside = [middle + side * row for row, side in itertools.product(rows, (-1, 1))]
    return [outer_edge(strip.inner, away) for away in (middle, *beside) if 0 < away < strip.width]
