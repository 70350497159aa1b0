"""The job's seams: which edges are sewn together, and what they may be off."""

from __future__ import annotations

import string
from collections.abc import Mapping, Sequence

from cutpath.errors import InputError
from cutpath.model import EdgeName, Panel, Seam
from cutpath.settings.job import Job
from cutpath.settings.job_file import SeamEntry
from cutpath.settings.nearest_word import nearest_word


def seams_of(panels: Sequence[Panel], job: Job) -> tuple[Seam, ...]:
    """Give the seams that the job names, lettered in its order.

    Raises InputError for a panel or edge that is not there, an edge joined to itself, and a letter
    used twice.
    """
    edges = {panel.name: [edge.name for edge in panel.edges] for panel in panels}
    seams = []
    letters: set[str] = set()
    for index, entry in enumerate(job.said.seam):
        letter = entry.letter or seam_letter(index)
        if letter in letters:
            raise InputError(
                f"two seams are called '{letter}'",
                job.place("seam", index, "letter"),
                "Give each its own letter.",
            )
        letters.add(letter)
        seams.append(_seam(letter, index, entry, edges, job))
    return tuple(seams)


def _seam(
    letter: str, index: int, entry: SeamEntry, edges: Mapping[str, list[str]], job: Job
) -> Seam:
    first, second = (_edge(words, index, edges, job) for words in entry.join)
    if first == second:
        raise InputError(f"seam {letter} joins {first} to itself", job.place("seam", index, "join"))
    usual = job.said.tolerances
    least = usual.length if entry.length is None else entry.length
    share = usual.share if entry.share is None else entry.share
    return Seam(
        letter=letter,
        first=first,
        second=second,
        reverse=not entry.same_way,
        ease=entry.ease,
        mark_tolerance=usual.marks if entry.marks is None else entry.marks,
        length_tolerance=(least, share),
        kink_limit=usual.kink if entry.kink is None else entry.kink,
        shape_limit=entry.shape,
        true=entry.true_,
    )


def _edge(words: str, index: int, edges: Mapping[str, list[str]], job: Job) -> EdgeName:
    panel, slash, edge = words.rpartition("/")
    place = job.place("seam", index, "join")
    if not slash:
        raise InputError(f"'{words}' names no edge", place, 'Write panel and edge: "front/top".')
    if panel not in edges:
        raise InputError(f"there is no panel '{panel}'", place, nearest_word(panel, edges))
    if edge not in edges[panel]:
        raise InputError(
            f"panel '{panel}' has no edge '{edge}'", place, nearest_word(edge, edges[panel])
        )
    return EdgeName(panel, edge)


def seam_letter(index: int) -> str:
    """Give A to Z, then AA, AB and on."""
    name = ""
    number = index + 1
    while number:
        number, rest = divmod(number - 1, 26)
        name = string.ascii_uppercase[rest] + name
    return name
