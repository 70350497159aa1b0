"""Places on a panel by their names: corners, marks, drill marks, stations along an edge."""

from __future__ import annotations

import re

import numpy as np

from cutpath.errors import InputError, Source
from cutpath.geometry.measure import length, points_at_stations
from cutpath.geometry.points import Point
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.panel_plan import PanelPlan
from cutpath.units import parse_length

_DRILL = re.compile(r"drill\s+(\S+)")
_CORNER = re.compile(r"corner\s+(.+)/(.+)")
_MARK = re.compile(r"mark\s+(.+)")
_EDGE = re.compile(r"edge\s+(.+?)\s+(\S+\s*(?:mm|cm|m|in|ft)?)")


def spots_named(words: str, host: PanelPlan, place: Source) -> list[Point]:
    """Give the places on a panel that ``words`` name, in panel coordinates, mm.

    "drills", "drill d3", "corner bottom/aft", "mark S7", "mark top/CL", "edge bottom 120 mm".
    Raises InputError, at ``place``, for a place that is not there.
    """
    panel = host.panel
    if words.strip() == "drills":
        return [drill.xy for drill in panel.drills]
    if match := _DRILL.fullmatch(words.strip()):
        drills = {drill.name: drill.xy for drill in panel.drills}
        if match[1] not in drills:
            raise InputError(
                f"panel '{panel.name}' has no drill mark '{match[1]}'",
                place, nearest_word(match[1], drills),
            )  # fmt: skip
        return [drills[match[1]]]
    if match := _CORNER.fullmatch(words.strip()):
        return [_corner(host, match[1].strip(), match[2].strip(), place)]
    if match := _MARK.fullmatch(words.strip()):
        return [_mark(host, match[1].strip(), place)]
    if match := _EDGE.fullmatch(words.strip()):
        return [_on_edge(host, match[1], match[2], place)]
    raise InputError(
        f"'{words}' names no place",
        place,
        'Write "drills", "drill d3", "corner bottom/aft", "mark CL" or "edge bottom 120 mm".',
    )


def _corner(host: PanelPlan, one: str, other: str, place: Source) -> Point:
    names = [edge.name for edge in host.panel.edges]
    for name in (one, other):
        if name not in names:
            raise InputError(
                f"panel '{host.panel.name}' has no edge '{name}'", place, nearest_word(name, names)
            )
    count = len(names)
    for index, edge in enumerate(host.panel.edges):
        if {names[index], names[(index + 1) % count]} == {one, other}:
            return edge.chain.last
    raise InputError(
        f"'{one}' and '{other}' do not meet on panel '{host.panel.name}'",
        place,
        f"Its edges in order: {', '.join(names)}.",
    )


def _on_edge(host: PanelPlan, name: str, words: str, place: Source) -> Point:
    chains = {edge.name: edge.chain for edge in host.panel.edges}
    if name not in chains:
        raise InputError(
            f"panel '{host.panel.name}' has no edge '{name}'", place, nearest_word(name, chains)
        )
    try:
        station = parse_length(words)
    except InputError as error:
        raise InputError(error.message, place, error.remedy) from error
    whole = length(chains[name])
    if not 0 <= station <= whole:
        raise InputError(
            f"'{name}' is {whole:.1f} mm long, and {station:g} mm is not on it",
            place,
            "Give a place along the edge, from its start counter-clockwise.",
        )
    at, _ = points_at_stations(chains[name], np.array([station]))
    place_on: Point = at[0]
    return place_on


def _mark(host: PanelPlan, words: str, place: Source) -> Point:
    edge, _, name = words.rpartition("/")
    marks = [mark for mark in host.panel.marks if mark.name == name and edge in {"", mark.edge}]
    if not marks:
        names = [mark.name for mark in host.panel.marks]
        raise InputError(
            f"panel '{host.panel.name}' has no mark '{words}'", place, nearest_word(name, names)
        )
    if len(marks) > 1:
        told = ", ".join(f'"mark {mark.edge}/{mark.name}"' for mark in marks)
        raise InputError(
            f"panel '{host.panel.name}' has {len(marks)} marks '{words}'", place, f"Say {told}."
        )
    edges = {each.name: each.chain for each in host.panel.edges}
    at, _ = points_at_stations(edges[marks[0].edge], np.array([marks[0].station]))
    place_on: Point = at[0]
    return place_on
