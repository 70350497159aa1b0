"""The page to look at: a job with its panels and files, or any machine file alone."""

from __future__ import annotations

import numpy as np

from cutpath.checking import Checked, check
from cutpath.cloth_lay import LaidCloth
from cutpath.cut_file import CutFile
from cutpath.errors import InputError, Source
from cutpath.file_page import cloth_moves, file_view, hands_of, is_machine_file, travel_layer
from cutpath.geometry.chain import Chain, line, polyline
from cutpath.geometry.measure import bounds, points_at_stations
from cutpath.geometry.points import Point
from cutpath.geometry.transform import Matrix, identity
from cutpath.look.page import page_of
from cutpath.look.playing import played
from cutpath.look.scene import Name, Scene, Spot, Style, View, layer_of
from cutpath.model import Panel, Piece, Role, Toolpath
from cutpath.panel_words import panel_words
from cutpath.pipeline import cut
from cutpath.planning import Progress, Request, quiet
from cutpath.proving import machine_to_bed, on_bed
from cutpath.seam_report import Verdict
from cutpath.settings.profile import Profile

_ROLE_STYLES = {
    Role.PEN: Style.PEN, Role.DRILL: Style.DRILL, Role.KNIFE: Style.KNIFE, Role.HOT: Style.HOT,
}  # fmt: skip
_NOTE = (
    "cutpath shows what the file says; it is no safety device. Look at the bed before you start."
)


def look_at(request: Request, progress: Progress = quiet) -> str:
    """Give the page of a job (``request.machine`` may be empty) or of a machine file.

    Raises InputError for what cannot be read.
    """
    if is_machine_file(request.source):
        return page_of(Scene(request.source.name, (file_view(request),), (_NOTE,)))
    return page_of(_job_scene(request, progress))


def _job_scene(request: Request, progress: Progress) -> Scene:
    is_job = request.source.suffix.lower() == ".toml"
    views: list[View] = []
    title = request.source.stem
    if is_job:
        checked = check(request, progress)
        title = checked.planned.job.name
        views.append(_panels_view(checked))
    if request.machine:
        outcome = cut(request, progress)
        title = outcome.job.name
        profile = request.read_profile()
        views += [_lay_view(each) for each in outcome.laid.lays]
        views += [_file_view(file, profile) for file in outcome.files]
    if not views:
        raise InputError(
            "a drawing alone has nothing to look at yet",
            Source(file=request.source.name),
            "Name a machine too: --on flatbed-hpgl --allowance 12.7mm; or look at a job.",
        )
    return Scene(title, tuple(views), (_NOTE,))


def _panels_view(checked: Checked) -> View:
    panels = checked.planned.traced
    letters = {
        edge: seam.letter for seam in checked.planned.seams for edge in (seam.first, seam.second)
    }
    finishes = {
        (each.panel.name, edge.name): f"{allowance.finish}, {allowance.width:g} mm allowance"
        for each in checked.planned.plans
        for edge, allowance in zip(each.panel.edges, each.allowances, strict=True)
    }
    edges, edge_words, marks, mark_words = [], [], [], []
    for panel in panels:
        for edge in panel.edges:
            edges.append(edge.chain)
            sewn = next(
                (f"\nseam {letters[name]}" for name in letters
                 if name.panel == panel.name and name.edge == edge.name),
                "",
            )  # fmt: skip
            edge_words.append(f"{panel.name}/{edge.name}: {finishes[panel.name, edge.name]}{sewn}")
        for mark in panel.marks:
            marks.append(_tick(panel, mark.edge, mark.station))
            mark_words.append(
                f"mark {mark.name} on {panel.name}/{mark.edge}, {mark.station:.1f} mm"
            )
    inner = [(loop.chain, f"{panel.name}: {loop.name}") for panel in panels for loop in panel.inner]
    layers = (
        layer_of("edges", Style.CUT, edges, edge_words),
        layer_of("marks", Style.MARK, marks, mark_words),
        layer_of("inside", Style.PEN, [chain for chain, _ in inner], [words for _, words in inner]),
    )
    reports = checked.reports
    fits = sum(report.verdict is not Verdict.OUT for report in reports)
    facts = (
        ("Panels", str(len(panels))),
        ("Seams", f"{len(reports)}, of which {fits} fit"),
    )
    names = _names(checked)
    return View("Panels and seams", layers, _finding_spots(checked), facts, names=names)


def _names(checked: Checked) -> tuple[Name, ...]:
    words = panel_words(checked.planned)
    return tuple(Name(word.text, word.at, is_ringed=word.is_letter) for word in words)


def _tick(panel: Panel, edge: str, station: float) -> Chain:
    chain = panel.edge(edge).chain
    at, along = points_at_stations(chain, np.array([station]))
    inward = np.array([-along[0, 1], along[0, 0]])
    return line(at[0], at[0] + 9.0 * inward)


def _finding_spots(checked: Checked) -> tuple[Spot, ...]:
    panels = checked.planned.panels
    seams = {report.seam.letter: report.seam for report in checked.reports}
    out = []
    for finding in checked.findings:
        edge = finding.suspects[0] if finding.suspects else seams[finding.seam].first
        chain = panels[edge.panel].edge(edge.edge).chain
        middle = (finding.begin + finding.end) / 2
        at, _ = points_at_stations(chain, np.array([middle]))
        out.append(
            Spot(
                f"Seam {finding.seam}, {finding.place}", finding.message, at[0],
                is_bad=finding.verdict is Verdict.OUT,
            )
        )  # fmt: skip
    return tuple(out)


def _lay_view(laid: LaidCloth) -> View:
    """Show one cloth's lengths side by side as they are cut from, with their pieces."""
    stock = laid.lay.stocks[0]
    pieces = laid.pieces
    far = max(bounds(piece.cut)[2] for piece in pieces)
    cloth = _box(0.0, 0.0, stock.length or far, stock.width)
    usable = _box(0.0, stock.low, stock.length or far, stock.high)
    layers = (
        layer_of("cloth", Style.FRAME, [cloth, usable], ["the cloth's edges", "selvedge"]),
        layer_of("cut lines", Style.CUT, [p.cut for p in pieces], [p.name for p in pieces]),
        layer_of("stitch lines", Style.NET, [p.net for p in pieces], [p.name for p in pieces]),
    )
    facts = (
        ("Cloth", laid.cloth.name or laid.lay.cloth),
        ("Pieces", str(len(pieces))),
        ("Kept between them", f"{laid.lay.gap:g} mm"),
        ("To the last piece", f"{far:.0f} mm"),
    )
    names = tuple(Name(piece.name, _middle(piece)) for piece in pieces)
    return View(f"Lay: {laid.cloth.name or laid.lay.cloth}", layers, (), facts, names=names)


def _box(x0: float, y0: float, x1: float, y1: float) -> Chain:
    return polyline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True)


def _file_view(file: CutFile, profile: Profile) -> View:
    matrix = machine_to_bed(profile)
    read = on_bed(file.written.reading, profile)
    layers = [
        layer_of(
            "stitch line", Style.NET, [piece.net for piece in file.load.pieces],
            [f"{piece.name}: stitch line" for piece in file.load.pieces],
        )
    ]  # fmt: skip
    for role in Role:
        paths = [path for path in file.shown if path.role is role]
        if paths:
            chains = [path.chain for path in paths]
            words = [_path_words(path) for path in paths]
            layers.append(layer_of(f"{role.value}, asked", _ROLE_STYLES[role], chains, words))
    replayed = [stroke.chain for stroke in read.strokes]
    told = [f"as the machine will go, stroke {n + 1}" for n in range(len(replayed))]
    layers.append(layer_of("read back", Style.KNIFE, replayed, told, is_on=False))
    layers.append(travel_layer(read.travel))
    timeline = None
    if read.strokes:
        cloth = [*cloth_moves(read, profile)]
        timeline = played(read, identity(), hands_of(profile), matrix[:, 2], cloth)
    spots = _worst_spots(file, matrix)
    proof = file.written.proof.as_dict()
    frames = sum(path.advance > 0 for path in file.toolpaths) + 1
    facts = (
        ("File", file.name),
        ("Machine", profile.name),
        ("Proof", "passed" if proof["passed"] else "NOT PASSED"),
        ("Largest deviation", f"{proof['deviation_mm']} mm"),
        ("Pieces", ", ".join(piece.name for piece in file.load.pieces)),
        *((("Frames", f"{frames}, the cloth moved on between"),) if frames > 1 else ()),
        ("Time", f"about {file.written.clock.total / 60:.1f} min"),
    )
    names = tuple(Name(piece.name, _middle(piece)) for piece in file.load.pieces)
    return View(file.name, tuple(layers), spots, facts, timeline, names)


def _middle(piece: Piece) -> Point:
    x0, y0, x1, y1 = bounds(piece.net)
    return np.array([(x0 + x1) / 2, (y0 + y1) / 2 - 0.12 * (y1 - y0)])


def _path_words(path: Toolpath) -> str:
    return f"{path.piece}: {path.feature.value} ({path.role.value})"


def _worst_spots(file: CutFile, matrix: Matrix) -> tuple[Spot, ...]:
    out = []
    for tool in file.written.proof.compared:
        if tool.worst_at is None:
            continue
        at: Point = matrix[:, :2] @ tool.worst_at + matrix[:, 2]
        is_bad = tool.deviation > tool.asked.tolerance
        words = f"{tool.deviation:.4f} mm from what was asked; {tool.asked.tolerance:g} allowed"
        out.append(Spot(f"Worst place of {tool.asked.name}", words, at, is_bad))
    return tuple(out)
