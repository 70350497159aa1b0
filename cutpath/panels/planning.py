"""What the job decides about each panel: finishes, corners, cloth, notches."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.errors import InputError
from cutpath.model import Allowance, Corner, Finding, Panel
from cutpath.panels.finding import matched
from cutpath.settings.cloth_entry import Cloth, Faces
from cutpath.settings.job import Job
from cutpath.settings.job_file import EdgeEntry, PanelEntry, Snip
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.panel_plan import PanelPlan

_UNSAID_CLOTH = "cloth"
_NOTHING_SAID = PanelEntry()
_EDGE_UNSAID = EdgeEntry.model_validate({})


def plan_panels(
    panels: Sequence[Panel], job: Job
) -> tuple[tuple[PanelPlan, ...], tuple[Finding, ...]]:
    """Put together each of ``panels`` and what the job says of it; nothing is left to look up.

    A width is the edge's own, else the panel's, else the finish's. Raises InputError for corners
    and cloths that are not there.
    """
    plans = tuple(_plan(panel, job) for panel in panels)
    findings = tuple(
        Finding(f"panel '{plan.panel.name}' is not cut: its count is 0", plan.panel.source)
        for plan in plans
        if plan.panel.count + plan.panel.mirrored == 0
    )
    return plans, findings


def _plan(panel: Panel, job: Job) -> PanelPlan:
    said = job.said
    entry = said.panels.get(panel.name, _NOTHING_SAID)
    key, cloth = _cloth(panel, entry, job)
    return PanelPlan(
        job=job.name,
        panel=panel,
        allowances=tuple(_allowance(edge.name, entry, job) for edge in panel.edges),
        corners=_corners(panel, entry, job),
        mitre_limit=said.mitre_limit,
        cloth=key,
        cloth_name=cloth.name or key,
        faces_differ=cloth.faces is Faces.DIFFER,
        face=entry.face,
        notch_shape=said.notches.shape,
        notch_depth=said.notches.depth,
        snips=said.notches.snips is not Snip.NONE,
        vees=said.notches.snips is Snip.BOTH,
        both_faces=said.notches.both_faces,
        label_height=said.labels.height,
        pen_folds=said.pen.folds,
        pen_stitch=said.pen.stitch,
        pen_grain=said.pen.grain,
        keep_level=_level_mark(panel, entry, job),
    )


def _level_mark(panel: Panel, entry: PanelEntry, job: Job) -> str | None:
    if entry.keep_level is None:
        return None
    names = [mark.name for mark in panel.marks]
    name = matched(entry.keep_level, names)
    if name is None:
        place = job.place("panels", panel.name, "keep_level")
        raise InputError(
            f"panel '{panel.name}' has no mark '{entry.keep_level}'",
            place,
            nearest_word(entry.keep_level, names),
        )
    return name


def _allowance(edge: str, entry: PanelEntry, job: Job) -> Allowance:
    own = entry.edges.get(edge, _EDGE_UNSAID)
    name = own.finish or entry.finish or job.said.finish
    finish = job.said.finishes.named(name)
    # A panel's widths go with the panel's finish, not with another one chosen for the edge.
    panel_speaks = own.finish is None or own.finish is entry.finish
    width, turn_under = finish.width, finish.turn_under
    for level in (entry, own) if panel_speaks else (own,):
        width = level.width if level.width is not None else width
        turn_under = level.turn_under if level.turn_under is not None else turn_under
    return Allowance(name.value, width + turn_under, turn_under, finish.corner or Corner.MITRE)


def _corners(panel: Panel, entry: PanelEntry, job: Job) -> tuple[Corner | None, ...]:
    names = [edge.name for edge in panel.edges]
    out: list[Corner | None] = [None] * len(names)
    for pair, corner in entry.meet.items():
        for index in _joints(panel.name, pair, names, job):
            out[index] = corner
    return tuple(out)


def _joints(panel: str, pair: str, names: list[str], job: Job) -> list[int]:
    """Give the numbers of the edges that begin where the two edges of ``pair`` meet."""
    place = job.place("panels", panel, "meet", pair)
    words = [word.strip() for word in pair.split("/")]
    if len(words) != 2:
        raise InputError(
            f"'{pair}' does not name two edges", place, 'Write it like "top/aft" = "square".'
        )
    numbers = []
    for word in words:
        name = matched(word, names)
        if name is None:
            raise InputError(
                f"panel '{panel}' has no edge '{word}'", place, nearest_word(word, names)
            )
        numbers.append(names.index(name))
    one, other = numbers
    count = len(names)
    joints = [
        later
        for earlier, later in ((one, other), (other, one))
        if (earlier + 1) % count == later and earlier != later
    ]
    if not joints:
        raise InputError(
            f"edges '{words[0]}' and '{words[1]}' do not meet",
            place,
            f"The edges follow one another like this: {', '.join(names)}.",
        )
    return joints


def _cloth(panel: Panel, entry: PanelEntry, job: Job) -> tuple[str, Cloth]:
    cloths = job.said.cloths
    key = entry.cloth or job.said.cloth
    if key is None:
        only = next(iter(cloths)) if len(cloths) == 1 else None
        key = panel.material or only or _UNSAID_CLOTH
        return key, cloths.get(key, Cloth())
    if cloths and key not in cloths:
        place = job.place("panels", panel.name, "cloth") if entry.cloth else job.place("cloth")
        raise InputError(f"there is no cloth '{key}'", place, nearest_word(key, cloths))
    return key, cloths.get(key, Cloth())
