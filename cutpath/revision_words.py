"""What was changed on the panels, in sentences; every command that works on them tells it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cutpath.errors import Source
from cutpath.model import Finding
from cutpath.revision import Faired, Paired, PairUse, Revisions, Trued

_USES = {
    PairUse.COMPARE: "",
    PairUse.MEAN: "; both are cut to the mean of both",
    PairUse.MIRROR: "; {second} is cut as the mirror image of {first}",
}


def revision_lines(revisions: Revisions) -> Iterator[str]:
    """Give a sentence for each edge laid fair, each pair, and each seam that asked to be trued."""
    yield from map(fair_words, revisions.faired)
    yield from map(pair_words, revisions.pairs)
    yield from map(true_words, revisions.trued)


def revision_findings(revisions: Revisions, file: str) -> tuple[Finding, ...]:
    """Give what was changed as findings; pairs that are only compared are not among them."""
    pairs = tuple(pair for pair in revisions.pairs if pair.use is not PairUse.COMPARE)
    changed = Revisions(revisions.faired, pairs, revisions.trued)
    return tuple(Finding(line, Source(file=file)) for line in revision_lines(changed))


def fair_words(faired: Faired) -> str:
    """Say how far a fair edge lies from the digitised one, and how it bends now."""
    radius = faired.smallest_radius
    bend = "straight" if math.isinf(radius) else f"smallest radius {radius:,.0f} mm"
    marks = f"; marks shift by up to {faired.mark_shift:.1f} mm" if faired.mark_shift > 0.05 else ""
    return (
        f"{faired.edge} laid fair within {faired.within:g} mm: up to {faired.largest:.2f} mm from "
        f"the digitised points (at {faired.at:.0f} mm), {faired.typical:.2f} mm as a rule; "
        f"inflections {faired.inflections_before} before, {faired.inflections} now; {bend}{marks}"
    )


def pair_words(pair: Paired) -> str:
    """Say how far two panels are from being mirror images, and what became of them."""
    opening = (
        f"{pair.first} and {pair.second} as mirror images"
        if pair.is_said
        else f"{pair.first} and {pair.second} look like a pair"
    )
    mark = ""
    if pair.mark:
        mark = f"; mark {pair.mark} differs most, by {abs(pair.mark_difference):.1f} mm"
    use = _USES[pair.use].format(first=pair.first, second=pair.second)
    return (
        f"{opening}: outlines part by {pair.largest:.1f} mm at most, {pair.at:.0f} mm along "
        f"{pair.edge}{mark}{use}"
    )


def true_words(trued: Trued) -> str:
    """Say what was shared on a seam, or why nothing was."""
    if trued.why_not:
        return f"seam {trued.seam} is not trued: {trued.why_not}"
    return (
        f"seam {trued.seam} trued: {abs(trued.shared):.2f} mm of length shared, marks moved by up "
        f"to {trued.mark_move:.2f} mm, corners by up to {trued.corner_move:.2f} mm"
    )
