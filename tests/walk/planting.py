"""Faults planted in sound jobs, each with the place and cause that must be found."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.chain import Chain, make_chain, polyline, reversed_chain
from cutpath.geometry.measure import length
from cutpath.geometry.transform import scaling, transformed
from cutpath.model import Edge, EdgeName, Mark, Panel, Seam
from cutpath.seam_report import Cause, WalkFinding
from tests.walk.gores import cone_gores, cylinder_gores, seam, with_marks

ERROR = 3.0  # mm
KINDS = ("mark", "corner", "scaled", "reversed", "counted", "mirrored", "drawing")


@dataclass(frozen=True)
class Job:
    panels: dict[str, Panel]
    seams: tuple[Seam, ...]


@dataclass(frozen=True)
class Plant:
    """A faulty job, its seam and cause, and the stations on the first edge that bracket it.

    ``panel`` is the one panel to be blamed, where a panel as a whole is at fault.
    """

    job: Job
    letter: str
    causes: tuple[Cause, ...]
    begin: float
    end: float
    panel: str = ""

    def is_placed(self, found: WalkFinding) -> bool:
        near = 1.5 * ERROR
        return (
            found.seam == self.letter
            and abs(found.begin - self.begin) <= near
            and abs(found.end - self.end) <= near
            and (not self.panel or [edge.panel for edge in found.suspects] == [self.panel])
        )


def sound_job(rng: np.random.Generator, *, noise: float = 0.0) -> Job:
    """Give gores of a cone or bands of an oblique cylinder with random marks on every seam."""
    if rng.random() < 0.5:
        low, high = rng.uniform(300, 900), rng.uniform(1500, 2600)
        panels = cone_gores(6, low, high, rng.uniform(0.25, 0.6))
        pairs = [(f"gore {k}/right", f"gore {(k + 1) % 6}/left") for k in range(6)]
    else:
        panels = cylinder_gores(5, rng.uniform(500, 900), 600, rng.uniform(0.35, 0.8), 200)
        pairs = [(f"band {k}/top", f"band {k + 1}/bottom") for k in range(4)]
    seams = tuple(seam("ABCDEF"[k], *pair) for k, pair in enumerate(pairs))
    for joint in seams:
        panels = _marked(panels, joint, rng, noise)
    return Job(panels, seams)


def _marked(
    panels: dict[str, Panel], joint: Seam, rng: np.random.Generator, noise: float
) -> dict[str, Panel]:
    whole = length(edge_of(panels, joint.first))
    count = int(rng.integers(2, 6))
    shares = (np.arange(1, count + 1) + rng.uniform(-0.3, 0.3, count)) / (count + 1)
    shares[0] *= 0.8  # never the same from both ends
    named = rng.random() < 0.5
    names = [f"{joint.letter}{k}" if named else "" for k in range(count)]
    here = whole * shares + noise * rng.uniform(-1, 1, count)
    there = whole * (1 - shares) + noise * rng.uniform(-1, 1, count)
    out = dict(panels)
    for name, stations in ((joint.first, here), (joint.second, there)):
        row = list(zip(names, stations, strict=True))
        out[name.panel] = with_marks(out[name.panel], name.edge, row)
    return out


def edge_of(panels: Mapping[str, Panel], name: EdgeName) -> Chain:
    return next(edge.chain for edge in panels[name.panel].edges if edge.name == name.edge)


def planted(kind: str, rng: np.random.Generator, *, noise: float = 0.0) -> Plant:
    """Plant one fault of ``kind`` in a job drawn from ``rng``."""
    job = sound_job(rng, noise=noise)
    # A seam between two panels that have a second seam each.
    joint = job.seams[int(rng.integers(1, len(job.seams) - 1))]
    return _PLANTERS[kind](job, joint, rng)


def _whole(job: Job, joint: Seam) -> float:
    return length(edge_of(job.panels, joint.first))


def _either(joint: Seam, rng: np.random.Generator) -> EdgeName:
    return joint.first if rng.random() < 0.5 else joint.second


def _sign(rng: np.random.Generator) -> float:
    return float(rng.choice([-1.0, 1.0]))


def _moved_mark(job: Job, joint: Seam, rng: np.random.Generator) -> Plant:
    name = _either(joint, rng)
    panel = job.panels[name.panel]
    rows = [k for k, mark in enumerate(panel.marks) if mark.edge == name.edge]
    row = int(rng.choice(rows))
    mark = panel.marks[row]
    marks = list(panel.marks)
    marks[row] = replace(mark, station=mark.station + _sign(rng) * ERROR)
    panels = job.panels | {panel.name: replace(panel, marks=tuple(marks))}
    at = mark.station if name == joint.first else _whole(job, joint) - mark.station
    return Plant(Job(panels, job.seams), joint.letter, (Cause.MARK_MISREAD,), at, at)


def _moved_corner(job: Job, joint: Seam, rng: np.random.Generator) -> Plant:
    name, at_start = _either(joint, rng), bool(rng.random() < 0.5)
    panel = job.panels[name.panel]
    index = [edge.name for edge in panel.edges].index(name.edge)
    old = panel.edges[index].chain
    other = panel.edges[index - 1 if at_start else (index + 1) % len(panel.edges)].chain
    points = old.points.copy()
    tip, inner = (0, 1) if at_start else (-1, -2)
    along = points[tip] - points[inner]
    span = float(np.hypot(*along))
    # Inwards only as far as the last segment allows.
    size = ERROR if span < 2 * ERROR else _sign(rng) * ERROR
    points[tip] += along / span * size
    near = other.points.copy()
    near[-1 if at_start else 0] = points[tip]
    edges = list(panel.edges)
    edges[index] = Edge(name.edge, polyline(points))
    other_index = index - 1 if at_start else (index + 1) % len(edges)
    edges[other_index] = Edge(
        edges[other_index].name, make_chain(near, other.bulges, other.handles)
    )
    shift = size if at_start else 0.0
    marks = tuple(
        replace(mark, station=mark.station + shift) if mark.edge == name.edge else mark
        for mark in panel.marks
    )
    panels = job.panels | {panel.name: replace(panel, edges=tuple(edges), marks=marks)}
    faulty = Job(panels, job.seams)
    stations = sorted(mark.station for mark in job.panels[joint.first.panel].marks
                      if mark.edge == joint.first.edge)  # fmt: skip
    whole = _whole(job, joint)
    at_seam_start = at_start == (name == joint.first)
    begin, end = (0.0, stations[0]) if at_seam_start else (stations[-1], whole)
    return Plant(faulty, joint.letter, (Cause.CORNER_MOVED,), begin, end)


def _scaled_edge(job: Job, joint: Seam, rng: np.random.Generator) -> Plant:
    name = _either(joint, rng)
    panel = job.panels[name.panel]
    whole = _whole(job, joint)
    factor = 1 + _sign(rng) * ERROR / whole
    edges = tuple(
        Edge(edge.name, transformed(edge.chain, scaling(factor)))
        if edge.name == name.edge
        else edge
        for edge in panel.edges
    )
    marks = tuple(
        replace(mark, station=mark.station * factor) if mark.edge == name.edge else mark
        for mark in panel.marks
    )
    panels = job.panels | {panel.name: replace(panel, edges=edges, marks=marks)}
    return Plant(Job(panels, job.seams), joint.letter, (Cause.EVENLY_LONGER,), 0.0, whole)


def _reversed_seam(job: Job, joint: Seam, rng: np.random.Generator) -> Plant:
    seams = tuple(replace(s, reverse=False) if s is joint else s for s in job.seams)
    causes = (Cause.BACKWARDS,)
    return Plant(Job(job.panels, seams), joint.letter, causes, 0.0, _whole(job, joint))


def _counted_from_the_end(job: Job, joint: Seam, rng: np.random.Generator) -> Plant:
    name = _either(joint, rng)
    panel, whole = job.panels[name.panel], _whole(job, joint)
    marks = tuple(
        replace(mark, station=whole - mark.station) if mark.edge == name.edge else mark
        for mark in panel.marks
    )
    panels = job.panels | {panel.name: replace(panel, marks=marks)}
    return Plant(Job(panels, job.seams), joint.letter, (Cause.BACKWARDS,), 0.0, whole)


def mirrored(panel: Panel) -> Panel:
    """Turn a panel over as a drawing does: counter-clockwise again, each edge under its name."""
    edges = tuple(
        Edge(edge.name, reversed_chain(transformed(edge.chain, scaling(-1.0, 1.0))))
        for edge in reversed(panel.edges)
    )
    lengths = {edge.name: length(edge.chain) for edge in edges}
    marks = tuple(
        Mark(mark.name, mark.edge, lengths[mark.edge] - mark.station, mark.source)
        for mark in panel.marks
    )
    return replace(panel, edges=edges, marks=marks)


def _mirrored_panel(job: Job, joint: Seam, rng: np.random.Generator) -> Plant:
    name = _either(joint, rng)
    panels = job.panels | {name.panel: mirrored(job.panels[name.panel])}
    causes = (Cause.WRONG_SIDE_UP,)
    return Plant(Job(panels, job.seams), joint.letter, causes, 0.0, _whole(job, joint), name.panel)


def _scaled_drawing(job: Job, joint: Seam, rng: np.random.Generator) -> Plant:
    name = _either(joint, rng)
    panel = job.panels[name.panel]
    factor = float(rng.choice([25.4, 1 / 25.4, 96 / 90, 96 / 72, 1.004, 0.996]))
    edges = tuple(Edge(e.name, transformed(e.chain, scaling(factor))) for e in panel.edges)
    marks = tuple(replace(mark, station=mark.station * factor) for mark in panel.marks)
    panels = job.panels | {panel.name: replace(panel, edges=edges, marks=marks)}
    whole = _whole(Job(panels, job.seams), joint)
    return Plant(Job(panels, job.seams), joint.letter, (Cause.SCALE,), 0.0, whole, name.panel)


_PLANTERS: dict[str, Callable[[Job, Seam, np.random.Generator], Plant]] = {
    "mark": _moved_mark,
    "corner": _moved_corner,
    "scaled": _scaled_edge,
    "reversed": _reversed_seam,
    "counted": _counted_from_the_end,
    "mirrored": _mirrored_panel,
    "drawing": _scaled_drawing,
}
