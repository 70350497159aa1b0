"""What a first job calls the panels and edges of a drawing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

from cutpath.delivery import slug
from cutpath.model import EdgeName, Panel


@dataclass(frozen=True, slots=True, eq=False)
class JobNames:
    """What panels and edges of the drawing are called in the job."""

    panels: Mapping[str, str]
    edges: Mapping[EdgeName, str]

    def path(self, name: EdgeName) -> str:
        """Give "panel/edge"."""
        return f"{self.panels[name.panel]}/{self.edges[name]}"


def job_names(panels: Sequence[Panel]) -> JobNames:
    """Give each panel a short name of its own; edges keep theirs unless it holds a slash."""
    edges: dict[EdgeName, str] = {}
    for panel in panels:
        drawn = [edge.name for edge in panel.edges]
        whole = {name for name in drawn if "/" not in name}
        short = dict(zip(drawn, drawn, strict=True))
        for name in drawn:
            if name not in whole:
                short[name] = _apart(slug(name), whole)
                whole.add(short[name])
        edges |= {EdgeName(panel.name, name): short[name] for name in drawn}
    taken: set[str] = set()
    names: dict[str, str] = {}
    for panel in panels:
        names[panel.name] = _apart(slug(panel.name), taken)
        taken.add(names[panel.name])
    return JobNames(names, edges)


def _apart(name: str, taken: Set[str]) -> str:
    out, count = name, 1
    while out in taken:
        count += 1
        out = f"{name}-{count}"
    return out
