"""What was met in an SVG, and what has to be told about it."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from cutpath.errors import Source
from cutpath.intake.svg.markup import Node
from cutpath.model import Curve, Finding, Text

_HIDDEN = "hidden element"
_CLIPPED = "clipped or masked element"
_DONE = {
    _HIDDEN: ("not read", "Show what is to be cut."),
    _CLIPPED: ("read whole", "Cut it to shape in the drawing, if only the part shown is wanted."),
}


class Ledger:
    """Curves, texts and findings in the order they were met; what was passed over is counted."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.curves: list[Curve] = []
        self.texts: list[Text] = []
        self._told: list[Finding] = []
        self._passed: Counter[str] = Counter()
        self._first: dict[str, Node] = {}

    def tell(self, node: Node, message: str, remedy: str = "") -> None:
        """Note a finding at ``node``."""
        self._told.append(Finding(message, replace(node.source(), file=self.file), remedy))

    def tell_at(self, source: Source, message: str, remedy: str = "") -> None:
        """Note a finding at a place."""
        self._told.append(Finding(message, source, remedy))

    def hide(self, node: Node) -> None:
        """Count a thing that is not shown."""
        self.pass_over(node, _HIDDEN)

    def pass_over(self, node: Node, kind: str) -> None:
        """Count a thing of some ``kind`` that is not read."""
        self._passed[kind] += 1
        self._first.setdefault(kind, node)

    def read_whole(self, node: Node) -> None:
        """Count a thing that is read although part of it is not shown."""
        self.pass_over(node, _CLIPPED)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that was noted, and one finding for each kind of thing that was passed over."""
        passed = []
        for kind, count in sorted(self._passed.items()):
            things = f"1 {kind} is" if count == 1 else f"{count} {kind}s are"
            done, remedy = _DONE.get(kind, ("not read", ""))
            where = replace(self._first[kind].source(), file=self.file)
            first = "" if count == 1 else ", the first here"
            passed.append(Finding(f"{things} {done}{first}", where, remedy))
        return (*self._told, *passed)
