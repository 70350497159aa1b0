"""Which text names what: the panel, its edges, its marks."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.measure import bounds, length, points_at_stations
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import Points, as_points
from cutpath.model import Finding, Sort, Text
from cutpath.panels.gathering import TEXT_REACH, Belongings

_MARK_TEXT_REACH = 15.0
_EDGE_WORD = re.compile(r"edge|seam name|rand", re.IGNORECASE)
_PIECE_TEXT = re.compile(r"\s*([A-Za-z][A-Za-z ]*?)\s*:\s*(.*?)\s*")


@dataclass(frozen=True, slots=True, eq=False)
class Label:
    """What the texts say about a panel as a whole; ``text`` is the one that names it."""

    name: str
    text: Text | None
    count: int = 1
    mirrored: int = 0
    material: str = ""


def label_of(belongings: Belongings, *, is_exchange: bool) -> Label:
    """Find the text that names a panel; the name is empty when there is none."""
    if is_exchange:
        return _exchange_label(belongings)
    candidates = [text for text in belongings.inside if _may_name_panel(text)]
    if not candidates:
        return Label("", None)
    x0, y0, x1, y1 = bounds(belongings.loop.chain)
    centre = np.array([(x0 + x1) / 2, (y0 + y1) / 2])

    def rank(text: Text) -> tuple[float, float, str]:
        return (-round(text.height, 3), float(np.hypot(*(text.xy - centre))), text.words)

    text = min(candidates, key=rank)
    return Label(_words(text), text)


def _may_name_panel(text: Text) -> bool:
    if not _words(text) or text.sort in {Sort.NOTCH, Sort.DRILL, Sort.GRAIN, Sort.NOTE}:
        return False
    return not _names_edges(text)


def _names_edges(text: Text) -> bool:
    return bool(_EDGE_WORD.search(text.source.layer))


def _words(text: Text) -> str:
    lines = [" ".join(line.split()) for line in text.words.splitlines()]
    return next((line for line in lines if line), "")


def _exchange_label(belongings: Belongings) -> Label:
    """Read a piece's texts, "KEYWORD: value" (ASTM D6673; keywords from memory)."""
    said: dict[str, str] = {}
    for text in belongings.inside:
        match = _PIECE_TEXT.fullmatch(text.words)
        if match:
            said.setdefault(match[1].upper(), match[2])
    counts = [int(number) for number in re.findall(r"\d+", said.get("QUANTITY", ""))]
    count, mirrored = (*counts, 0, 0)[:2] if counts else (1, 0)
    name = said.get("PIECE NAME", "") or belongings.loop.group
    return Label(name, None, count, mirrored, said.get("MATERIAL", ""))


def named_apart(
    labels: Sequence[Label], belongings: Sequence[Belongings]
) -> tuple[list[str], list[Finding]]:
    """Give each panel a name of its own: nameless ones are numbered, so are equal names."""
    names, findings = [], []
    counts: dict[str, int] = {}
    taken = {label.name for label in labels}
    wanted = Counter(label.name for label in labels)
    for label, owned in zip(labels, belongings, strict=True):
        base = label.name or "panel"
        if label.name and wanted[label.name] == 1:
            names.append(label.name)
            continue
        counts[base] = counts.get(base, 0) + 1
        while f"{base}-{counts[base]}" in taken:
            counts[base] += 1
        name = f"{base}-{counts[base]}"
        names.append(name)
        why = f"{wanted[base]} panels are called '{base}'" if label.name else "it has no name"
        findings.append(
            Finding(
                f"this panel is called {name}: {why}",
                replace(owned.loop.source, xy=_corner(owned)),
                "Write its name inside it in the drawing.",
            )
        )
    return names, findings


def _corner(owned: Belongings) -> tuple[float, float]:
    x0, y0, _, _ = bounds(owned.loop.chain)
    return x0, y0


@dataclass(frozen=True, slots=True, eq=False)
class Names:
    """Names that texts give, by the number of the edge or mark."""

    edges: Mapping[int, str]
    marks: Mapping[int, str]


def names_on(
    belongings: Belongings, panel_text: Text | None, edges: Sequence[Chain], marks: Points
) -> Names:
    """Give the texts on and about a panel to its edges and ``marks`` (m, 2), the nearest first."""
    texts = [
        text
        for text in (*belongings.inside, *belongings.beside)
        if text is not panel_text and _words(text)
    ]
    for_edges = [text for text in texts if _names_edges(text)]
    others = [text for text in texts if not _names_edges(text)]
    mark_names = _to_marks(others, marks)
    used = set(mark_names.values())
    rest = [
        text
        for number, text in enumerate(others)
        if number not in used and text.sort in {Sort.UNSAID, Sort.OUTLINE} and panel_text
    ]
    edge_names = _to_edges(for_edges, edges, by_middle=False)
    for edge, text in _to_edges(rest, edges, by_middle=True).items():
        edge_names.setdefault(edge, text)
    return Names(
        {edge: _words(text) for edge, text in edge_names.items()},
        {mark: _words(others[number]) for mark, number in mark_names.items()},
    )


def _to_marks(texts: Sequence[Text], marks: Points) -> dict[int, int]:
    """Pair marks with texts by number, nearest pairs first, each once."""
    if not texts or not len(marks):
        return {}
    at = as_points([text.xy for text in texts])
    gap = np.hypot(*(marks[:, None] - at[None]).transpose(2, 0, 1))
    out: dict[int, int] = {}
    for flat in np.argsort(gap, axis=None, kind="stable"):
        mark, text = divmod(int(flat), len(texts))
        if gap[mark, text] > _MARK_TEXT_REACH:
            break
        if mark not in out and text not in out.values():
            out[mark] = text
    return out


def _to_edges(texts: Sequence[Text], edges: Sequence[Chain], *, by_middle: bool) -> dict[int, Text]:
    """Pair edges with texts, nearest pairs first, each once."""
    if not texts:
        return {}
    at = as_points([text.xy for text in texts])
    rows = []
    for edge in edges:
        if by_middle:
            middle, _ = points_at_stations(edge, np.array([length(edge) / 2]))
            rows.append(np.hypot(*(at - middle[0]).T))
        else:
            rows.append(nearest(edge, at).distance)
    gap = np.stack(rows)
    out: dict[int, Text] = {}
    used: set[int] = set()
    for flat in np.argsort(gap, axis=None, kind="stable"):
        edge_number, number = divmod(int(flat), len(texts))
        if by_middle and gap[edge_number, number] > TEXT_REACH:
            break
        if edge_number not in out and number not in used:
            out[edge_number] = texts[number]
            used.add(number)
    return out
