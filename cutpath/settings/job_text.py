"""The text of a first job file: what a drawing holds, and in remarks what a maker can say of it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from unicodedata import category

from cutpath.settings.job_file import Finish, Finishes, FinishName

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_ESCAPES = {
    '"': '\\"',
    "\\": "\\\\",
    "\b": "\\b",
    "\t": "\\t",
    "\n": "\\n",
    "\f": "\\f",
    "\r": "\\r",
}
_COLUMN = 28
"""Where remarks begin on a line that says something, if there is room."""
_WIDTH = 100


@dataclass(frozen=True, slots=True)
class EdgeText:
    """One edge: its name in the job, its name in the drawing, a suggestion and a remark.

    ``finish`` is offered for a free edge; a sewn one has "" and is offered the usual finish.
    """

    name: str
    drawn: str
    finish: str
    remark: str


@dataclass(frozen=True, slots=True)
class PanelText:
    """One panel: its name in the job and in the drawing, and its edges.

    ``suggestions`` are lines that a maker may make hold, each with its remark.
    """

    name: str
    drawn: str
    suggestions: tuple[tuple[str, str], ...]
    edges: tuple[EdgeText, ...]


@dataclass(frozen=True, slots=True)
class SeamText:
    """One seam, "panel/edge" of both; a doubtful one is written as a question."""

    join: tuple[str, str]
    same_way: bool
    remarks: tuple[str, ...]
    is_question: bool


@dataclass(frozen=True, slots=True)
class JobText:
    """All that a first job says. ``join`` in mm; ``units`` and ``join`` None when not said."""

    name: str
    drawing: str
    units: str | None
    join: float | None
    panels: tuple[PanelText, ...]
    seams: tuple[SeamText, ...]


def job_text(job: JobText) -> str:
    """Give the TOML text of ``job``; ``tomllib`` reads every name back as it is."""
    lines = [*_head(job), *_finishes(), *_notches()]
    for number, panel in enumerate(job.panels):
        lines += _panel(panel, explained=number == 0)
    lines += _seams(job.seams)
    return "\n".join(lines) + "\n"


def quoted(text: str) -> str:
    """Give ``text`` as a TOML basic string."""
    return '"' + "".join(_escaped(letter) for letter in text) + '"'


def _escaped(letter: str) -> str:
    if letter in _ESCAPES:
        return _ESCAPES[letter]
    if not _is_escaped(letter):
        return letter
    # A lone half of a surrogate pair cannot be written in a TOML file at all.
    return "\ufffd" if "\ud800" <= letter <= "\udfff" else f"\\u{ord(letter):04X}"


def _is_escaped(letter: str) -> bool:
    """Tell signs that TOML forbids, or that an editor would take for the end of a line."""
    return category(letter) in {"Cc", "Cs", "Zl", "Zp"} or letter == "\ufeff"


def key(text: str) -> str:
    """Give ``text`` as a TOML key, quoted where it must be."""
    return text if _BARE.fullmatch(text) else quoted(text)


def remark(text: str) -> str:
    """Give ``text`` as it may stand in a remark: on one line, without signs that TOML forbids."""
    return "".join(" " if _is_escaped(letter) else letter for letter in text)


def _said(line: str, words: str = "") -> str:
    return f"{line:<{_COLUMN - 1}} # {remark(words)}" if words else line


def _folded(words: str) -> Iterator[str]:
    """Give ``words`` as whole lines of remark."""
    line = "#"
    for word in remark(words).split():
        if len(line) + 1 + len(word) > _WIDTH and line != "#":
            yield line
            line = "#"
        line += f" {word}"
    yield line


def _head(job: JobText) -> Iterator[str]:
    yield from _folded(
        f"Begun by cutpath from {job.drawing}. It can be cut as it is. What stands behind # is a "
        "remark, or a line that holds once its # is taken away."
    )
    yield _said(f"name = {quoted(job.name)}")
    yield _said(f"drawing = {quoted(job.drawing)}")
    if job.units is not None:
        yield _said(f"units = {quoted(job.units)}", "what one unit of the drawing is")
    if job.join is not None:
        yield _said(f'join = "{job.join:.12g} mm"', "the widest gap between lines that is closed")
    yield _said('finish = "plain"', "of every edge that says nothing else; any of [finishes]")
    yield _said('# cloth = "main"', "of every panel that says nothing else; one of [cloths]")
    yield ""
    yield "# [cloths.main]"
    yield _said('# name = "…"', "as it is ordered")
    yield _said('# width = "1500 mm"', "usable width of the roll")
    yield _said('# faces = "differ"', "alike where either face may show")
    yield ""


def _finishes() -> Iterator[str]:
    yield _said("[finishes]", "what is added outside the stitch line")
    usual = Finishes()
    for name in FinishName:
        yield f"{name.value} = {_finish(usual.named(name))}"
    yield ""


def _finish(finish: Finish) -> str:
    width = f'"{finish.width:g} mm"' if finish.width else "0"
    if not finish.turn_under:
        return width
    return f'{{ width = {width}, turn_under = "{finish.turn_under:g} mm" }}'


def _notches() -> Iterator[str]:
    yield _said("# [notches]", "how marks are cut; not said, it is left to the machine")
    yield _said('# shape = "slit"', "slit, vee, outward or none")
    yield _said('# depth = "5 mm"', "never more than half the allowance")


def _panel(panel: PanelText, *, explained: bool) -> Iterator[str]:
    table = f"panels.{key(panel.name)}"
    yield ""
    yield f"[{table}]"
    yield _said(f"from = {quoted(panel.drawn)}", "its name in the drawing" if explained else "")
    if explained:
        yield _said('# face = "down"', "the face of the cloth that lies up on the table, if not up")
        yield _said("# count = 2", "how many are cut as drawn")
        yield _said("# mirrored = 1", "and how many more as mirror images")
    for line, words in panel.suggestions:
        yield _said(f"# {line}", words)
    yield _said(f"[{table}.edges]", "counter-clockwise" if explained else "")
    for edge in panel.edges:
        if edge.name != edge.drawn:
            # Seams need this name, so the line holds.
            yield _said(f"{key(edge.name)} = {{ is = {quoted(edge.drawn)} }}", edge.remark)
        else:
            line = f"{key(edge.name)} = {quoted(edge.finish or FinishName.PLAIN.value)}"
            yield _said(f"# {line}", edge.remark)


def _seams(seams: Sequence[SeamText]) -> Iterator[str]:
    yield ""
    if not seams:
        yield from _folded("No seam was found. For each, say which edges are sewn together:")
        yield "# [[seam]]"
        yield '# join = ["front/top", "top/fore"]'
        return
    yield from _folded("What is sewn to what, guessed from the drawing. Look at each, then check.")
    for seam in sorted(seams, key=lambda each: each.is_question):
        hold = "# " if seam.is_question else ""
        yield f"{hold}[[seam]]"
        both = ", ".join(quoted(edge) for edge in seam.join)
        yield f"{hold}join = [{both}]"
        if seam.same_way:
            yield _said(f"{hold}same_way = true", "one of both is traced face down")
        for words in seam.remarks:
            yield from _folded(words)
