"""Left against right: pairs that the job names, and those that are alike enough to be told."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.errors import InputError
from cutpath.geometry.measure import length
from cutpath.model import EdgeName, Panel
from cutpath.revise.laying import (
    Laid,
    laid_over,
    like_marks,
    parting,
    turned_edges,
)
from cutpath.revise.likeness import alike_pairs
from cutpath.revise.remaking import MARK_REACH, both_meant, mirrored_from
from cutpath.revision import Paired, PairUse
from cutpath.settings.job import Job
from cutpath.settings.nearest_word import nearest_word


def pair_up(panels: Sequence[Panel], job: Job) -> tuple[tuple[Panel, ...], tuple[Paired, ...]]:
    """Compare pairs of panels as mirror images; make them alike where the job says so.

    Raises InputError for a pair that cannot be: a panel that is not there or in two pairs, or one
    with more edges than the other.
    """
    by_name = {panel.name: panel for panel in panels}
    said = _said_pairs(by_name, job)
    taken = {*said, *said.values()}
    told = []
    for second, first in said.items():
        use = job.said.panels[second].pair
        paired, laid = _compared(by_name[first], by_name[second], use, is_said=True)
        told.append(paired)
        if use is PairUse.MIRROR:
            by_name[second] = mirrored_from(by_name[first], by_name[second], laid)
        elif use is PairUse.MEAN:
            both = both_meant(by_name[first], by_name[second], laid)
            by_name[first], by_name[second] = both
    loose = [panel for panel in panels if panel.name not in taken]
    told += [
        _compared(one, other, PairUse.COMPARE, is_said=False)[0]
        for one, other in alike_pairs(loose)
    ]
    return tuple(by_name[panel.name] for panel in panels), tuple(told)


def _said_pairs(panels: dict[str, Panel], job: Job) -> dict[str, str]:
    """Give, for each panel that says so, the one that it mirrors."""
    out: dict[str, str] = {}
    for name, entry in job.said.panels.items():
        if entry.pair_with is None:
            if entry.pair is not PairUse.COMPARE:
                raise InputError(
                    f"panel '{name}' says pair but not with which panel",
                    job.place("panels", name, "pair"),
                    'Add pair_with = "port", the panel that it mirrors.',
                )
            continue
        place = job.place("panels", name, "pair_with")
        other = entry.pair_with
        if other not in panels:
            raise InputError(f"there is no panel '{other}'", place, nearest_word(other, panels))
        if other == name or other in out or other in out.values():
            raise InputError(
                f"panel '{other}' is in a pair already, or is this one", place,
                "Say each pair once, on one of its panels.",
            )  # fmt: skip
        _require_alike(panels[other], panels[name], job)
        out[name] = other
    return out


def _require_alike(first: Panel, second: Panel, job: Job) -> None:
    if len(first.edges) == len(second.edges):
        return
    fewer, more = sorted((first, second), key=lambda panel: len(panel.edges))
    raise InputError(
        f"'{first.name}' has {len(first.edges)} edges and '{second.name}' {len(second.edges)}: "
        "they cannot be laid on each other edge by edge",
        job.place("panels", second.name, "pair_with"),
        f"Make a mark of '{fewer.name}' a corner (corners = [...]), or widen corner_angle; "
        f"the edges of '{more.name}' are: {', '.join(edge.name for edge in more.edges)}.",
    )


def _compared(first: Panel, second: Panel, use: PairUse, *, is_said: bool) -> tuple[Paired, Laid]:
    laid = laid_over(first, second)
    turned = turned_edges(second, laid)
    worst = parting([edge.chain for edge in first.edges], turned)
    on = second.edges[laid.partner[worst.edge]]
    mark, difference = _worst_mark(first, second, laid)
    paired = Paired(
        first.name, second.name, use, is_said, worst.distance, EdgeName(second.name, on.name),
        length(turned[worst.edge]) - worst.at, mark, difference,
    )  # fmt: skip
    return paired, laid


def _worst_mark(first: Panel, second: Panel, laid: Laid) -> tuple[str, float]:
    worst = ("", 0.0)
    for number, edge in enumerate(first.edges):
        other = second.edges[laid.partner[number]]
        sizes = (length(edge.chain), length(other.chain))
        ones = [mark for mark in first.marks if mark.edge == edge.name]
        others = [mark for mark in second.marks if mark.edge == other.name]
        for one, twin in like_marks(ones, others, sizes, MARK_REACH):
            off = sizes[1] - twin.station - one.station
            if not worst[0] or abs(off) > abs(worst[1]):
                worst = (one.name if one.name == twin.name else f"{one.name}/{twin.name}", off)
    return worst
