"""The errors a user can meet: what is wrong, where, and how to mend it.

    CutpathError
    ├── InputError      what the user gave cannot be used            exit 2
    ├── FitError        it does not fit, or fails its proof          exit 1
    └── MachineError    the machine cannot do it or does not answer  exit 3

Everything else that is raised (ValueError, TypeError …) is a mistake in the program.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import ClassVar


@dataclass(frozen=True, slots=True)
class Source:
    """A place in what the user gave: any part may be empty.

    ``entity`` names the thing there (``LWPOLYLINE 2F``, ``path 'top'``); ``xy`` is in millimetres,
    or in the drawing's own units when ``unit`` says so; ``line`` counts from 1; ``key`` is a
    settings path such as ``panels.top.edges.aft``.
    """

    file: str = ""
    layer: str = ""
    entity: str = ""
    xy: tuple[float, float] | None = None
    line: int | None = None
    key: str = ""
    unit: str = "mm"

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line is not None else self.file
        parts = [place]
        if self.layer:
            parts.append(f"layer {self.layer}")
        parts += [self.entity, self.key]
        if self.xy is not None:
            parts.append(f"at ({self.xy[0]:.2f}, {self.xy[1]:.2f}) {self.unit}")
        return ", ".join(part for part in parts if part)


class CutpathError(Exception):
    """What is wrong, where it is, and what to do about it."""

    exit_code: ClassVar[int] = 2

    def __init__(self, message: str, source: Source | None = None, remedy: str = "") -> None:
        super().__init__(message, source, remedy)
        self.message = message
        self.source = source if source is not None else Source()
        self.remedy = remedy

    def __str__(self) -> str:
        place = str(self.source)
        head = f"{place}: {self.message}" if place else self.message
        return f"{head}\n{self.remedy}" if self.remedy else head


class InputError(CutpathError):
    """A drawing, job, profile or option that cannot be used as it is."""

    exit_code = 2


class FitError(CutpathError):
    """Pieces, seams or emitted bytes disagree with what was asked."""

    exit_code = 1


class MachineError(CutpathError):
    """The machine cannot do what is asked, or does not answer."""

    exit_code = 3


@contextmanager
def reading(file: str) -> Iterator[None]:
    """Add the file's name to any error raised inside that does not name one yet."""
    try:
        yield
    except CutpathError as error:
        if not error.source.file:
            error.source = replace(error.source, file=file)
        raise
