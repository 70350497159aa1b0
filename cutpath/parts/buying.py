"""Everything that has to be on the bench: parts, cloth, thread and hardware, merged by name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace

from cutpath.geometry.measure import length, signed_area
from cutpath.model import Piece, Seam
from cutpath.part_model import Measure, Part, PartKind, Supply, SupplyKind
from cutpath.parts.thread import require_known_stitch, thread_for
from cutpath.settings.job import Job
from cutpath.settings.panel_plan import PanelPlan

_CLOTH_WASTE = 0.15
"""What is added to the area where no lay says better (common practice, no source: 10 to 15 % to
buy with, 70 to 85 % of the cloth used)."""


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """What only later stages know, mm: ``laid`` and ``inside``.

    ``laid`` are lengths of cloth to buy, by the job's word for it, where a lay gave them; other
    cloths come by the area of their cut lines. ``inside`` is the length of the seams inside panels
    that were split.
    """

    laid: Mapping[str, float] = field(default_factory=dict)
    inside: float = 0.0


def shopping(
    plans: Sequence[PanelPlan],
    parts: Sequence[Part],
    seams: Sequence[Seam],
    pieces: Sequence[Piece],
    job: Job,
    measured: Measured | None = None,
) -> tuple[Supply, ...]:
    """Give what a job takes, in the order of ``SupplyKind``, equal things put together.

    Stitching of seams counts in ``[thread]`` rows, hems
    once. Raises InputError for a stitch without a formula.
    """
    require_known_stitch(job)
    measured = measured or Measured()
    found = [supply for part in parts for supply in part.supplies]
    films = {plan.cloth for part in parts if part.kind is PartKind.WINDOW for plan in part.plans}
    found += _cloths(pieces, plans, measured.laid, films)
    found += _threads(plans, parts, seams, job, measured.inside)
    found += [
        Supply(SupplyKind.FASTENER, entry.name, entry.count, Measure.COUNT, entry.for_)
        for entry in job.said.fastener
    ]
    return _merged(found)


def _cloths(
    pieces: Sequence[Piece],
    plans: Sequence[PanelPlan],
    laid: Mapping[str, float],
    films: Set[str],
) -> list[Supply]:
    names = {plan.cloth: plan.cloth_name for plan in plans}
    areas: dict[str, float] = {}
    for piece in pieces:
        areas[piece.cloth] = areas.get(piece.cloth, 0.0) + signed_area(piece.cut)
    out = []
    for key, area in areas.items():
        kind = SupplyKind.FILM if key in films else SupplyKind.CLOTH
        if key in laid:
            supply = Supply(kind, names[key], laid[key], Measure.LENGTH, "pieces")
        else:
            supply = Supply(kind, names[key], area, Measure.AREA, "pieces", _CLOTH_WASTE)
        out.append(supply)
    return out


def _threads(
    plans: Sequence[PanelPlan],
    parts: Sequence[Part],
    seams: Sequence[Seam],
    job: Job,
    inside: float,
) -> list[Supply]:
    entry = job.said.thread
    rows = [(row.length, row.stitch, row.plies) for part in parts for row in part.stitching]
    rows.append((entry.seam_rows * inside, entry.stitch, 3))
    chains = {
        (plan.panel.name, edge.name): (
            edge.chain,
            allowance,
            plan.panel.count + plan.panel.mirrored,
        )
        for plan in plans
        for edge, allowance in zip(plan.panel.edges, plan.allowances, strict=True)
    }
    own = {plan.panel.name for plan in plans} - {
        each.panel.name for part in parts for each in part.plans
    }
    # What a part does along an edge is counted with the part.
    sewn = {(run.panel, run.edge) for part in parts for run in part.runs}
    for seam in seams:
        both = [(edge.panel, edge.edge) for edge in (seam.first, seam.second)]
        sewn.update(both)
        if {panel for panel, _ in both} <= own:
            chain, _, count = chains[both[0]]
            rows.append((entry.seam_rows * length(chain) * max(count, 0), entry.stitch, 3))
    for name, (chain, allowance, count) in chains.items():
        if name not in sewn and name[0] in own and allowance.finish in {"hem", "zip", "bound"}:
            rows.append((length(chain) * count, entry.stitch, 3))
    needed = sum(thread_for(run, stitch, plies, entry) for run, stitch, plies in rows)
    if needed <= 0:
        return []
    supply = Supply(
        SupplyKind.THREAD, f"{entry.name}, stitch {entry.stitch}", needed, Measure.LENGTH,
        "all seams", entry.waste,
    )  # fmt: skip
    return [supply]


def sewing_length(
    plans: Sequence[PanelPlan], parts: Sequence[Part], seams: Sequence[Seam]
) -> float:
    """Give the length of all seams and of the parts' stitching, mm, each row counted once.

    A seam that a part brings is left out: the part's own rows count it.
    """
    of_parts = {(seam.first, seam.second) for part in parts for seam in part.seams}
    chains = {
        (plan.panel.name, edge.name): edge.chain for plan in plans for edge in plan.panel.edges
    }
    run = sum(
        length(chains[seam.first.panel, seam.first.edge])
        for seam in seams
        if (seam.first, seam.second) not in of_parts
    )
    return run + sum(row.length for part in parts for row in part.stitching)


def _merged(supplies: Iterable[Supply]) -> tuple[Supply, ...]:
    found: dict[tuple[SupplyKind, str, Measure, float], Supply] = {}
    for supply in supplies:
        key = (supply.kind, supply.name, supply.measure, supply.waste)
        if key in found:
            before = found[key]
            parts = dict.fromkeys([*before.part.split(", "), supply.part])
            told = ", ".join(part for part in parts if part)
            found[key] = replace(before, amount=before.amount + supply.amount, part=told)
        else:
            found[key] = supply
    order = {kind: place for place, kind in enumerate(SupplyKind)}
    return tuple(sorted(found.values(), key=lambda supply: (order[supply.kind], supply.name)))
