"""Work for the benchmarks of order: open data sets where they are at hand, and invented scenes."""

from __future__ import annotations

import math
import os
from pathlib import Path

import numpy as np

from cutpath.geometry.points import Floats, Ints, Points
from cutpath.path.order.stops import Measure, Stop, Work

DATA = Path(os.environ.get("CUTPATH_TSP_DATA", Path(__file__).parents[3] / "shared/data/tsp"))

OPTIMA = {
    "eil51": 426, "berlin52": 7542, "st70": 675, "kroA100": 21282, "pr299": 48191,
    "pcb442": 50778, "pcb1173": 56892, "pcb3038": 137694,
}  # fmt: skip
"""Lengths of the shortest tours (G. Reinelt, "TSPLIB: a traveling salesman problem library", 1991,
and its list of solutions)."""

BEST_KNOWN = {
    "rat195": 854, "kroA200": 13406, "pr299": 22615, "lin318": 20765, "rd400": 6361,
    "fl417": 9651, "pr439": 60099, "pcb442": 21657, "p654": 27428, "u724": 17272,
    "pr1002": 114311, "u1060": 106007, "vm1084": 130704,
}  # fmt: skip
"""Best known tours through one vertex of each cluster (S. L. Smith and F. Imeson, "GLNS: an
effective large neighborhood search heuristic for the generalized traveling salesman problem",
2017); the figures are from memory."""

ROUNDED = Measure(lambda d: float(int(d + 0.5)), lambda d: np.floor(np.asarray(d) + 0.5))
"""TSPLIB's EUC_2D: the distance to the nearest whole number."""


def points_of(name: str) -> Points:
    """Read the coordinates of a TSPLIB file."""
    lines = (DATA / f"{name}.tsp").read_text(encoding="ascii").splitlines()
    begin = next(i for i, text in enumerate(lines) if text.startswith("NODE_COORD")) + 1
    rows = [line.split() for line in lines[begin:]]
    return np.array([[float(x), float(y)] for _, x, y in (r for r in rows if len(r) == 3)])


def tour_of_points(points: Points) -> Work:
    """Give a closed tour: it begins and ends at the first point."""
    stops = [Stop(point[None], point[None]) for point in points[1:]]
    return Work(stops, points[0], points[0], ROUNDED)


def clusters_of(points: Points) -> list[Ints]:
    """Group points as GTSPLIB does: centres far apart, every point to the nearest.

    M. Fischetti, J. J. Salazar González and P. Toth, "A branch-and-cut algorithm for the symmetric
    generalized traveling salesman problem", 1997; ⌈n / 5⌉ clusters.
    """
    gaps: Floats = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    gaps = np.floor(gaps + 0.5)
    centres = [int(gaps[0].argmax())]
    while len(centres) < math.ceil(len(points) / 5):
        centres.append(int(gaps[:, centres].min(axis=1).argmax()))
    owner = gaps[:, centres].argmin(axis=1)
    return [np.flatnonzero(owner == cluster) for cluster in range(len(centres))]


def tours_of_clusters(points: Points) -> list[Work]:
    """Give closed tours through one point of each cluster, one for each point of the smallest."""
    clusters = clusters_of(points)
    home = min(range(len(clusters)), key=lambda cluster: len(clusters[cluster]))
    rest = [points[each] for number, each in enumerate(clusters) if number != home]
    stops = [Stop(each, each) for each in rest]
    return [Work(stops, points[v], points[v], ROUNDED) for v in clusters[home]]


def outlines(count: int, seed: int) -> Work:
    """Scatter closed outlines of 40 vertices over a strip 1500 mm wide, 45 % of it filled."""
    rng = np.random.default_rng(seed)
    radii = rng.uniform(20, 150, count)
    length = float((math.pi * radii**2).sum()) / 0.45 / 1500
    stops = []
    for radius in radii:
        angle = np.sort(rng.uniform(0, 2 * math.pi, 40))
        out = radius * rng.uniform(0.8, 1.2, 40)
        middle = rng.uniform((0.0, 0.0), (length, 1500.0))
        ring = middle + out[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
        ring = np.roll(ring, int(rng.integers(40)), axis=0)
        stops.append(Stop(ring, ring))
    return Work(stops, np.zeros(2))


def marks_and_outlines(count: int) -> Work:
    """Give pieces with eight drill marks each inside an outline of six starts; marks come first."""
    rng = np.random.default_rng(7)
    stops: list[Stop] = []
    pieces = count // 9
    across = math.ceil(math.sqrt(pieces))
    for number in range(pieces):
        corner = np.array([number % across, number // across]) * 300.0
        marks = [Stop(xy[None], xy[None]) for xy in corner + rng.uniform(20, 230, (8, 2))]
        first = len(stops)
        angle = np.arange(6) * math.pi / 3
        ring = corner + 125.0 + 120.0 * np.column_stack([np.cos(angle), np.sin(angle)])
        stops += marks
        stops.append(Stop(ring, ring, after=tuple(range(first, first + 8))))
    return Work(stops, np.zeros(2))
