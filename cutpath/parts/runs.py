"""A run of consecutive edges of one panel as one line."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.errors import InputError, Source
from cutpath.geometry.biarc import as_arcs
from cutpath.geometry.chain import Chain, joined
from cutpath.geometry.curvature import curvatures_at
from cutpath.geometry.measure import end_tangents, length
from cutpath.geometry.points import Floats, turn_between
from cutpath.model import EdgeName, Mark
from cutpath.part_model import Part
from cutpath.parts.laying_on import edge_named
from cutpath.settings.job import Job
from cutpath.settings.panel_plan import PanelPlan

_CURVE = 0.002
_CORNER = math.radians(20.0)
_EVERY = 5.0


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """Edges in a row: ``chain`` from the first's start to the last's end, lines and arcs.

    ``starts`` are the stations where each edge begins; ``allowance`` is the first edge's, mm.
    """

    host: PanelPlan
    edges: tuple[EdgeName, ...]
    chain: Chain
    starts: tuple[float, ...]
    allowance: float

    @property
    def length(self) -> float:
        """Give the whole length, mm."""
        return length(self.chain)

    def marks(self) -> list[tuple[str, float]]:
        """Give the panel's marks on the run: name and station along it."""
        begin = dict(zip((edge.edge for edge in self.edges), self.starts, strict=True))
        return sorted(
            (
                (mark.name, begin[mark.edge] + mark.station)
                for mark in self.host.panel.marks
                if mark.edge in begin
            ),
            key=lambda found: found[1],
        )

    def mark_at(self, name: str, station: float) -> Mark:
        """Give a new mark on the panel at ``station`` along the run."""
        index = max(k for k, start in enumerate(self.starts) if start <= station + 1e-9)
        edge = self.edges[index].edge
        return Mark(name, edge, station - self.starts[index], self.host.panel.source)

    def bends(self, begin: float = 0.0, end: float = math.inf) -> tuple[Floats, Floats]:
        """Give stations every 5 mm or so from ``begin`` to ``end``, and the curvature there.

        Curvature is + where the edge bends outward.
        """
        end = min(end, self.length)
        stations = np.linspace(begin, end, max(3, math.ceil((end - begin) / _EVERY) + 1))
        return stations, curvatures_at(self.chain, stations)


def run_of(words: Sequence[str], plans: Sequence[PanelPlan], place: Source) -> Run:
    """Give the run that ``words`` ("panel/edge" each) name.

    Raises InputError for edges that are not there, do not follow each other, or meet in a corner.
    """
    found = [edge_named(plans, each, place) for each in words]
    host = found[0][0]
    for (plan, edge), (after_plan, after) in itertools.pairwise(found):
        gap = float(np.hypot(*(edge.chain.last - after.chain.first)))
        if plan.panel.name != after_plan.panel.name or gap > 0.01:
            raise InputError(
                f"'{plan.panel.name}/{edge.name}' is not followed by "
                f"'{after_plan.panel.name}/{after.name}'",
                place,
                "Name edges of one panel in their order, counter-clockwise.",
            )
        turn = turn_between(end_tangents(edge.chain)[1], end_tangents(after.chain)[0])
        if abs(float(turn)) > _CORNER:
            raise InputError(
                f"'{edge.name}' and '{after.name}' meet in a corner of "
                f"{math.degrees(abs(float(turn))):.0f}°",
                place,
                "Make one of it for each edge.",
            )
    chains = [as_arcs(edge.chain, _CURVE) for _, edge in found]
    sizes = [length(chain) for chain in chains]
    starts = tuple(float(value) for value in np.cumsum([0.0, *sizes[:-1]]))
    names = [edge.name for edge in host.panel.edges]
    allowance = host.allowances[names.index(found[0][1].name)].width
    edges = tuple(EdgeName(host.panel.name, edge.name) for _, edge in found)
    return Run(host, edges, joined(chains), starts, allowance)


def edges_once(
    made: Iterable[Part], job: Job, table: str, clash: str, remedy: str
) -> tuple[Part, ...]:
    """Give the parts that were ``made``, one for each entry of the job's ``table``.

    Raises InputError for an edge that two of them run along: "edge 'E' ``clash`` 'a' and 'b'".
    """
    used: dict[EdgeName, str] = {}
    parts = []
    for index, part in enumerate(made):
        for edge in part.runs:
            if edge in used:
                raise InputError(
                    f"edge '{edge}' {clash} '{used[edge]}' and '{part.name}'",
                    job.place(table, index, "along"),
                    remedy,
                )
            used[edge] = part.name
        parts.append(part)
    return tuple(parts)
