"""What is told of straps: how their lengths came about, what heat they take, and what to mind."""

from __future__ import annotations

from cutpath.errors import InputError, Source
from cutpath.model import Finding
from cutpath.part_model import Reason
from cutpath.parts.fibres import fibres
from cutpath.parts.webbing_lengths import SEAL, StrapLengths
from cutpath.settings.job import Job
from cutpath.settings.part_tables.webbing import Fibre, WebbingEntry, WebbingKind

_LEAST_FOLD = 50.0
_GEOMETRY = "plane geometry"
_MELTS = "a sealed end melts 1.6 to 3.2 mm away (osgoodwaybag.com, strap sewing)"


def require_sealable(index: int, entry: WebbingEntry, kind: WebbingKind, job: Job) -> None:
    """Refuse heat on a fibre that it must not touch. Raises InputError."""
    refused = fibres().refused.get(kind.fibre)
    if entry.sealed and refused is not None:
        raise InputError(
            f"the ends of '{entry.name or entry.of}' must not be sealed by heat: {refused.why} "
            f"({refused.source})",
            job.place("webbing", index),
            "Say sealed = false and cut it cold, or name what it is made of in [webbings].",
        )


def length_reason(name: str, what: str, lengths: StrapLengths, bar: float, thick: float) -> Reason:
    """Give how a cut length came about."""
    terms = [f"{lengths.finished:g}"] + [f"{back:g}" for back in lengths.backs if back]
    told = ["finished"]
    count = sum(back > 0 for back in lengths.backs)
    if count:
        told.append("turned back")
    if lengths.wrap and count:
        told.append("half round the bar")
        terms.append(f"{count} · π({bar:g} + {thick:g})/2")
    if lengths.allowance:
        told.append("allowance")
        terms.append(f"{lengths.allowance:g}")
    if lengths.seal:
        told.append("melted ends")
        terms.append(f"2 · {SEAL:g}")
    source = f"{_GEOMETRY}; {_MELTS}" if lengths.seal else _GEOMETRY
    formula = f"{' + '.join(told)}: {' + '.join(terms)}"
    return Reason(name, what, lengths.cut, "mm", formula, source)


def mark_reasons(name: str, lengths: StrapLengths) -> tuple[Reason, ...]:
    """Give where the pen marks folds and boxes, from the first end."""
    folds = tuple(
        Reason(
            name, "fold", at, "mm", "from the first end: melted, turned back, half of the half-wrap"
            if at < lengths.cut / 2 else "as far from the other end", _GEOMETRY,
        )
        for at in lengths.folds
    )  # fmt: skip
    boxes = tuple(
        Reason(
            name, "box of stitches", end - begin, "mm",
            f"over the turned-back end, from {begin:.1f} to {end:.1f}, 6 mm from its edges",
            "osgoodwaybag.com, strap sewing",
        )
        for begin, end in lengths.boxes
    )  # fmt: skip
    return (*folds, *boxes)


def heat_reasons(name: str, kind: WebbingKind) -> tuple[Reason, ...]:
    """Give what a hot blade does to the fibre; none where heat is refused."""
    heat = fibres().sealed.get(kind.fibre)
    if heat is None:
        return ()
    low, high = heat.blade
    slow, fast = heat.speed
    return (
        Reason(
            name, "melting", heat.melts[1], "°C",
            f"{kind.fibre.value} melts at {heat.melts[0]:g} to {heat.melts[1]:g} °C and decomposes "
            f"from {heat.decomposes:g} °C",
            f"{heat.melts_source}; decomposition: the latter's",
        ),
        Reason(
            name, "blade, least", low, "°C",
            f"a standing blade of {low:g} to {high:g} °C; begin low, try on scrap",
            heat.blade_source,
        ),
        Reason(
            name, "wait, least", heat.dwell[0], "s",
            f"{heat.dwell[0]:g} to {heat.dwell[1]:g} s; across it at {slow:g} to {fast:g} mm/s",
            heat.blade_source,
        ),
    )  # fmt: skip


def warnings(
    name: str, entry: WebbingEntry, kind: WebbingKind, place: Source
) -> tuple[Finding, ...]:
    """Give what to mind about a strap."""
    out = []
    short = [back for back in entry.turn_backs if 0 < back < _LEAST_FOLD]
    if short:
        out.append(
            Finding(
                f"{name}: a turn-back of {min(short):g} mm is short for a box of stitches", place,
                f"{_LEAST_FOLD:g} mm or more is usual.",
            )
        )  # fmt: skip
    if entry.bar and not any(entry.turn_backs):
        out.append(
            Finding(
                f"{name}: nothing is turned back, so its bar changes nothing", place,
                'Say turn_backs = ["50 mm"], or leave bar out.',
            )
        )  # fmt: skip
    if kind.fibre is Fibre.NYLON and entry.allowance == 0:
        out.append(
            Finding(
                f"{name}: nylon shrinks when wet and stretches under load", place,
                "Choose polyester for a fixed length, or leave some allowance.",
            )
        )  # fmt: skip
    if kind.fibre is Fibre.POLYPROPYLENE:
        out.append(
            Finding(
                f"{name}: polypropylene ages in the sun", place,
                "Polyester is the first choice out of doors (common practice, no source).",
            )
        )  # fmt: skip
    return tuple(out)
