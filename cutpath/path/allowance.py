"""The net line with its allowances: edges and their finishes in, one clean cut line out.

Each edge adds a strip as wide as its finish asks; each corner says what is filled in between two
strips or trimmed off them; a hem's ends are mirror images of what they will lie on. The cut line is
the outline of the union of all these, so it cannot cross itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.errors import Source
from cutpath.geometry.biarc import as_arcs
from cutpath.geometry.chain import Chain, closed_up, joined
from cutpath.geometry.measure import end_tangents, signed_area
from cutpath.geometry.offset import band, parallel, strip
from cutpath.geometry.region import difference, union
from cutpath.geometry.soundness import around, made_simple
from cutpath.geometry.tidying import merged
from cutpath.model import Allowance, Corner, Edge, Finding
from cutpath.path.corners import NOTHING, CornerPlace, CornerShape, crease, mitre
from cutpath.path.hems import Hem, folded_hem, folds_cleanly

_CURVE_TOLERANCE = 0.002
"""How far, mm, arcs may stray from a drawn free curve: a fifth of what is promised."""
_HAIR = 2e-3
_SLIVER = 1.0
"""Spaces below this, mm², are rounding between strips, not gaps that anyone could see."""
CREASE_RESERVE = 6.0
"""Cloth left beyond the crease of two hems, mm (common practice, no source)."""


@dataclass(frozen=True, slots=True, eq=False)
class CutLine:
    """The outline to cut, the net line it came from, and the lines the hems fold on."""

    cut: Chain
    net: Chain
    folds: tuple[Chain, ...]


def add_allowance(
    edges: Sequence[Edge],
    allowances: Sequence[Allowance],
    corners: Sequence[Corner | None],
    limit: float = 2.5,
) -> tuple[CutLine, tuple[Finding, ...]]:
    """Add each edge's allowance outside a panel's net line.

    ``edges`` run counter-clockwise, each from where the one before ends; ``allowances`` belong to
    them; ``corners[i]`` says how edge i meets the one before it, None leaving it to the two
    finishes. A mitre longer than ``limit`` × the wider allowance is bevelled.

    Gives the cut line (lines and arcs, counter-clockwise, simple) and what is worth knowing.
    """
    chains = [as_arcs(edge.chain, _CURVE_TOLERANCE) for edge in edges]
    net = closed_up(joined(chains))
    if not any(allowance.width for allowance in allowances):
        return CutLine(net, net, ()), ()
    seam = _Seam(net, chains, tuple(allowances), _kinds(chains, allowances, corners), limit)
    loops = union([net, *seam.loops()])
    cut = made_simple(merged(around(loops, net)))
    return CutLine(cut, net, seam.folds()), _findings(edges, seam, loops)


def _kinds(
    chains: Sequence[Chain], allowances: Sequence[Allowance], corners: Sequence[Corner | None]
) -> tuple[Corner, ...]:
    """Decide each corner: as asked, else fold where just one side is a hem, else mitre."""
    kinds = []
    for index, asked in enumerate(corners):
        ends = (allowances[index - 1].end, allowances[index].end)
        kind = asked
        if kind is None:
            kind = Corner.FOLD if ends.count(Corner.FOLD) == 1 else Corner.MITRE
            if Corner.SQUARE in ends:
                kind = Corner.SQUARE
        if kind is Corner.FOLD and not folds_cleanly(_place(chains, allowances, index).turn):
            kind = Corner.SQUARE
        kinds.append(kind)
    return tuple(kinds)


def _place(
    chains: Sequence[Chain],
    allowances: Sequence[Allowance],
    index: int,
    widths: tuple[float, float] | None = None,
) -> CornerPlace:
    before, after = widths or (allowances[index - 1].width, allowances[index].width)
    arriving = end_tangents(chains[index - 1])[1]
    leaving = end_tangents(chains[index])[0]
    return CornerPlace(chains[index].first, arriving, leaving, before, after)


@dataclass(frozen=True, slots=True, eq=False)
class _Seam:
    """All that is added around one net line. Corner i is where edge i begins."""

    net: Chain
    chains: Sequence[Chain]
    allowances: tuple[Allowance, ...]
    kinds: tuple[Corner, ...]
    limit: float

    def loops(self) -> list[Chain]:
        """Give every loop that the allowances add outside the net line."""
        shapes = [self._shape(index) for index in range(len(self.chains))]
        plain = {
            index: self._plain_strip(index, shapes)
            for index in range(len(self.chains))
            if self.allowances[index].width > 0
        }
        folding = {i for i in plain if self._folds_at(i, i) or self._folds_at(i, self._next(i))}
        fills = [loop for shape in shapes for loop in shape.fill]
        lying = [self.net, *fills]
        lying += [loop for i, strips in plain.items() if i not in folding for loop in strips]
        out = list(fills)
        # A strip that was cut to shape no longer shares its vertices with the net line: a band
        # across the line makes sure that both are one.
        shaped = folding | {i for i in plain if self._trims(i, shapes)}
        out += [band(self.chains[index], _HAIR) for index in sorted(shaped)]
        for index, strips in plain.items():
            if index not in folding:
                out += strips
                continue
            beside = [
                loop
                for other in (index - 1, index + 1)
                if other % len(self.chains) in folding and len(self.chains) > 2
                for loop in plain[other % len(self.chains)]
            ]
            # Its own square strip, mirrored, fills the lens between a bowed edge and its image.
            out += self._hem(index, [*lying, *beside, *strips], shapes)
        return out

    def folds(self) -> tuple[Chain, ...]:
        """Give the fold lines of the hems: the net line, and where the raw edge is turned under."""
        lines = []
        for chain, allowance in zip(self.chains, self.allowances, strict=True):
            if allowance.end is Corner.FOLD and allowance.width > 0:
                lines.append(chain)
                if allowance.turn_under > 0:
                    lines.append(parallel(chain, allowance.width - allowance.turn_under))
        return tuple(lines)

    def _next(self, index: int) -> int:
        return (index + 1) % len(self.chains)

    def _folds_at(self, edge: int, corner: int) -> bool:
        """Tell whether ``edge`` is the one folded at ``corner``: the hem, or the wider of two."""
        if self.kinds[corner] is not Corner.FOLD:
            return False
        other = corner - 1 if edge == corner else corner
        mine, theirs = self.allowances[edge], self.allowances[other]
        if (mine.end is Corner.FOLD) != (theirs.end is Corner.FOLD):
            return mine.end is Corner.FOLD
        return mine.width > theirs.width or (mine.width == theirs.width and edge == corner)

    def _shape(self, corner: int) -> CornerShape:
        kind = self.kinds[corner]
        place = _place(self.chains, self.allowances, corner)
        if kind is Corner.SQUARE:
            return NOTHING
        if kind is Corner.CREASE:
            return crease(place, CREASE_RESERVE, self.limit)
        if kind is Corner.FOLD:
            # The neighbour runs on to the fold line as if the hem were not there.
            ahead = self._folds_at(corner, corner)
            widths = (place.before, 0.0) if ahead else (0.0, place.after)
            return mitre(_place(self.chains, self.allowances, corner, widths), self.limit)
        return mitre(place, self.limit)

    def _plain_strip(self, index: int, shapes: Sequence[CornerShape]) -> tuple[Chain, ...]:
        loops: tuple[Chain, ...] = (strip(self.chains[index], self.allowances[index].width),)
        trims = self._trims(index, shapes)
        return difference(loops, trims) if trims else loops

    def _trims(self, index: int, shapes: Sequence[CornerShape]) -> tuple[Chain, ...]:
        return (*shapes[index].trim_after, *shapes[self._next(index)].trim_before)

    def _hem(
        self, index: int, lies_on: Sequence[Chain], shapes: Sequence[CornerShape]
    ) -> tuple[Chain, ...]:
        allowance = self.allowances[index]
        hem = Hem(allowance.width, allowance.turn_under)
        at_start = self._folds_at(index, index)
        at_end = self._folds_at(index, self._next(index))
        loops = folded_hem(self.chains[index], hem, at_start, at_end, lies_on)
        trims = () if at_start else shapes[index].trim_after
        trims += () if at_end else shapes[self._next(index)].trim_before
        return difference(loops, trims) if trims else loops


def _findings(edges: Sequence[Edge], seam: _Seam, loops: Sequence[Chain]) -> tuple[Finding, ...]:
    found = []
    for index in range(len(edges)):
        place = _place(seam.chains, seam.allowances, index)
        if place.turn < -0.1 and place.before > 0 and place.after > 0:
            where = Source(
                entity=f"corner of {edges[index - 1].name} and {edges[index].name}",
                xy=(float(place.point[0]), float(place.point[1])),
            )
            found.append(
                Finding(
                    "the two allowances share cloth at this inward corner",
                    where,
                    "Snip into the corner when sewing, to 2 or 3 mm from the stitch line, "
                    "and back it with a patch (common practice, no source).",
                )
            )
    closed = sum(1 for loop in loops if signed_area(loop) < -_SLIVER)
    if closed:
        found.append(
            Finding(
                f"allowances meet across a narrow gap and close {closed} "
                f"{'space' if closed == 1 else 'spaces'} in the cut line",
                Source(entity=f"edges {', '.join(edge.name for edge in edges)}"),
                "Give the edges beside the gap a narrower finish if it must stay open.",
            )
        )
    return tuple(found)
