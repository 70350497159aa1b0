"""What a tool of some width leaves of the cloth, and the ends of its strokes."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.geometry.chain import Chain
from cutpath.geometry.measure import length
from cutpath.geometry.splitting import sub_chain
from cutpath.geometry.swept import discs_edges, swept_edge


def edges_left(strokes: Sequence[Chain], width: float, sides: Sequence[int]) -> list[Chain]:
    """Give the cloth's edges where a tool takes ``width`` mm away, half to each side.

    Plunges leave the outline of all of them together. Where ``strokes`` answer ``sides`` one to one
    a closed stroke leaves the edge towards the piece (+1 inside it, −1 around it); an open one, or
    one of no side, is given as it is.
    """
    plunges = [run for run in strokes if length(run) == 0.0]
    going = [run for run in strokes if length(run) > 0.0]
    edges = discs_edges([run.first for run in plunges], width / 2)
    if len(going) != len(sides):
        return edges + going
    for run, side in zip(going, sides, strict=True):
        edge = swept_edge(run, width / 2, is_inner=side > 0) if side else None
        edges.append(run if edge is None else edge)
    return edges


def without_ends(run: Chain, before: float, after: float) -> Chain | None:
    """Give ``run`` without its first and its last mm; None where nothing is left."""
    size = length(run)
    if size <= before + after:
        return None
    return sub_chain(run, before, size - after)


def ends_of(run: Chain, before: float, after: float) -> list[Chain]:
    """Give the first and the last mm of ``run``, as far as there are any."""
    size = length(run)
    ends = []
    if before and size:
        ends.append(sub_chain(run, 0.0, min(before, size)))
    if after and size:
        ends.append(sub_chain(run, max(size - after, 0.0), size))
    return ends
