"""What the names in a drawing say about which edges are sewn together."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cutpath.model import EdgeName, Panel
from cutpath.walk.evidence import NOTHING, Evidence
from cutpath.walk.pairing import is_given

_SHARED_FIRST, _SHARED_NEXT, _SHARED_COMMON, _SHARED_MOST = 4.0, 2.0, 0.7, 12.0
_CONFLICT, _CONFLICT_LEAST = -3.0, -9.0
_NAMES_PANEL, _NAMES_OTHER = 2.5, -2.0
_SAME_EDGE_NAME = 4.0
_HEM = -3.0
_TOLD = 4
_WORD = re.compile(r"[^\W_]+")
_SEAM_WORD = re.compile(r"\w|.*\d.*")
"""A single letter, or a name with a number in it, looks like a seam's; "aft" does not."""
_BY_SIDE = re.compile(r"(right|top|left|bottom|rim)(-\d+)?")
"""Names that edges get where the drawing gives none."""


@dataclass(frozen=True, slots=True)
class NameBook:
    """Where each name stands in a drawing.

    ``marks`` are the given mark names of each edge; ``mark_counts`` on how many edges each stands;
    ``called`` the panels that each edge's own name speaks of, with how many panels it may mean;
    ``edge_counts`` how often each edge name stands.
    """

    marks: Mapping[EdgeName, frozenset[str]]
    mark_counts: Mapping[str, int]
    called: Mapping[EdgeName, frozenset[str]]
    edge_counts: Mapping[str, int]

    def sharing(self, most: int) -> list[tuple[EdgeName, EdgeName]]:
        """Give pairs of edges with a mark name in common that stands on at most ``most`` edges."""
        holders: dict[str, list[EdgeName]] = defaultdict(list)
        for edge, names in self.marks.items():
            for name in sorted(names):
                if self.mark_counts[name] <= most:
                    holders[name].append(edge)
        pairs = {
            (edges[i], edges[j]): None
            for edges in holders.values()
            for i in range(len(edges))
            for j in range(i + 1, len(edges))
        }
        return list(pairs)

    def speaking(self) -> list[tuple[EdgeName, EdgeName]]:
        """Give each edge whose name speaks of one panel, with every edge of that panel."""
        of_panel: dict[str, list[EdgeName]] = defaultdict(list)
        for edge in self.called:
            of_panel[edge.panel].append(edge)
        return [
            (edge, other)
            for edge, panels in self.called.items()
            if len(panels) == 1
            for other in of_panel[next(iter(panels))]
        ]


def name_book(panels: Sequence[Panel]) -> NameBook:
    """Gather the names of ``panels``; letter case does not count."""
    marks: dict[EdgeName, set[str]] = {}
    for panel in panels:
        for edge in panel.edges:
            marks[EdgeName(panel.name, edge.name)] = set()
        for mark in panel.marks:
            if is_given(mark.name):
                marks[EdgeName(panel.name, mark.edge)].add(mark.name.casefold())
    speakers: dict[str, set[str]] = defaultdict(set)
    for panel in panels:
        for word in _words(panel.name):
            speakers[word].add(panel.name)
    called = {edge: _called(edge, speakers) for edge in marks}
    return NameBook(
        {edge: frozenset(names) for edge, names in marks.items()},
        Counter(name for names in marks.values() for name in names),
        called,
        Counter(edge.edge.casefold() for edge in marks),
    )


def _words(name: str) -> set[str]:
    return {word for word in _WORD.findall(name.casefold()) if not word.isdigit()}


def _called(edge: EdgeName, speakers: Mapping[str, set[str]]) -> frozenset[str]:
    """Give the other panels that most words of an edge's name speak of."""
    votes = Counter(panel for word in _words(edge.edge) for panel in speakers.get(word, ()))
    del votes[edge.panel]
    most = max(votes.values(), default=0)
    return frozenset(panel for panel, count in votes.items() if count == most)


def name_evidence(first: EdgeName, second: EdgeName, book: NameBook) -> list[Evidence]:
    """Weigh names of marks, edges and panels."""
    return [
        _mark_names(first, second, book),
        _panel_names(first, second, book),
        _panel_names(second, first, book),
        _edge_names(first, second, book),
        *(_hem_names(edge) for edge in (first, second)),
    ]


def _mark_names(first: EdgeName, second: EdgeName, book: NameBook) -> Evidence:
    here, there = book.marks[first], book.marks[second]
    shared = sorted(here & there)
    conflicts = min(len(here - there), len(there - here))
    against = max(_CONFLICT * conflicts, _CONFLICT_LEAST)
    if not shared:
        return Evidence(against, "their marks have other names" if conflicts else "")
    rare = [name for name in shared if book.mark_counts[name] == 2]
    weight = _SHARED_COMMON * (len(shared) - len(rare))
    if rare:
        weight += _SHARED_FIRST + _SHARED_NEXT * (len(rare) - 1)
    told = ", ".join(name.upper() for name in shared[:_TOLD])
    more = f" and {len(shared) - _TOLD} more" if len(shared) > _TOLD else ""
    return Evidence(min(weight, _SHARED_MOST) + against, f"both carry {told}{more}")


def _panel_names(first: EdgeName, second: EdgeName, book: NameBook) -> Evidence:
    called = book.called[first]
    if not called:
        return NOTHING
    if second.panel in called:
        words = f"'{first.edge}' of {first.panel} speaks of {second.panel}"
        return Evidence(_NAMES_PANEL / len(called), words)
    # A name by the side it faces was not written by anybody, so it denies nothing.
    return NOTHING if _BY_SIDE.fullmatch(first.edge) else Evidence(_NAMES_OTHER)


def _edge_names(first: EdgeName, second: EdgeName, book: NameBook) -> Evidence:
    name = first.edge.casefold()
    if name != second.edge.casefold() or _BY_SIDE.fullmatch(name):
        return NOTHING
    if book.edge_counts[name] != 2 or not _SEAM_WORD.fullmatch(name):
        return NOTHING
    return Evidence(_SAME_EDGE_NAME, f"both edges are called {first.edge}")


def _hem_names(edge: EdgeName) -> Evidence:
    return (
        Evidence(_HEM, f"'{edge.edge}' is called a hem") if "hem" in _words(edge.edge) else NOTHING
    )
