"""The lines of a work sheet: pieces, seams, parts, what to buy, labels."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from cutpath.geometry.measure import bounds, signed_area
from cutpath.model import NotchShape, Piece, Role
from cutpath.panels.splitting import Splits
from cutpath.part_model import Part
from cutpath.path.piece_making import Marking, make_pieces
from cutpath.purchasing import Purchases
from cutpath.seam_report import SeamReport
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.profile import Profile
from cutpath.sewing_plan import SewingPlan
from cutpath.sheet.work_sheet import BuyLine, PartLine, PieceLine, SeamLine

_BY_HAND = Marking(NotchShape.SLIT, 6.0, can_drill=False)
"""How marks are shown where no machine is named."""


def piece_lines(
    plans: Sequence[PanelPlan], profile: Profile | None
) -> tuple[tuple[PieceLine, ...], tuple[Piece, ...]]:
    """Give a line for each plan that is cut, and every piece, made as ``profile`` marks them."""
    marking = _BY_HAND
    if profile is not None:
        notches = profile.notches
        marking = Marking(notches.shape, notches.depth, profile.has_tool_for(Role.DRILL))
    out: list[PieceLine] = []
    made: list[Piece] = []
    for each in plans:
        pieces, _ = make_pieces(each, marking)
        made += pieces
        if pieces:
            out.append(_piece_line(each, pieces[0]))
    return tuple(out), tuple(made)


def buy_lines(bought: Purchases) -> Iterable[BuyLine]:
    """Give what to buy, and the cut list of each webbing."""
    for line in bought.lines:
        cost = "" if line.cost is None else f"{line.cost:.2f} {bought.currency}".strip()
        yield BuyLine(
            line.supply.kind.value, line.supply.name, line.net, line.waste, line.total, cost,
            line.supply.part,
        )  # fmt: skip
    for each in bought.webbing:
        for bar in each.cuts.bars:
            kind = "new roll" if bar.is_new else f"remnant of {bar.length / 1000:.2f} m"
            told = " + ".join(f"{each.lengths[i]:.0f}" for i in bar.pieces)
            yield BuyLine(
                "cut list", f"{each.name}, {kind}", told, "", f"{bar.left:.0f} mm left", "", ""
            )


def _piece_line(plan_: PanelPlan, piece: Piece) -> PieceLine:
    x0, y0, x1, y1 = bounds(piece.cut)
    grain = plan_.panel.grain
    return PieceLine(
        piece=piece,
        count=plan_.panel.count,
        mirrored=plan_.panel.mirrored,
        cloth=plan_.cloth_name,
        face=plan_.face,
        grain="warp not said" if grain is None else f"warp at {_degrees(grain)}",
        width=x1 - x0,
        height=y1 - y0,
        area=signed_area(piece.cut),
        allowances=tuple(
            (edge.name, _allowance_words(allowance.finish, allowance.width, allowance.turn_under))
            for edge, allowance in zip(plan_.panel.edges, plan_.allowances, strict=True)
        ),
    )


def _degrees(angle: float) -> str:
    return f"{round(math.degrees(angle)) % 180}° to the drawing's x"


def _allowance_words(finish: str, width: float, turn_under: float) -> str:
    if not width:
        return f"{finish}, cut on the line"
    if turn_under:
        return f"{finish} {width - turn_under:g} + {turn_under:g}"
    return f"{finish} {width:g}"


def seam_lines(
    reports: Sequence[SeamReport], plans: Sequence[PanelPlan], sewing: SewingPlan
) -> tuple[SeamLine, ...]:
    """Give a line for each seam that was walked, with its step of the sewing."""
    widths = {
        (each.panel.name, edge.name): _allowance_words(
            allowance.finish, allowance.width, allowance.turn_under
        )
        for each in plans
        for edge, allowance in zip(each.panel.edges, each.allowances, strict=True)
    }
    place = {step.name: number for number, step in enumerate(sewing.steps, start=1)}
    out = []
    for report in reports:
        seam = report.seam
        both = [widths[name.panel, name.edge] for name in (seam.first, seam.second)]
        marks = " ".join(mark.name or "·" for mark in report.marks)
        out.append(
            SeamLine(
                letter=seam.letter,
                first=str(seam.first),
                second=str(seam.second),
                allowances=both[0] if both[0] == both[1] else " / ".join(both),
                length=f"{report.first_length:.0f}",
                marks=marks or "none",
                ease=f"{seam.ease:+.0f}" if seam.ease else "",
                rows="join, top-stitch",
                verdict=report.verdict.value,
                step=place.get(f"join {seam.letter}", 0),
            )
        )
    return tuple(out)


def split_lines(splits: Splits, sewing: SewingPlan) -> tuple[SeamLine, ...]:
    """Give the seams inside panels that were split: both edges are one line, so that they agree."""
    place = {step.name: number for number, step in enumerate(sewing.steps, start=1)}
    out = []
    for split in splits.made:
        for seam, run, part in zip(split.seams, split.lengths, split.parts[:-1], strict=True):
            marks = [mark.name for mark in part.panel.marks if mark.edge == seam.first.edge]
            at = part.panel.edges.index(part.panel.edge(seam.first.edge))
            allowance = part.allowances[at]
            out.append(
                SeamLine(
                    letter=seam.letter,
                    first=str(seam.first),
                    second=str(seam.second),
                    allowances=_allowance_words(
                        allowance.finish, allowance.width, allowance.turn_under
                    ),
                    length=f"{run:.0f}",
                    marks=" ".join(marks) or "none",
                    ease="",
                    rows="join, top-stitch",
                    verdict="fits",
                    step=place.get(f"make up {split.panel}", 0),
                )
            )
    return tuple(out)


def part_lines(parts: Iterable[Part]) -> tuple[PartLine, ...]:
    """Give the derived parts: where they go, and the numbers they come of."""
    out = []
    for part in parts:
        where = ", ".join(str(edge) for edge in part.runs)
        where = where or ", ".join(dict.fromkeys(each.panel for each in part.on_panels))
        numbers = tuple(
            (reason.what, f"{reason.value:.5g} {reason.unit}".strip(), reason.formula)
            for reason in part.reasons
        )
        out.append(PartLine(part.name, part.kind.value, where, numbers))
    return tuple(out)


def label_lines(pieces: Sequence[PieceLine]) -> Iterable[tuple[str, str, str]]:
    """Give, for each piece of cloth, a label: its name, how it lies, its allowances."""
    for line in pieces:
        whole = line.count + line.mirrored
        for number in range(1, whole + 1):
            name = line.piece.panel if whole == 1 else f"{line.piece.panel} {number}/{whole}"
            hand = ", mirrored" if number > line.count else ""
            sides = "; ".join(f"{edge} {words}" for edge, words in line.allowances)
            yield name, f"{line.cloth}, face {line.face}{hand}", sides
