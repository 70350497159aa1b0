"""Straps of webbing: cut lengths from finished ones, cut lists by roll, and what heat may touch."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.errors import InputError
from cutpath.geometry.chain import Chain, line
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
    WebbingPiece,
)
from cutpath.parts.stock import CutList, cut_list
from cutpath.settings.job import Job
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.part_tables.webbing import Fibre, WebbingEntry, WebbingKind

SEAL = 2.0
"""What melts away at each sealed end, mm: 1.6 to 3.2 were measured (see the trade's sources)."""
KERF = 2.0
"""What one cut takes from a roll, mm (common practice, no source)."""
_BOX_FROM_EDGE = 6.0
_LEAST_FOLD = 50.0


@dataclass(frozen=True, slots=True)
class Heat:
    """How a fibre's ends are sealed: a range for a blade that stands, °C, and for its wait, s."""

    melts: str
    blade: tuple[int, int]
    dwell: tuple[float, float]
    source: str


HEAT: Mapping[Fibre, Heat] = {
    Fibre.POLYPROPYLENE: Heat("160 to 165 °C", (200, 260), (0.5, 1.5), "from memory; try on scrap"),
    Fibre.POLYESTER: Heat("250 to 260 °C", (260, 320), (0.5, 1.5), "from memory; try on scrap"),
    Fibre.NYLON: Heat(
        "215 to 220 °C (PA6), 245 to 260 °C (PA66)", (260, 320), (0.5, 2.0),
        "from memory; its fumes irritate; try on scrap",
    ),
}  # fmt: skip
"""Fibres whose ends a hot blade seals. Nothing else goes near one."""


def webbings(plans: Sequence[PanelPlan], job: Job) -> tuple[Part, ...]:
    """Give a part for each ``[[webbing]]``.

    Raises InputError for an unknown kind or panel, and for heat on what it must not touch.
    """
    panels = {plan.panel.name for plan in plans}
    return tuple(_strap(index, entry, panels, job) for index, entry in enumerate(job.said.webbing))


@dataclass(frozen=True, slots=True)
class _Lengths:
    """What a strap's cut length is made of, mm."""

    finished: float
    backs: tuple[float, float]
    wrap: float
    seals: float
    allowance: float

    @property
    def cut(self) -> float:
        wraps = self.wrap * sum(back > 0 for back in self.backs)
        return self.finished + sum(self.backs) + wraps + self.allowance + self.seals


def _strap(index: int, entry: WebbingEntry, panels: set[str], job: Job) -> Part:
    kind = _kind(index, entry, job)
    if entry.sealed:
        _require_sealable(index, entry, kind, job)
    if entry.panel is not None and entry.panel not in panels:
        raise InputError(
            f"there is no panel '{entry.panel}'",
            job.place("webbing", index, "panel"),
            nearest_word(entry.panel, sorted(panels)),
        )
    name = entry.name or f"webbing {index + 1}"
    first, second, *_ = (*entry.turn_backs, 0.0, 0.0)
    backs = (first, second)
    finished = entry.length or _path_length(entry)
    wrap = math.pi * (entry.bar + kind.thickness) / 2 if entry.bar else 0.0
    seals = 2 * SEAL if entry.sealed else 0.0
    lengths = _Lengths(finished, backs, wrap, seals, entry.allowance)
    cut = lengths.cut
    drawn = OnPanel(entry.panel, drawn=_path_lines(entry)) if entry.panel and entry.path else None
    return Part(
        name,
        PartKind.WEBBING,
        on_panels=(drawn,) if drawn else (OnPanel(entry.panel),) if entry.panel else (),
        webbing=(
            WebbingPiece(
                name, entry.of, kind.width, cut, entry.count, _marks(cut, backs, wrap, seals / 2),
                entry.sealed,
            ),
        ),
        stitching=_boxes(name, kind, backs, entry.count),
        supplies=(
            Supply(
                SupplyKind.WEBBING, kind.name or f"{kind.fibre.value} webbing {kind.width:g} mm",
                (cut + KERF) * entry.count, Measure.LENGTH, name,
            ),
        ),
        reasons=_reasons(name, lengths, entry, kind),
        findings=_warnings(index, name, entry, kind, job),
    )  # fmt: skip


def _kind(index: int, entry: WebbingEntry, job: Job) -> WebbingKind:
    known = job.said.webbings
    if entry.of not in known:
        raise InputError(
            f"there is no webbing '{entry.of}'",
            job.place("webbing", index, "of"),
            nearest_word(entry.of, known)
            or f'Add [webbings.{entry.of}] with fibre = "polyester" and its width.',
        )
    return known[entry.of]


def _require_sealable(index: int, entry: WebbingEntry, kind: WebbingKind, job: Job) -> None:
    if kind.fibre in HEAT:
        return
    why = {
        Fibre.PVC: "PVC under heat gives off hydrogen chloride",
        Fibre.COTTON: "cotton burns and does not melt",
        Fibre.UNKNOWN: "nobody knows what its fumes are",
    }[kind.fibre]
    raise InputError(
        f"the ends of '{entry.name or entry.of}' must not be sealed by heat: {why}",
        job.place("webbing", index),
        "Say sealed = false and cut it cold, or name what it is made of in [webbings].",
    )


def _path_length(entry: WebbingEntry) -> float:
    steps = np.diff(np.array(entry.path), axis=0)
    return float(np.hypot(*steps.T).sum())


def _path_lines(entry: WebbingEntry) -> tuple[Chain, ...]:
    return tuple(line(*ends) for ends in itertools.pairwise(np.array(entry.path)))


def _marks(cut: float, backs: tuple[float, float], wrap: float, seal: float) -> tuple[float, ...]:
    """Give where the strap folds, mm from its first end as it is cut."""
    out = []
    if backs[0]:
        out.append(seal + backs[0] + wrap / 2)
    if backs[1]:
        out.append(cut - seal - backs[1] - wrap / 2)
    return tuple(out)


def _boxes(
    name: str, kind: WebbingKind, backs: tuple[float, float], count: int
) -> tuple[StitchRow, ...]:
    """Give the stitching of each turn-back: a box with its cross, 6 mm from the edges."""
    total = 0.0
    for back in backs:
        if back > 0:
            wide = max(kind.width - 2 * _BOX_FROM_EDGE, 4.0)
            long = max(back - 2 * _BOX_FROM_EDGE, 4.0)
            total += 2 * (wide + long) + 2 * math.hypot(wide, long)
    return (StitchRow(name, total * count, "301", 4),) if total else ()


def _reasons(
    name: str, lengths: _Lengths, entry: WebbingEntry, kind: WebbingKind
) -> tuple[Reason, ...]:
    terms = [f"{lengths.finished:g}"]
    terms += [f"{back:g}" for back in lengths.backs if back]
    if lengths.wrap and any(lengths.backs):
        count = sum(back > 0 for back in lengths.backs)
        terms.append(f"{count} · π({entry.bar:g} + {kind.thickness:g})/2")
    if entry.allowance:
        terms.append(f"{entry.allowance:g}")
    if entry.sealed:
        terms.append(f"2 · {SEAL:g}")
    out = [
        Reason(
            name, "cut length", lengths.cut, "mm",
            f"finished + turn-backs + half-wraps + ends: {' + '.join(terms)}",
            "plane geometry; a sealed end melts 1.6 to 3.2 mm away (measured by the trade)",
        )
    ]  # fmt: skip
    if entry.sealed:
        heat = HEAT[kind.fibre]
        low, high = heat.blade
        out.append(
            Reason(
                name, "blade", (low + high) / 2, "°C",
                f"{kind.fibre.value} melts at {heat.melts}; a standing blade of {low} to {high} °C "
                f"waits {heat.dwell[0]:g} to {heat.dwell[1]:g} s",
                heat.source,
            )
        )  # fmt: skip
    return tuple(out)


def _warnings(
    index: int, name: str, entry: WebbingEntry, kind: WebbingKind, job: Job
) -> tuple[Finding, ...]:
    out = []
    place = job.place("webbing", index)
    short = [back for back in entry.turn_backs if 0 < back < _LEAST_FOLD]
    if short:
        out.append(
            Finding(
                f"{name}: a turn-back of {min(short):g} mm is short for a box of stitches",
                place,
                f"{_LEAST_FOLD:g} mm or more is usual.",
            )
        )
    if kind.fibre is Fibre.NYLON and entry.allowance == 0:
        out.append(
            Finding(
                f"{name}: nylon shrinks when wet and stretches under load",
                place,
                "Choose polyester for a fixed length, or leave some allowance.",
            )
        )
    return tuple(out)


@dataclass(frozen=True, slots=True)
class WebbingList:
    """The cut list of one kind of webbing; ``names`` say which strap each piece is."""

    kind: str
    name: str
    names: tuple[str, ...]
    lengths: tuple[float, ...]
    cuts: CutList


def webbing_lists(parts: Sequence[Part], job: Job) -> tuple[WebbingList, ...]:
    """Give a cut list for each kind of webbing: the longest pieces first, remnants before rolls.

    Raises InputError for a piece that no remnant and no roll is long enough for.
    """
    out = []
    for key, kind in job.said.webbings.items():
        straps = [
            (strap.name, strap.length)
            for part in parts
            for strap in part.webbing
            if strap.material == key
            for _ in range(strap.count)
        ]
        if not straps:
            continue
        names, lengths = zip(*straps, strict=True)
        try:
            cuts = cut_list(lengths, kind.on_hand, kind.roll, KERF)
        except ValueError as error:
            raise InputError(
                f"a strap of {max(lengths):g} mm is longer than a roll of '{key}'",
                job.place("webbings", key, "roll"),
                "Make it of two, joined, or say a longer roll.",
            ) from error
        title = kind.name or f"{kind.fibre.value} webbing {kind.width:g} mm"
        out.append(WebbingList(key, title, names, lengths, cuts))
    return tuple(out)
