"""The seams of the bow shelter agree: lengths and mark stations, to within tracing error.

Read with ezdxf alone and measured on exact chains: a mistake in intake cannot hide one here.
"""

from __future__ import annotations

import math
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from ezdxf import path
from ezdxf.entities import DXFEntity
from ezdxf.layouts import Modelspace
from ezdxf.math import Vec3

from cutpath.geometry.chain import (
    Chain,
    closed_up,
    joined,
    make_chain,
    opened,
    reversed_chain,
    split_wide_arcs,
    started_at,
)
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import bounds, joint_stations, joint_turns, length, signed_area
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import Floats
from cutpath.geometry.splitting import cut_at
from cutpath.model import Allowance, Corner, Edge
from cutpath.path.allowance import add_allowance

SHELTER = Path(__file__).parents[2] / "samples" / "bow-shelter"
TRACING_ERROR = 0.5  # mm
PLAIN = Allowance("plain", 12.7, 0.0, Corner.MITRE)
ZIP = Allowance("zip", 25.4, 0.0, Corner.MITRE)
HEM = Allowance("hem", 38.1, 12.7, Corner.FOLD)
BOUND = Allowance("bound", 0.0, 0.0, Corner.MITRE)
CORNER = math.radians(25)


@dataclass(frozen=True)
class Traced:
    """A panel's edges by name, and the station of each mark on them by edge and name."""

    edges: dict[str, Chain]
    marks: dict[str, dict[str, float]]


def test_the_drawing_says_it_is_in_millimetres() -> None:
    document = ezdxf.readfile(SHELTER / "shelter.dxf")
    assert document.header["$INSUNITS"] == 4  # millimetres, by the DXF reference
    assert document.dxfversion == "AC1024"


@pytest.fixture(scope="module")
def shelter() -> dict[str, Traced]:
    return read_panels(SHELTER / "shelter.dxf")


def test_every_edge_has_its_name(shelter: dict[str, Traced]) -> None:
    assert {name: sorted(panel.edges) for name, panel in shelter.items()} == {
        "FRONT": ["bottom", "port", "starboard", "top"],
        "TOP": ["aft", "fore", "port", "starboard"],
        "PORT SIDE": ["aft", "bottom", "fore", "top"],
        "STARBOARD SIDE": ["aft", "bottom", "fore", "top"],
    }


@pytest.mark.parametrize(
    ("one", "other", "marks"),
    [
        ("FRONT.top", "TOP.fore", {"CL", "P1", "P2", "P3", "S1", "S2", "S3"}),
        ("FRONT.port", "PORT SIDE.fore", {"P4", "P5"}),
        ("FRONT.starboard", "STARBOARD SIDE.fore", {"S4", "S5"}),
        ("TOP.port", "PORT SIDE.top", {"P6", "P7"}),
        ("TOP.starboard", "STARBOARD SIDE.top", {"S6", "S7"}),
    ],
)
def test_joining_edges_agree(
    shelter: dict[str, Traced], one: str, other: str, marks: set[str]
) -> None:
    (panel, edge), (other_panel, other_edge) = one.split("."), other.split(".")
    here, there = shelter[panel], shelter[other_panel]
    whole = length(there.edges[other_edge])
    assert length(here.edges[edge]) == pytest.approx(whole, abs=TRACING_ERROR)
    assert here.marks[edge].keys() == there.marks[other_edge].keys() == marks
    for name, station in here.marks[edge].items():
        # both lie outside up and run counter-clockwise: on a seam, against each other
        assert whole - there.marks[other_edge][name] == pytest.approx(station, abs=TRACING_ERROR)


@pytest.mark.parametrize("edge", ["fore", "top", "aft", "bottom"])
def test_port_and_starboard_are_mirror_images(shelter: dict[str, Traced], edge: str) -> None:
    port, starboard = shelter["PORT SIDE"], shelter["STARBOARD SIDE"]
    whole = length(starboard.edges[edge])
    assert length(port.edges[edge]) == pytest.approx(whole, abs=TRACING_ERROR)
    for name, station in port.marks.get(edge, {}).items():
        there = starboard.marks[edge]["S" + name[1:]]
        assert whole - there == pytest.approx(station, abs=TRACING_ERROR)


def test_seams_are_as_long_as_the_tubes(shelter: dict[str, Traced]) -> None:
    """The aft hoop: a crown of 2 × 12°, bends of radius 300 mm to legs that lean in by 4°.

    Its half width is 800 = R sin 12° + 300 (cos 4° − sin 12°) + leg sin 4°, and its height
    1050 = R (1 − cos 12°) + 300 (cos 12° − sin 4°) + leg cos 4°; solved for R and the leg.
    """
    crown, lean = math.radians(12), math.radians(4)
    radius, leg = np.linalg.solve(
        [[math.sin(crown), math.sin(lean)], [1 - math.cos(crown), math.cos(lean)]],
        [
            800 - 300 * (math.cos(lean) - math.sin(crown)),
            1050 - 300 * (math.cos(crown) - math.sin(lean)),
        ],
    )
    half = radius * crown + 300 * (math.pi / 2 - lean - crown)
    wanted = {
        ("TOP", "aft"): 2 * half,
        ("TOP", "fore"): 0.9 * 2 * half,
        ("PORT SIDE", "aft"): leg,
        ("FRONT", "starboard"): 0.9 * leg,
    }
    for (panel, edge), expected in wanted.items():
        assert length(shelter[panel].edges[edge]) == pytest.approx(expected, abs=TRACING_ERROR)


@pytest.mark.parametrize(
    ("panel", "width", "height"),
    [
        ("FRONT", 1997.3, 1106.1),
        ("TOP", 1827.2, 940.5),
        ("PORT SIDE", 899.4, 790.1),
        ("STARBOARD SIDE", 899.4, 790.1),
    ],
)
def test_cut_sizes_are_those_worked_by_hand(
    shelter: dict[str, Traced], panel: str, width: float, height: float
) -> None:
    """The arithmetic stands in the sample's README."""
    names, finishes = (
        shelter[panel].edges,
        {"aft": ZIP, "bottom": BOUND if panel == "FRONT" else HEM},
    )
    edges = [Edge(name, names[name]) for name in in_order(names)]
    meets = {
        frozenset({"aft", "port"}): Corner.SQUARE,
        frozenset({"aft", "starboard"}): Corner.SQUARE,
        frozenset({"aft", "top"}): Corner.SQUARE,
    }
    line, _ = add_allowance(
        edges,
        [finishes.get(edge.name, PLAIN) for edge in edges],
        [meets.get(frozenset({edges[i - 1].name, edges[i].name})) for i in range(len(edges))],
    )
    left, low, right, high = bounds(line.cut)
    assert right - left == pytest.approx(width, abs=0.25)
    assert high - low == pytest.approx(height, abs=0.25)


def test_the_drawing_is_what_its_script_draws(tmp_path: Path) -> None:
    again = [tmp_path / "one.dxf", tmp_path / "two.dxf"]
    for file in again:
        command = [sys.executable, "-B", str(SHELTER / "make_drawing.py"), str(file)]
        subprocess.run(command, check=True)
    assert again[0].read_bytes() == again[1].read_bytes()
    shipped, fresh = (
        list(coordinates(ezdxf.readfile(file).modelspace()))
        for file in (SHELTER / "shelter.dxf", again[0])
    )
    assert [kind for kind, _ in shipped] == [kind for kind, _ in fresh]
    for (_, here), (_, there) in zip(shipped, fresh, strict=True):
        np.testing.assert_allclose(here, there, atol=0.002)  # mm


def coordinates(sheet: Modelspace) -> Iterator[tuple[str, Floats]]:
    for entity in sheet:
        kind = entity.dxftype()
        if kind in {"TEXT", "POINT"}:
            place = entity.dxf.insert if kind == "TEXT" else entity.dxf.location
            yield kind, np.array([place.x, place.y])
        else:
            corners = path.make_path(entity).control_vertices()
            yield kind, np.array([(v.x, v.y) for v in corners])


def read_panels(file: Path) -> dict[str, Traced]:
    sheet = ezdxf.readfile(file).modelspace()
    turns = np.array([flat(e.dxf.location) for e in sheet.query('POINT[layer=="TURN POINTS"]')])
    named = [(e.dxf.text, middle(e)) for e in sheet.query('TEXT[layer=="NAMES"]')]
    panels = {}
    for loop in loops([chain_of(e) for e in sheet if on_layer(e, "OUTLINE", "LINE ARC")]):
        edges = edges_of(loop, turns)
        name = next(words for words, xy in named if holds(loop, xy))
        labels = [
            entity
            for entity in sheet.query('TEXT[layer=="EDGE NAMES"]')
            if holds(loop, middle(entity))
        ]
        gaps = gaps_to(edges, np.array([middle(entity) for entity in labels]))
        by_name = {
            entity.dxf.text: edges[index]
            for entity, index in zip(labels, gaps.argmin(axis=0), strict=True)
        }
        panels[name] = Traced(by_name, stations(by_name, sheet))
    return panels


def on_layer(entity: DXFEntity, layer: str, kinds: str) -> bool:
    more = {"LWPOLYLINE", "SPLINE"} | set(kinds.split())
    return entity.dxf.layer == layer and entity.dxftype() in more


def chain_of(entity: DXFEntity) -> Chain:
    """Give the exact curve of one entity."""
    if isinstance(entity, ezdxf.entities.LWPolyline):
        rows = np.array(entity.get_points("xyb"))
        bulges = rows[:, 2] if entity.closed else rows[:-1, 2]
        return split_wide_arcs(make_chain(rows[:, :2], bulges, closed=entity.closed))
    if isinstance(entity, ezdxf.entities.Line):
        return make_chain([flat(entity.dxf.start), flat(entity.dxf.end)])
    if isinstance(entity, ezdxf.entities.Arc):
        sweep = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360)
        ends = [flat(entity.start_point), flat(entity.end_point)]
        return make_chain(ends, [math.tan(sweep / 4)])
    assert isinstance(entity, ezdxf.entities.Spline)
    assert entity.dxf.degree == 3
    assert not entity.weights
    pieces = entity.construction_tool().bezier_decomposition()
    controls = np.array([[flat(point) for point in piece] for piece in pieces])
    joints = np.concatenate([controls[:, 0], controls[-1:, 3]])
    return make_chain(joints, np.zeros(len(controls)), controls[:, 1:3])


def loops(chains: list[Chain]) -> Iterator[Chain]:
    """Join loose chains, in whatever order and direction they were drawn, counter-clockwise."""
    loose = [chain for chain in chains if not chain.closed]
    done = [chain for chain in chains if chain.closed]
    while loose:
        run = [loose.pop(0)]
        while gap_between(run[-1].last, run[0].first) > 0.2:
            both = [c for chain in loose for c in (chain, reversed_chain(chain))]
            after = min(both, key=lambda chain: gap_between(run[-1].last, chain.first))
            assert gap_between(run[-1].last, after.first) < 0.2
            loose = [c for c in loose if gap_between(middle_of(c), middle_of(after)) > 1e-6]
            run.append(after)
        done.append(closed_up(joined(run)))
    for loop in done:
        yield loop if signed_area(loop) > 0 else reversed_chain(loop)


def edges_of(loop: Chain, turns: Floats) -> list[Chain]:
    at_turns = nearest(loop, turns)
    near = at_turns.distance < 1.0
    if near.any():
        joints = [gap_to_joint(loop, xy) for xy in at_turns.point[near]]
    else:
        joints = list(np.flatnonzero(np.abs(joint_turns(loop)) > CORNER))
    loop = opened(started_at(loop, min(joints)))
    return cut_at(loop, joint_stations(loop)[[joint - min(joints) for joint in sorted(joints)]])


def in_order(edges: dict[str, Chain]) -> list[str]:
    """Give the names of a panel's edges, each after the one that it goes on from."""
    order = [next(iter(edges))]
    while len(order) < len(edges):
        end = edges[order[-1]].last
        rest = [name for name in edges if name not in order]
        order.append(min(rest, key=lambda name: gap_between(end, edges[name].first)))
    return order


def stations(edges: dict[str, Chain], sheet: Modelspace) -> dict[str, dict[str, float]]:
    """Find the mark beside each mark's name, and its station on the edge that it lies on."""
    places = []
    for entity in sheet.query('LINE POINT CIRCLE[layer=="MARKS"]'):
        if isinstance(entity, ezdxf.entities.Line):
            places.append((flat(entity.dxf.start) + flat(entity.dxf.end)) / 2)
        elif isinstance(entity, ezdxf.entities.Point):
            places.append(flat(entity.dxf.location))
        else:
            places.append(flat(entity.dxf.center))
    labels = sheet.query('TEXT[layer=="MARKS"]')
    marks = np.array(
        [min(places, key=lambda place: gap_between(place, middle(entity))) for entity in labels]
    )
    found: dict[str, dict[str, float]] = {}
    for name, edge in edges.items():
        on = nearest(edge, marks)
        for index in np.flatnonzero(on.distance < TRACING_ERROR):
            found.setdefault(name, {})[labels[index].dxf.text] = float(on.station[index])
    return found


def flat(vertex: Vec3) -> Floats:
    return np.array([vertex.x, vertex.y])


def middle(text: DXFEntity) -> Floats:
    words, height = text.dxf.text, text.dxf.height
    return np.add(flat(text.dxf.insert), [0.4 * height * len(words), height / 2])


def middle_of(chain: Chain) -> Floats:
    return np.asarray((chain.first + chain.last) / 2)


def gap_between(one: Floats, other: Floats) -> float:
    return math.dist(one, other)


def gap_to_joint(loop: Chain, xy: Floats) -> int:
    return int(np.hypot(*(loop.points - xy).T).argmin())


def gaps_to(edges: list[Chain], places: Floats) -> Floats:
    """Give the distance of each place from each edge, (edges, places)."""
    return np.array([nearest(edge, places).distance for edge in edges])


def holds(loop: Chain, xy: Floats) -> bool:
    """Tell whether ``xy`` lies inside, by counting crossings to the right."""
    a = flatten(loop, 0.1).points
    b = np.roll(a, -1, axis=0)
    spans = (a[:, 1] > xy[1]) != (b[:, 1] > xy[1])
    a, b = a[spans], b[spans]
    x = a[:, 0] + (xy[1] - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
    return bool(np.count_nonzero(x > xy[0]) % 2)
