"""Every step of sewing a job, and what each needs.

The rules (common practice, no source): patches and films go on while a panel is flat; a seam is
joined from inside and top-stitched from outside before another crosses its end; what runs along an
edge waits for the seams that end on it, binding for everything else on that edge; cloth behind a
window is opened when all else is done, for it keeps the film from scratches.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from cutpath.errors import InputError
from cutpath.model import EdgeName, Panel, Seam
from cutpath.part_model import Part, PartKind
from cutpath.settings.job import Job
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.panel_plan import PanelPlan
from cutpath.sewing.crossings import Crossing, crossings, runs
from cutpath.sewing_plan import Step, StepKind

_ALONG = {
    PartKind.POCKET: (StepKind.POCKET, "sew {part} on"),
    PartKind.ZIP: (StepKind.ZIP, "sew {part} on"),
    PartKind.EDGE_ROPE: (StepKind.ROPE, "sew {part} on"),
    PartKind.BINDING: (StepKind.BIND, "bind with {part}"),
}
_FINISHES = {
    "hem": (StepKind.HEM, "hem", "turn and sew the hem along {edges}"),
    "zip": (StepKind.ZIP, "zip", "sew the zip on along {edges}"),
    "bound": (StepKind.BIND, "bind", "bind {edges}"),
}
_COVERS = {
    "hem": {PartKind.POCKET},
    "zip": {PartKind.ZIP, PartKind.POCKET, PartKind.EDGE_ROPE},
    "bound": {PartKind.BINDING},
}
"""Parts that do what an edge's finish asks for."""


@dataclass(frozen=True, slots=True, eq=False)
class _Bench:
    """What the rules look at."""

    panels: Mapping[str, Panel]
    seams: tuple[Seam, ...]
    parts: tuple[Part, ...]
    crossings: tuple[Crossing, ...]

    def joins(self, edges: Iterable[EdgeName]) -> list[str]:
        """Give the top-stitching of every seam that lies along or ends on one of ``edges``."""
        wanted = set(edges)
        along = [s.letter for s in self.seams if {s.first, s.second} & wanted]
        across = [c.seam for c in self.crossings if {c.first, c.second} & wanted]
        return [f"top-stitch {letter}" for letter in dict.fromkeys((*along, *across))]


def steps_of(
    plans: Sequence[PanelPlan],
    seams: Sequence[Seam],
    parts: Sequence[Part],
    job: Job,
    split: Mapping[str, str] | None = None,
) -> tuple[Step, ...]:
    """Give the steps of a job; ``plans`` are those of traced panels, ``seams`` theirs.

    ``split`` tells, by panel, how one that was cut in parts is made up; all else on it waits.
    Raises InputError where the job's own words about the order name a step that is not there.
    """
    panels = {plan.panel.name: plan.panel for plan in plans}
    own = tuple(s for s in seams if s.first.panel in panels and s.second.panel in panels)
    bench = _Bench(panels, own, tuple(parts), crossings(panels, own))
    flat = _flat(bench)
    edges = _after_the_rest([*_along(bench), *_finishes(plans, bench)])
    steps = [*flat, *_joins(bench, flat), *edges, *_straps(bench, flat)]
    steps = _made_up_first([*steps, *_openings(bench, steps)], split or {})
    return _overruled(steps, job)


def _made_up_first(steps: Sequence[Step], split: Mapping[str, str]) -> list[Step]:
    made = [
        Step(
            f"make up {panel}", StepKind.MAKE_UP,
            f"make {panel} up of its parts, join and top-stitch: {how}", (panel,),
        )
        for panel, how in split.items()
    ]  # fmt: skip
    waits = [
        replace(
            step,
            needs=(*step.needs, *(f"make up {name}" for name in step.panels if name in split)),
        )
        for step in steps
    ]
    return [*made, *waits]


def _flat(bench: _Bench) -> list[Step]:
    out = []
    words = {
        PartKind.PATCH: (StepKind.PATCH, "sew {part} onto {panels}, flat"),
        PartKind.WINDOW: (StepKind.FILM, "sew the film of {part} onto {panels}, flat"),
    }
    for part in bench.parts:
        if part.kind in words:
            kind, text = words[part.kind]
            panels = _panels_of(part, bench)
            told = text.format(part=part.name, panels=" and ".join(panels))
            out.append(Step(f"{kind.value} {part.name}", kind, told, panels))
    return out


def _panels_of(part: Part, bench: _Bench) -> tuple[str, ...]:
    names = [each.panel for each in part.on_panels] + [edge.panel for edge in part.runs]
    return tuple(name for name in dict.fromkeys(names) if name in bench.panels)


def _joins(bench: _Bench, flat: Sequence[Step]) -> list[Step]:
    out = []
    for seam in bench.seams:
        panels = tuple(dict.fromkeys((seam.first.panel, seam.second.panel)))
        needs = tuple(step.name for step in flat if set(step.panels) & set(panels))
        join = f"join {seam.letter}"
        both = f"{seam.first} to {seam.second}"
        out.append(Step(join, StepKind.JOIN, f"join {both}, from inside", panels, needs))
        top = f"top-stitch {seam.letter}"
        out.append(
            Step(top, StepKind.TOP_STITCH, f"top-stitch {both}, from outside", panels, (join,))
        )
    return out


def _along(bench: _Bench) -> list[Step]:
    """Give the steps of parts that lie along edges, each made up first where it has pieces."""
    out = []
    for part in bench.parts:
        if part.kind not in _ALONG:
            continue
        kind, text = _ALONG[part.kind]
        needs = bench.joins(part.runs)
        if part.plans and kind is not StepKind.BIND:
            made = f"make up {part.name}"
            out.append(Step(made, StepKind.MAKE_UP, f"make up {part.name} by itself", ()))
            needs.append(made)
        told = f"{text.format(part=part.name)} along {_listed(part.runs)}"
        name = f"{kind.value} {part.name}"
        out.append(Step(name, kind, told, _panels_of(part, bench), tuple(needs)))
    return out


def _finishes(plans: Sequence[PanelPlan], bench: _Bench) -> list[Step]:
    """Give a step for each run of free edges of one finish that no part does."""
    sewn = {edge for seam in bench.seams for edge in (seam.first, seam.second)}
    out = []
    for finish, (kind, verb, text) in _FINISHES.items():
        covered = {
            edge for part in bench.parts if part.kind in _COVERS[finish] for edge in part.runs
        }
        edges = [
            EdgeName(plan.panel.name, edge.name)
            for plan in plans
            for edge, allowance in zip(plan.panel.edges, plan.allowances, strict=True)
            if allowance.finish == finish and plan.panel.count + plan.panel.mirrored > 0
        ]
        free = [edge for edge in edges if edge not in sewn and edge not in covered]
        for run in runs(free, bench.crossings):
            panels = tuple(dict.fromkeys(edge.panel for edge in run))
            told = text.format(edges=_listed(run))
            out.append(Step(f"{verb} {run[0]}", kind, told, panels, tuple(bench.joins(run))))
    return out


def _listed(edges: Sequence[EdgeName]) -> str:
    words = [str(edge) for edge in edges]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _after_the_rest(steps: Sequence[Step]) -> list[Step]:
    """Let binding wait for all other work on its panels' edges: it closes their ends."""
    out = []
    for step in steps:
        before = [
            other.name
            for other in steps
            if other.kind is not StepKind.BIND and set(other.panels) & set(step.panels)
        ]
        is_last = step.kind is StepKind.BIND
        out.append(replace(step, needs=(*step.needs, *before)) if is_last else step)
    return out


def _straps(bench: _Bench, flat: Sequence[Step]) -> list[Step]:
    out = []
    for part in bench.parts:
        if part.kind is PartKind.WEBBING:
            panels = _panels_of(part, bench)
            joined = [
                f"top-stitch {seam.letter}"
                for seam in bench.seams
                if {seam.first.panel, seam.second.panel} & set(panels)
            ]
            patches = [step.name for step in flat if set(step.panels) & set(panels)]
            told = f"sew the straps of {part.name} on"
            needs = (*joined, *patches)
            out.append(Step(f"strap {part.name}", StepKind.STRAP, told, panels, needs))
    return out


def _openings(bench: _Bench, steps: Sequence[Step]) -> list[Step]:
    everything = tuple(step.name for step in steps)
    return [
        Step(
            f"open {part.name}", StepKind.OPEN,
            f"cut the cloth behind {part.name} open along its pen line, with scissors",
            _panels_of(part, bench), everything,
        )
        for part in bench.parts
        if part.kind is PartKind.WINDOW
    ]  # fmt: skip


def _overruled(steps: Sequence[Step], job: Job) -> tuple[Step, ...]:
    """Add what the job says of the order."""
    names = [step.name for step in steps]
    more: dict[str, list[str]] = {}
    for index, entry in enumerate(job.said.sewing):
        for key, words in (("step", [entry.step]), ("after", entry.after)):
            for word in words:
                if word not in names:
                    raise InputError(
                        f"there is no step '{word}' in the sewing",
                        job.place("sewing", index, key),
                        nearest_word(word, names),
                    )
        more.setdefault(entry.step, []).extend(entry.after)
    return tuple(
        replace(step, needs=(*step.needs, *more[step.name])) if step.name in more else step
        for step in steps
    )
