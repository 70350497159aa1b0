"""A planned panel to the pieces of cloth that are cut for it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.biarc import as_arcs
from cutpath.geometry.chain import Chain, line, reversed_chain
from cutpath.geometry.measure import points_at_stations, signed_area
from cutpath.geometry.points import Point, as_point
from cutpath.geometry.room import parts_inside
from cutpath.geometry.transform import scaling
from cutpath.model import Finding, Inner, NotchShape, Piece
from cutpath.moving import moved_piece
from cutpath.path.allowance import add_allowance
from cutpath.path.labels import label_piece
from cutpath.path.notching import notch
from cutpath.path.snipping import marks_for_both_faces, snips
from cutpath.settings.panel_plan import PanelPlan

_CURVE_TOLERANCE = 0.002
_CROSS = 3.0
"""Half the size of a pen cross that stands for a drill mark, mm."""


@dataclass(frozen=True, slots=True)
class Marking:
    """How marks are made where the job says nothing, and whether the machine can drill."""

    notch_shape: NotchShape
    notch_depth: float
    can_drill: bool


def make_pieces(plan: PanelPlan, marking: Marking) -> tuple[tuple[Piece, ...], tuple[Finding, ...]]:
    """Give all pieces of one panel, mirror images after the others, in panel coordinates.

    Every piece has its own label, never mirrored. Findings are told once a panel.
    """
    drawn_piece, findings = _unlabelled(plan, marking)
    panel = plan.panel
    total = panel.count + panel.mirrored
    pieces: list[Piece] = []
    too_small = False
    for hand, count in ((False, panel.count), (True, panel.mirrored)):
        body = _mirrored(drawn_piece) if hand and count else drawn_piece
        for _ in range(count):
            number = len(pieces) + 1
            piece, fits = _labelled(body, plan, number, total)
            too_small = too_small or not fits
            pieces.append(piece)
    if too_small:
        findings = (*findings, _no_room(plan))
    return tuple(pieces), findings


def _unlabelled(plan: PanelPlan, marking: Marking) -> tuple[Piece, tuple[Finding, ...]]:
    panel = plan.panel
    line_, found = add_allowance(panel.edges, plan.allowances, plan.corners, plan.mitre_limit)
    depth = plan.notch_depth or marking.notch_depth
    shape = plan.notch_shape or marking.notch_shape
    notched, missed = notch(line_.cut, panel.edges, panel.marks, shape, depth)
    # A tick square to its edge leaves the cloth at a sharp corner.
    pen = [part for tick in notched.ticks for part in parts_inside(tick, notched.cut)]
    pen += [_arcs(chain) for chain in panel.drawn]
    pen += [_arcs(loop.chain) for loop in panel.inner if loop.use is Inner.DRAW]
    if plan.pen_folds:
        pen += [part for fold in line_.folds for part in parts_inside(fold, notched.cut)]
    if plan.pen_stitch:
        pen.append(line_.net)
    drills = tuple(drill.xy for drill in panel.drills)
    if plan.both_faces:
        drills += marks_for_both_faces(panel.edges, plan.allowances, panel.marks)
    opened = (
        snips(notched.cut, panel.edges, plan.allowances, panel.marks, vees=plan.vees)
        if plan.snips
        else ()
    )
    if not marking.can_drill:
        pen += [stroke for xy in drills for stroke in _cross(xy)]
        drills = ()
    piece = Piece(
        name=panel.name,
        panel=panel.name,
        cloth=plan.cloth,
        mirrored=False,
        cut=notched.cut,
        net=line_.net,
        notches=(*notched.notches, *opened, *(_arcs(slit) for slit in panel.slits)),
        inner_cuts=tuple(_arcs(loop.chain) for loop in panel.inner if loop.use is Inner.CUT),
        pen=tuple(pen),
        lettering=(),
        drills=drills,
        source=panel.source,
        grain=panel.grain,
        level=_level(plan),
    )
    told = tuple(
        replace(finding, source=replace(finding.source, file=panel.source.file))
        for finding in (*found, *missed)
    )
    named = (replace(f, message=f"panel '{panel.name}': {f.message}") for f in told)
    return piece, tuple(named)


def _level(plan: PanelPlan) -> Point | None:
    """Give where the mark lies that is kept level with others."""
    for mark in plan.panel.marks:
        if mark.name == plan.keep_level:
            chain = plan.panel.edge(mark.edge).chain
            points, _ = points_at_stations(chain, np.array([mark.station]))
            return as_point(points[0])
    return None


def _arcs(chain: Chain) -> Chain:
    return as_arcs(chain, _CURVE_TOLERANCE)


def _cross(xy: Point) -> tuple[Chain, Chain]:
    across, up = np.array([_CROSS, 0.0]), np.array([0.0, _CROSS])
    return line(xy - across, xy + across), line(xy - up, xy + up)


def _labelled(body: Piece, plan: PanelPlan, number: int, total: int) -> tuple[Piece, bool]:
    name = plan.panel.name if total == 1 else f"{plan.panel.name} {number}/{total}"
    grain = body.grain if plan.pen_grain else None
    # A stitch line drawn all round is no obstacle; a window is, for its cloth will go.
    whole = 0.95 * signed_area(body.net)
    drawn = [c for c in body.pen if not c.closed or abs(signed_area(c)) < whole]
    taken = [*drawn, *body.inner_cuts, *(line(xy, xy + 0.01) for xy in body.drills)]
    label = label_piece(
        body.net, taken, _words(plan, name, body.mirrored), plan.label_height, grain
    )
    piece = replace(body, name=name, lettering=(*label.words, *label.arrow))
    return piece, label.fits


def _words(plan: PanelPlan, name: str, mirrored: bool) -> list[str]:
    face = f"face {plan.face}"
    hand = "mirrored" if mirrored else ""
    last = ", ".join(part for part in (plan.cloth_name, face, hand) if part)
    return [words for words in (plan.job, name, last) if words]


def _mirrored(piece: Piece) -> Piece:
    """Give the mirror image, left for right; loops stay counter-clockwise."""
    flip = scaling(-1.0, 1.0)
    turned = moved_piece(piece, flip)
    return replace(
        turned,
        mirrored=not piece.mirrored,
        cut=reversed_chain(turned.cut),
        net=reversed_chain(turned.net),
        inner_cuts=tuple(reversed_chain(loop) for loop in turned.inner_cuts),
    )


def _no_room(plan: PanelPlan) -> Finding:
    return Finding(
        f"panel '{plan.panel.name}' is too small or too full for its label; it is cut without",
        plan.panel.source,
        "Mark these pieces by hand, or set a smaller height in [labels].",
    )
