"""Small differences shared by both edges of a seam, so that lengths and marks agree exactly."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.measure import length
from cutpath.geometry.points import Floats, Points
from cutpath.geometry.transform import Matrix, transformed
from cutpath.model import Edge, EdgeName, Mark, Panel
from cutpath.revision import Trued
from cutpath.seam_report import Cause, SeamReport

_NEWTON_STEPS = 20
_EXACT = 1e-10
_NO_LENGTH = 1e-6
_ODD = {Cause.WRONG_SIDE_UP, Cause.BACKWARDS, Cause.NAMES_SWAPPED}


@dataclass(frozen=True, slots=True, eq=False)
class _Share:
    """What one edge of a trued seam becomes: its length, and where its stations go.

    ``rails`` (k, 2) are old and new stations in the edge's own direction, both ends among them.
    """

    length: float
    rails: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Solved:
    """A panel's corners moved, (n, 2) mm, so that its edges have the lengths asked for."""

    moves: Points
    holds: bool


def true_seams(
    panels: Mapping[str, Panel], reports: Sequence[SeamReport]
) -> tuple[dict[str, Panel], tuple[Trued, ...]]:
    """Share the differences of every seam that asks for it, both edges taking half.

    Each panel's corners move by the least (least squares) that gives its edges their new lengths;
    between corners an edge keeps its shape, turned and scaled by less than the tolerance. Edges of
    other seams keep their length; free ones follow. A seam that is out of its tolerance, or whose
    corners would have to move by more than it, is left alone and told.
    """
    asked = [report for report in reports if report.seam.true]
    why = {report.seam.letter: _why_not(report) for report in asked}
    why |= _twice(asked, why)
    while True:
        going = [report for report in asked if not why[report.seam.letter]]
        shares = _shares(going)
        solved = {
            name: _solved(panels[name], shares, _sewn(reports))
            for name in sorted({edge.panel for edge in shares})
        }
        letter, reason = _worst_strain(going, panels, solved)
        if not letter:
            break
        why[letter] = reason
    out = dict(panels)
    for name, found in solved.items():
        out[name] = _remade(panels[name], found.moves, shares)
    return out, tuple(_told(report, why, panels, solved, shares) for report in asked)


def _why_not(report: SeamReport) -> str:
    if any(symptom.cause in _ODD for symptom in report.symptoms):
        return "its edges do not run alike"
    if abs(report.difference) > report.length_limit + _NO_LENGTH:
        return (
            f"it is out by {abs(report.difference):.1f} mm, more than {report.length_limit:.1f} mm"
        )
    worst = max(abs(interval.difference) for interval in report.intervals)
    if worst > report.seam.mark_tolerance + _NO_LENGTH:
        return f"marks are off by {worst:.1f} mm, more than {report.seam.mark_tolerance:.1f} mm"
    return ""


def _twice(asked: Sequence[SeamReport], why: Mapping[str, str]) -> dict[str, str]:
    """Refuse a seam whose edge is in another trued one: two lengths cannot be asked of it."""
    seen: set[EdgeName] = set()
    out = {}
    for report in asked:
        if why[report.seam.letter]:
            continue
        both = {report.seam.first, report.seam.second}
        if seen & both:
            edge = min(seen & both, key=str)
            out[report.seam.letter] = f"{edge} is in another seam that is trued"
        seen |= both
    return out


def _sewn(reports: Sequence[SeamReport]) -> frozenset[EdgeName]:
    return frozenset(edge for report in reports for edge in (report.seam.first, report.seam.second))


def _shares(reports: Sequence[SeamReport]) -> dict[EdgeName, _Share]:
    out = {}
    for report in reports:
        first, second, ease = report.first_length, report.second_length, report.seam.ease
        whole = (first + second - ease) / 2
        share = (whole + ease) / whole
        old = np.array(
            [(0.0, 0.0), *((mark.first, mark.second) for mark in report.marks), (first, second)]
        )
        # Half-way between both, in the first edge's measure, ends included.
        new = (old[:, 0] / first + old[:, 1] / second) / 2 * whole
        out[report.seam.first] = _Share(whole, np.column_stack([old[:, 0], new]))
        there = np.column_stack([old[:, 1], new * share])
        if report.seam.reverse:
            there = (np.array([second, whole + ease]) - there)[::-1]
        out[report.seam.second] = _Share(whole + ease, there)
    return out


def _corners(panel: Panel) -> Points:
    return np.stack([edge.chain.first for edge in panel.edges])


def _solved(panel: Panel, shares: Mapping[EdgeName, _Share], sewn: frozenset[EdgeName]) -> _Solved:
    """Move corners by least squares until every sewn edge has its length: Newton's steps.

    An edge keeps its shape, so its length goes with its chord; each linear step is solved for the
    least whole movement (the pseudo-inverse's solution).
    """
    corners = _corners(panel)
    count = len(corners)
    chord = np.roll(corners, -1, axis=0) - corners
    size = np.hypot(*chord.T)
    wanted = size.copy()
    held = np.zeros(count, dtype=bool)
    for index, edge in enumerate(panel.edges):
        name = EdgeName(panel.name, edge.name)
        held[index] = name in sewn
        if name in shares:
            wanted[index] = size[index] * shares[name].length / length(edge.chain)
    if (size[held] < _NO_LENGTH).any():
        return _Solved(np.zeros((count, 2)), holds=False)
    rows = np.flatnonzero(held)
    moves = np.zeros((count, 2))
    for _ in range(_NEWTON_STEPS):
        now = corners + moves
        run = np.roll(now, -1, axis=0) - now
        reach = np.hypot(*run.T)
        off = wanted[rows] - reach[rows]
        if np.abs(off).max() < _EXACT:
            return _Solved(moves, holds=True)
        slope = np.zeros((len(rows), 2 * count))
        for row, index in enumerate(rows.tolist()):
            along = run[index] / reach[index]
            slope[row, 2 * index : 2 * index + 2] -= along
            after = (index + 1) % count
            slope[row, 2 * after : 2 * after + 2] += along
        flat = moves.reshape(-1)
        moves = (np.linalg.pinv(slope) @ (off + slope @ flat)).reshape(-1, 2)
    return _Solved(moves, holds=False)


def _worst_strain(
    going: Sequence[SeamReport], panels: Mapping[str, Panel], solved: Mapping[str, _Solved]
) -> tuple[str, str]:
    """Give the seam to leave alone, and why: of those on a panel that strains, the one most off."""
    found = []
    for report in going:
        move = _corner_move(report, panels, solved)
        both = {report.seam.first.panel, report.seam.second.panel}
        if not all(solved[name].holds for name in both):
            reason = "its panels' edges cannot have their lengths all at once"
        elif move > report.length_limit + _NO_LENGTH:
            reason = f"a corner would have to move by {move:.1f} mm"
        else:
            continue
        found.append((abs(report.difference), report.seam.letter, reason))
    return max(found)[1:] if found else ("", "")


def _corner_move(
    report: SeamReport, panels: Mapping[str, Panel], solved: Mapping[str, _Solved]
) -> float:
    most = 0.0
    for edge in (report.seam.first, report.seam.second):
        names = [each.name for each in panels[edge.panel].edges]
        at = names.index(edge.edge)
        moves = solved[edge.panel].moves[[at, (at + 1) % len(names)]]
        most = max(most, float(np.hypot(*moves.T).max()))
    return most


def _remade(panel: Panel, moves: Points, shares: Mapping[EdgeName, _Share]) -> Panel:
    corners = _corners(panel)
    edges, marks = [], []
    for index, edge in enumerate(panel.edges):
        after = (index + 1) % len(corners)
        motion = _two_point_motion(
            corners[[index, after]], corners[[index, after]] + moves[[index, after]]
        )
        chain = transformed(edge.chain, motion)
        edges.append(Edge(edge.name, chain))
        share = shares.get(EdgeName(panel.name, edge.name))
        ends = np.array([[0.0, 0.0], [length(edge.chain), length(chain)]])
        rails = ends if share is None else share.rails
        marks += [
            replace(mark, station=float(np.interp(mark.station, rails[:, 0], rails[:, 1])))
            for mark in panel.marks
            if mark.edge == edge.name
        ]
    return replace(panel, edges=tuple(edges), marks=_in_old_order(panel.marks, marks))


def _in_old_order(before: Sequence[Mark], after: Sequence[Mark]) -> tuple[Mark, ...]:
    found = {(mark.edge, mark.name): mark for mark in after}
    return tuple(found[mark.edge, mark.name] for mark in before)


def _two_point_motion(old: Points, new: Points) -> Matrix:
    """Give the turn, scale and shift that take two points to two others; a shift for one place."""
    run, aim = old[1] - old[0], new[1] - new[0]
    square = float(run @ run)
    if square < _NO_LENGTH**2:
        turn = np.eye(2)
    else:
        # The quotient of both runs as complex numbers.
        real = float(run @ aim) / square
        imaginary = float(run[0] * aim[1] - run[1] * aim[0]) / square
        turn = np.array([[real, -imaginary], [imaginary, real]])
    return np.column_stack([turn, new[0] - turn @ old[0]])


def _told(
    report: SeamReport,
    why: Mapping[str, str],
    panels: Mapping[str, Panel],
    solved: Mapping[str, _Solved],
    shares: Mapping[EdgeName, _Share],
) -> Trued:
    letter = report.seam.letter
    if why[letter]:
        return Trued(letter, report.difference, 0.0, 0.0, why[letter])
    moved = 0.0
    for edge in (report.seam.first, report.seam.second):
        rails = shares[edge].rails
        moved = max(moved, float(np.abs(rails[:, 1] - rails[:, 0]).max()))
    return Trued(letter, report.difference, moved, _corner_move(report, panels, solved), "")
