"""Edges laid fair: the tremor of the hand taken out, within what the job allows."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cutpath.errors import InputError
from cutpath.geometry.chain import Chain
from cutpath.geometry.curvature import inflections, smallest_radius
from cutpath.geometry.fairing import Batten, lay_batten
from cutpath.geometry.flatten import piece_counts, points_at
from cutpath.geometry.measure import end_tangents, length, points_at_stations
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import Floats, Ints, Point, Points, unit
from cutpath.model import Edge, EdgeName, Mark, Panel
from cutpath.revision import Faired
from cutpath.settings.job import Job
from cutpath.settings.job_file import EdgeEntry, Hold, PanelEntry

_MOST_PINS = 160
_ROUNDS = 24
_ROUNDING = 1e-6
_END_PINS = 6
_NOTHING_SAID = PanelEntry()


def fair_edges(panels: Sequence[Panel], job: Job) -> tuple[tuple[Panel, ...], tuple[Faired, ...]]:
    """Lay a batten along every edge for which the job says ``fair``.

    Ends stay; each mark goes to the place on the fair curve nearest to where it was. Raises
    InputError where the job asks for a limit within which no smooth curve was found.
    """
    out, done = [], []
    for digitised in panels:
        entry = job.said.panels.get(digitised.name, _NOTHING_SAID)
        fair_so_far = digitised
        for name, said in entry.edges.items():
            if said.fair is not None:
                fair_so_far, faired = _with_fair_edge(fair_so_far, name, said, job)
                done.append(faired)
        out.append(fair_so_far)
    return tuple(out), tuple(done)


def _with_fair_edge(panel: Panel, name: str, said: EdgeEntry, job: Job) -> tuple[Panel, Faired]:
    index = [edge.name for edge in panel.edges].index(name)
    before = panel.edges[index].chain
    within = said.fair or 0.0
    try:
        after = fair(before, within, said.hold)
    except ValueError as error:
        raise InputError(
            f"edge '{panel.name}/{name}' cannot be laid fair: {error}",
            job.place("panels", panel.name, "edges", name, "fair"),
            "Allow more, or leave this edge as it was digitised.",
        ) from error
    edges = list(panel.edges)
    edges[index] = Edge(name, after)
    marks, shift = _marks_on(panel.marks, name, before, after)
    faired = told_of(EdgeName(panel.name, name), within, before, after, shift)
    return replace(panel, edges=tuple(edges), marks=marks), faired


def fair(digitised: Chain, within: float, hold: Hold = Hold.NONE) -> Chain:
    """Give the stiffest smooth curve that stays ``within`` mm of every point of an open chain.

    The points are the chain's joints, and places on its curved segments. A batten is laid on some
    of them; those that it leaves out of reach become pins too, until none is: places with room
    to spare don't bend it, so what is found is the batten of them all. A straight edge of two
    points stays.

    Raises ValueError when the limit is not kept.
    """
    points = _digitised_points(digitised, within)
    if len(points) < 3:
        return digitised
    start, end = _held(digitised, points, hold)
    chosen = _spread(points, max(4 * within, length(digitised) / _MOST_PINS))
    chain = digitised
    for _ in range(_ROUNDS):
        if len(chosen) < 3:
            chosen = np.unique([0, len(points) // 2, len(points) - 1])
        chain = _laid(points[chosen], within, start, end).chain
        off = nearest(chain, points).distance
        off[chosen] = 0.0
        missed = _worst_between(off, chosen, within)
        if not len(missed):
            break
        chosen = np.union1d(chosen, missed)
    worst = float(nearest(chain, points).distance.max())
    if worst > within + _ROUNDING:
        raise ValueError(f"a smooth curve stays {worst:.2f} mm away, not {within:g} mm")
    return chain


def _laid(pins: Points, within: float, start: Point | None, end: Point | None) -> Batten:
    return lay_batten(pins, within, start, end)


def _digitised_points(chain: Chain, within: float) -> Points:
    """Give the joints, and on curved segments enough places to hold them to a quarter."""
    counts = np.where(chain.is_arc | chain.is_cubic, piece_counts(chain, within / 4), 1)
    owner = np.repeat(np.arange(len(chain)), counts)
    first = np.concatenate([[0], np.cumsum(counts)[:-1]])
    parameter = (np.arange(len(owner)) - first[owner]) / counts[owner]
    return np.concatenate([points_at(chain, owner, parameter), chain.points[-1:]])


def _spread(points: Points, spacing: float) -> Ints:
    """Choose points at least ``spacing`` apart along the run; both ends are among them."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    chosen = [0]
    for index in range(1, len(points) - 1):
        if along[index] - along[chosen[-1]] >= spacing and along[-1] - along[index] >= spacing / 2:
            chosen.append(index)
    return np.array([*chosen, len(points) - 1])


def _worst_between(off: Floats, chosen: Ints, within: float) -> Ints:
    """Give the farthest point out of reach between each two pins."""
    worst = []
    for low, high in itertools.pairwise(chosen):
        if high - low > 1:
            at = low + 1 + int(off[low + 1 : high].argmax())
            if off[at] > within + _ROUNDING / 2:
                worst.append(at)
    return np.array(worst, dtype=np.int64)


def _held(chain: Chain, points: Points, hold: Hold) -> tuple[Point | None, Point | None]:
    leaving, arriving = end_tangents(chain)
    curved = chain.is_arc | chain.is_cubic
    start = leaving if curved[0] else _run_of(points)
    end = arriving if curved[-1] else -_run_of(points[::-1])
    return (
        start if hold in {Hold.START, Hold.BOTH} else None,
        end if hold in {Hold.END, Hold.BOTH} else None,
    )


def _run_of(points: Points) -> Point:
    """Give the direction in which a shaky run of points sets out: that of a parabola through them.

    Over a twentieth of the run, so that tremor evens out, but six points at least. The first point
    is kept exactly; the rest is least squares.
    """
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    count = max(_END_PINS, int(np.searchsorted(along, along[-1] / 20)))
    near, at = points[1:count], along[1:count]
    powers = np.stack([at, at**2], axis=1)[:, : 2 if len(near) > 2 else 1]
    slope, *_ = np.linalg.lstsq(powers, near - points[0], rcond=None)
    return unit(slope[0])


def _marks_on(
    marks: tuple[Mark, ...], edge: str, before: Chain, after: Chain
) -> tuple[tuple[Mark, ...], float]:
    """Put the marks of ``edge`` where the fair curve is nearest to them; tell the largest shift."""
    mine = [mark for mark in marks if mark.edge == edge]
    if not mine:
        return marks, 0.0
    old = np.array([mark.station for mark in mine])
    places, _ = points_at_stations(before, old)
    new = nearest(after, places).station
    moved = {id(mark): float(station) for mark, station in zip(mine, new, strict=True)}
    shift = float(np.abs(new - old).max())
    placed = [
        replace(mark, station=moved[id(mark)]) if id(mark) in moved else mark for mark in marks
    ]
    return tuple(placed), shift


def told_of(edge: EdgeName, within: float, before: Chain, after: Chain, shift: float) -> Faired:
    """Measure how a fair edge lies to the digitised one; ``shift`` is that of its marks, mm."""
    points = _digitised_points(before, within)
    on = nearest(after, points)
    worst = int(on.distance.argmax())
    return Faired(
        edge=edge,
        within=within,
        digitised=before,
        chain=after,
        largest=float(on.distance[worst]),
        at=float(on.station[worst]),
        typical=float(np.sqrt(np.mean(on.distance**2))),
        inflections_before=inflections(before),
        inflections=inflections(after),
        smallest_radius=smallest_radius(after),
        mark_shift=shift,
        energy_before=_energy_through(points),
        energy=_energy_of(after),
    )


def _energy_through(points: Points) -> float:
    """Give the energy of the spline through all digitised points."""
    chosen = points[_spread(points, 1e-3)]
    return lay_batten(chosen, 0.0).energy if len(chosen) > 2 else 0.0


def _energy_of(chain: Chain) -> float:
    """Give ∫ |P″|² ds of cubics whose parameter runs with the chord: exact, P″ is linear."""
    if not chain.is_cubic.any():
        return 0.0
    gaps = np.hypot(*(chain.ends - chain.starts).T)
    inner = chain.handles
    a = 6 * (chain.starts - 2 * inner[:, 0] + inner[:, 1])
    b = 6 * (inner[:, 0] - 2 * inner[:, 1] + chain.ends)
    square = np.sum(a * a + a * b + b * b, axis=1) / 3
    return float(np.sum(square / gaps**3))
