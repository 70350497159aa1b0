"""Windows: film that overlaps an opening in uncut cloth, lines to sew and open it by."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain, line, segments
from cutpath.geometry.containment import parents
from cutpath.geometry.curvature import smallest_radius
from cutpath.geometry.loops import (
    counter_clockwise,
    grown,
    least_gap,
    rounded,
    rounded_rectangle,
    shrunk,
)
from cutpath.geometry.measure import bounds, joint_turns, length, points_at_stations
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import as_points, left_of
from cutpath.geometry.region import intersection
from cutpath.model import Finding
from cutpath.part_model import (
    Measure,
    OnPanel,
    Part,
    PartKind,
    Reason,
    StitchRow,
    Supply,
    SupplyKind,
)
from cutpath.parts.laying_on import (
    as_often_as,
    loop_plan,
    of_cloth,
    plan_named,
    times_of,
)
from cutpath.settings.job import Job
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.part_tables.window import WindowEntry

_WIDE = 900.0
"""Openings wider than this are questioned: several small ones fold and keep their shape better
(published trade practice; the number is ours)."""
_ROUND = 1e-3
_KINK = math.radians(1.0)
_SNIP = 8.0
_TICK = 6.0
_ROW_APART = 6.0


def windows(plans: Sequence[PanelPlan], job: Job) -> tuple[Part, ...]:
    """Give a part for each ``[[window]]``.

    Raises InputError for a window outside its panel, too near its stitch line or another window, or
    with corners too tight for film.
    """
    films: list[tuple[str, str, Chain]] = []
    parts = []
    for index, entry in enumerate(job.said.window):
        part, own = _window(index, entry, plans, job)
        for name, panel, film in own:
            for other, there, loop in films:
                if panel == there and least_gap(film, loop) < _ROUND:
                    raise InputError(
                        f"the films of '{name}' and '{other}' meet",
                        job.place("window", index),
                        "Take less overlap, or leave more cloth between the windows.",
                    )
        films += own
        parts.append(part)
    return tuple(parts)


def _window(
    index: int, entry: WindowEntry, plans: Sequence[PanelPlan], job: Job
) -> tuple[Part, list[tuple[str, str, Chain]]]:
    place = job.place("window", index)
    host = plan_named(plans, entry.panel, job.place("window", index, "panel"))
    name = entry.name or f"window {index + 1}"
    opening, taken = _opening(index, entry, host, name, job)
    panes = _panes(opening, entry, name, place)
    film_plan = of_cloth(host, entry.film, job.place("window", index, "film"), job)
    additions, pieces, films, rows = [], [], [], 0.0
    for number, pane in enumerate(panes, start=1):
        called = name if len(panes) == 1 else f"{name} {number}"
        _require_round(pane, entry, called, place)
        film = grown(pane, entry.overlap)
        _require_room(film, host, entry, called, place)
        films.append((called, host.panel.name, film))
        pieces.append(as_often_as(host, loop_plan(film_plan, f"{called} film", film, label=False)))
        additions.append(_lines(host, pane, film, entry))
        for row in range(entry.rows):
            inside = min(entry.overlap * 0.4 + row * _ROW_APART, entry.overlap)
            rows += length(pane) + 2 * math.pi * (entry.overlap - inside)
    for one, other in itertools.pairwise(films):
        if least_gap(one[2], other[2]) < _ROUND:
            raise InputError(
                f"an overlap of {entry.overlap:g} mm is more than half a bar of {entry.bar:g} mm",
                job.place("window", index, "overlap"),
                "Take less overlap, or a wider bar.",
            )
    on_panel = OnPanel(
        host.panel.name,
        drawn=tuple(chain for each in additions for chain in each.drawn),
        slits=tuple(chain for each in additions for chain in each.slits),
        instead_of=taken,
    )
    times = times_of(host.panel)
    tape = times * sum(length(film) for _, _, film in films) if entry.tape else 0.0
    part = Part(
        name,
        PartKind.WINDOW,
        plans=tuple(pieces),
        on_panels=(on_panel,),
        stitching=(StitchRow(name, rows * times, job.said.thread.stitch, 2),),
        supplies=(
            (Supply(SupplyKind.TAPE, "double-sided tape", tape, Measure.LENGTH, name, 0.05),)
            if tape
            else ()
        ),
        reasons=_reasons(name, entry, panes, [film for _, _, film in films]),
        findings=_questions(name, entry, opening, place),
    )
    return part, films


def _opening(
    index: int, entry: WindowEntry, host: PanelPlan, name: str, job: Job
) -> tuple[Chain, tuple[str, ...]]:
    """Give the opening, counter-clockwise, and the inner loop that it was drawn as."""
    if entry.loop is None:
        assert entry.at is not None  # the table has checked that
        assert entry.size is not None
        radius = entry.radius or max(entry.least_radius, 50.0)
        try:
            return rounded_rectangle(np.array(entry.at), *entry.size, radius), ()
        except ValueError as error:
            raise InputError(
                f"corners of {radius:g} mm do not fit '{name}'",
                job.place("window", index, "radius"),
                "Take a smaller radius, or a larger window.",
            ) from error
    names = [loop.name for loop in host.panel.inner]
    if entry.loop not in names:
        raise InputError(
            f"panel '{host.panel.name}' has no closed line '{entry.loop}' inside",
            job.place("window", index, "loop"),
            nearest_word(entry.loop, names) or "Draw the opening as a closed line in the panel.",
        )
    loop = counter_clockwise(host.panel.inner[names.index(entry.loop)].chain)
    if entry.radius is not None:
        smooth = rounded(loop, entry.radius)
        if smooth is None:
            raise InputError(
                f"'{name}' is too small for corners of {entry.radius:g} mm",
                job.place("window", index, "radius"),
                "Take a smaller radius.",
            )
        loop = smooth
    return loop, (entry.loop,)


def _panes(opening: Chain, entry: WindowEntry, name: str, place: Source) -> list[Chain]:
    """Give the opening, or what bars leave of it, each pane with round corners."""
    if entry.split == 1:
        return [opening]
    x0, y0, x1, y1 = bounds(opening)
    wide = (x1 - x0 - (entry.split - 1) * entry.bar) / entry.split
    radius = entry.radius or max(entry.least_radius, 25.0)
    out = []
    for number in range(entry.split):
        left = x0 + number * (wide + entry.bar)
        middle = np.array([left + wide / 2, (y0 + y1) / 2])
        pane = None
        if wide > 2 * radius:
            box = rounded_rectangle(middle, wide, y1 - y0 + 2.0, 0.0)
            parts = intersection([opening], [box])
            pane = rounded(max(parts, key=length), radius) if parts else None
        if pane is None:
            raise InputError(
                f"'{name}' cannot be split into {entry.split} panes with bars of {entry.bar:g} mm "
                f"and corners of {radius:g} mm",
                place,
                "Ask for fewer panes, narrower bars or smaller corners.",
            )
        out.append(pane)
    return out


def _require_round(pane: Chain, entry: WindowEntry, name: str, place: Source) -> None:
    turns = np.abs(joint_turns(pane))
    if (turns > _KINK).any():
        at = pane.points[int(turns.argmax())]
        raise InputError(
            f"'{name}' has a sharp corner at ({at[0]:.1f}, {at[1]:.1f}) mm, where film tears",
            place,
            f'Draw it round, or say radius = "{entry.least_radius:g} mm".',
        )
    tightest = smallest_radius(pane)
    if tightest < entry.least_radius - _ROUND:
        raise InputError(
            f"'{name}' has corners of {tightest:.1f} mm, tighter than {entry.least_radius:g} mm",
            place,
            f'Say radius = "{entry.least_radius:g} mm", or least_radius, if the film can take it.',
        )


def _require_room(
    film: Chain, host: PanelPlan, entry: WindowEntry, name: str, place: Source
) -> None:
    net = host.panel.outline
    if parents([film, net])[0] != 1:
        raise InputError(
            f"the film of '{name}' reaches outside panel '{host.panel.name}'",
            place,
            "Look at where the window is, or take less overlap.",
        )
    gap = least_gap(film, net)
    if gap < entry.clear:
        raise InputError(
            f"the film of '{name}' comes within {gap:.1f} mm of the stitch line of "
            f"'{host.panel.name}'; {entry.clear:g} mm are wanted",
            place,
            "Take less overlap, move the window, or say clear.",
        )


def _lines(host: PanelPlan, pane: Chain, film: Chain, entry: WindowEntry) -> OnPanel:
    """Draw the opening, the film's edge, and the line to cut by; snip where scissors enter."""
    cut = shrunk(pane, entry.turn) if entry.turn else pane
    drawn = [pane, film, *_centre_ticks(film)]
    slits: list[Chain] = []
    if cut is not None and entry.turn:
        drawn.append(cut)
    if cut is not None:
        slits = _corner_snips(cut)
    return OnPanel(host.panel.name, drawn=tuple(drawn), slits=tuple(slits))


def _centre_ticks(film: Chain) -> list[Chain]:
    """Give ticks at the film's upper and lower middle, by which it is laid on."""
    x0, y0, x1, y1 = bounds(film)
    wanted = as_points([((x0 + x1) / 2, y1), ((x0 + x1) / 2, y0)])
    found = nearest(film, wanted)
    places, along = points_at_stations(film, found.station)
    outward = -left_of(along)
    return [line(at, at + _TICK * out) for at, out in zip(places, outward, strict=True)]


def _corner_snips(cut: Chain) -> list[Chain]:
    """Give a short cut along the line at the middle of each corner's arc."""
    out = []
    run = 0.0
    sizes = [length(part) for part in segments(cut)]
    for index, size in enumerate(sizes):
        if cut.bulges[index] > 0 and size > _SNIP:
            middle = run + size / 2
            ends, _ = points_at_stations(cut, np.array([middle - _SNIP / 2, middle + _SNIP / 2]))
            out.append(line(ends[0], ends[1]))
        run += size
    return out


def _reasons(
    name: str, entry: WindowEntry, panes: Sequence[Chain], films: Sequence[Chain]
) -> tuple[Reason, ...]:
    tightest = min(smallest_radius(pane) for pane in panes)
    largest = max(films, key=length)
    x0, _, x1, _ = bounds(largest)
    return (
        Reason(
            name, "film overlap", entry.overlap, "mm", "beyond the opening, all round",
            "said in the job, or 15 mm: common practice, no source",
        ),
        Reason(
            name, "film width", x1 - x0, "mm",
            f"opening {x1 - x0 - 2 * entry.overlap:g} + 2 · {entry.overlap:g}", "plane geometry",
        ),
        Reason(
            name, "film corner", tightest + entry.overlap, "mm",
            f"opening's {tightest:g} + overlap {entry.overlap:g}: concentric arcs",
            "plane geometry",
        ),
        Reason(
            name, "cloth turned under", entry.turn, "mm", "inside the opening",
            "common practice, no source",
        ),
    )  # fmt: skip


def _questions(name: str, entry: WindowEntry, opening: Chain, place: Source) -> tuple[Finding, ...]:
    x0, _, x1, _ = bounds(opening)
    if entry.split > 1 or x1 - x0 <= _WIDE:
        return ()
    return (
        Finding(
            f"'{name}' is {x1 - x0:.0f} mm wide; where it folds, several panes keep better",
            place,
            'split = 2 and bar = "60 mm" make panes with cloth between them.',
        ),
    )
