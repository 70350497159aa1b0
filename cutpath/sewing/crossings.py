"""Where seams end: which edges run on across them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cutpath.model import EdgeName, Panel, Seam


@dataclass(frozen=True, slots=True)
class Crossing:
    """One end of a seam: the edge of each panel that meets it there."""

    seam: str
    first: EdgeName
    second: EdgeName


def crossings(panels: Mapping[str, Panel], seams: Sequence[Seam]) -> tuple[Crossing, ...]:
    """Give both ends of every seam."""
    out = []
    for seam in seams:
        before, after = _neighbours(panels[seam.first.panel], seam.first)
        there = _neighbours(panels[seam.second.panel], seam.second)
        at_start, at_end = there[::-1] if seam.reverse else there
        out.append(Crossing(seam.letter, before, at_start))
        out.append(Crossing(seam.letter, after, at_end))
    return tuple(out)


def _neighbours(panel: Panel, edge: EdgeName) -> tuple[EdgeName, EdgeName]:
    names = [each.name for each in panel.edges]
    at = names.index(edge.edge)
    return (
        EdgeName(panel.name, names[at - 1]),
        EdgeName(panel.name, names[(at + 1) % len(names)]),
    )


def runs(edges: Sequence[EdgeName], found: Sequence[Crossing]) -> list[tuple[EdgeName, ...]]:
    """Put edges that run on into one another across seams together, in their given order."""
    group = {edge: edge for edge in edges}

    def head(edge: EdgeName) -> EdgeName:
        while group[edge] != edge:
            edge = group[edge]
        return edge

    for crossing in found:
        if crossing.first in group and crossing.second in group:
            group[head(crossing.second)] = head(crossing.first)
    out: dict[EdgeName, list[EdgeName]] = {}
    for edge in edges:
        out.setdefault(head(edge), []).append(edge)
    return [tuple(run) for run in out.values()]
