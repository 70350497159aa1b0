"""Developments in closed form, cut in gores, and panels made from them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from cutpath.errors import Source
from cutpath.geometry.chain import Chain, make_chain, polyline
from cutpath.geometry.points import Floats
from cutpath.model import Edge, EdgeName, Mark, Panel, Seam

SIDES = ("fore", "port", "aft", "starboard")


def panel_of(
    name: str,
    chains: Mapping[str, Chain],
    marks: Mapping[str, Sequence[tuple[str, float]]] | None = None,
) -> Panel:
    """Make a panel of edges in order and (mark name, station) by edge."""
    found = tuple(
        Mark(mark, edge, float(station), Source(entity=mark))
        for edge, row in (marks or {}).items()
        for mark, station in row
    )
    edges = tuple(Edge(edge, chain) for edge, chain in chains.items())
    return Panel(name, edges, found, (), (), (), None, 1, 0, "", Source(entity=name))


def straight_panel(name: str, corners: ArrayLike, edges: Sequence[str] = SIDES) -> Panel:
    points = np.asarray(corners, dtype=float)
    return panel_of(
        name,
        {
            edge: polyline([points[i], points[(i + 1) % len(points)]])
            for i, edge in enumerate(edges)
        },
    )


def with_marks(panel: Panel, edge: str, stations: Sequence[tuple[str, float]]) -> Panel:
    """Replace the marks on one edge."""
    kept = tuple(mark for mark in panel.marks if mark.edge != edge)
    new = tuple(Mark(name, edge, float(at), Source(entity=name)) for name, at in stations)
    return replace(panel, marks=kept + new)


def cone_gores(count: int, low: float, high: float, slope: float) -> dict[str, Panel]:
    """Give the gores of a truncated cone: slant radii ``low`` < ``high``, half angle ``slope``.

    A cone unrolls to a sector of its slant radius, of sin(half angle) of the turn; each gore is a
    sector of a ring. Straight seams of length high − low, arcs along the rims.
    """
    sweep = 2 * math.pi * math.sin(slope) / count
    bulge = math.tan(sweep / 4)
    panels = {}
    for index in range(count):
        a, b = (np.array([math.cos(t), math.sin(t)]) for t in (-sweep / 2, sweep / 2))
        edges = {
            "left": polyline([low * a, high * a]),
            "rim": make_chain([high * a, high * b], [bulge]),
            "right": polyline([high * b, low * b]),
            "crown": make_chain([low * b, low * a], [-bulge]),
        }
        panels[f"gore {index}"] = panel_of(f"gore {index}", edges)
    return panels


def cylinder_gores(
    count: int, radius: float, height: float, tilt: float, vertices: int
) -> dict[str, Panel]:
    """Give bands round a cylinder between oblique cuts, as their developments.

    The plane z = h + tan(tilt) r cos(u) meets the cylinder in a curve that unrolls to the sinusoid
    (r u, h + tan(tilt) r cos u). Bands are cut from one another along such planes, over the part
    0.3 ≤ u ≤ 2.4, so that the seams are bent and have no symmetry.
    """
    u = np.linspace(0.3, 2.4, vertices)
    panels = {}
    for index in range(count):
        bottom = _sinusoid(u, radius, index * height, tilt)
        top = _sinusoid(u, radius, (index + 1) * height, tilt)[::-1]
        edges = {
            "bottom": polyline(bottom),
            "right": polyline([bottom[-1], top[0]]),
            "top": polyline(top),
            "left": polyline([top[-1], bottom[0]]),
        }
        panels[f"band {index}"] = panel_of(f"band {index}", edges)
    return panels


def _sinusoid(u: Floats, radius: float, height: float, tilt: float) -> Floats:
    return np.column_stack([radius * u, height + math.tan(tilt) * radius * np.cos(u)])


def seam(letter: str, first: str, second: str, **settings: object) -> Seam:
    """Make a seam of "panel.edge" names."""
    names = [EdgeName(*name.split("/")) for name in (first, second)]
    return replace(Seam(letter, *names), **settings)  # type: ignore[arg-type]
