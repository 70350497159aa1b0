"""Path data by the grammar of SVG 1.1 (8.3.9) and SVG 2 (9.3.9).

Numbers are read greedily ("100-200" is two, "0.6.5" is 0.6 and .5), an arc's flags are single
digits that need no separator. On a mistake what came before it is drawn (SVG 2, 9.5.4).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from cutpath.intake.svg.lengths import LARGEST, NUMBER
from cutpath.intake.svg.outline import XY, Outline, Pencil

_WSP = r"[ \t\n\f\r]*+"
_SEP = rf"{_WSP}(?:,{_WSP})?+"
_LETTER = re.compile(rf"{_WSP}([MmZzLlHhVvCcSsQqTtAa])")
_NUMBER = re.compile(NUMBER)
_RUN = re.compile(rf"{_WSP}{NUMBER}(?:{_SEP}{NUMBER})*")
_ARC = re.compile(
    rf"{_SEP}({NUMBER}){_SEP}({NUMBER}){_SEP}({NUMBER}){_SEP}([01]){_SEP}([01])"
    rf"{_SEP}({NUMBER}){_SEP}({NUMBER})"
)
_MORE = re.compile(rf"{_SEP}[-+.\d]")
_BLANK = re.compile(rf"{_WSP}\Z")
_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7}


@dataclass(frozen=True, slots=True)
class Drawn:
    """Subpaths, and what stopped the reading; ``fault`` is empty when nothing did."""

    outlines: list[Outline]
    fault: str = ""


def parse_path_data(text: str) -> Drawn:
    """Read the ``d`` of a path."""
    if text.strip() in {"", "none"}:
        return Drawn([])
    reader = _Reader(text)
    reader.read()
    return Drawn(reader.pencil.outlines, reader.fault)


def parse_points(text: str) -> tuple[list[XY], str]:
    """Read the ``points`` of a polyline or polygon; a coordinate without a partner is left out."""
    if not text.strip():
        return [], ""
    match = _RUN.match(text)
    numbers = [float(number) for number in _NUMBER.findall(match[0])] if match else []
    points = list(zip(numbers[::2], numbers[1::2], strict=False))
    if _has_too_large(numbers):
        return [], "a coordinate is too large"
    end = match.end() if match else 0
    if not _BLANK.match(text, end):
        return points, _complaint("a number is expected", text, end)
    if len(numbers) % 2:
        return points, "the last coordinate has no partner and is left out"
    return points, ""


def _has_too_large(numbers: list[float]) -> bool:
    return any(abs(number) > LARGEST for number in numbers)


def _complaint(what: str, text: str, at: int) -> str:
    near = text[at : at + 16].strip().split("\n")[0]
    where = f"before '{near}'" if near else "at its end"
    return f"{what} {where} (character {at + 1})"


class _Reader:
    """Reads one string of path data into a pencil."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.place = 0
        self.fault = ""
        self.pencil = Pencil()
        # What S and T reflect: the last handle, where the segment before was of their kind.
        self.cubic_handle: XY | None = None
        self.quadratic_handle: XY | None = None

    def read(self) -> None:
        has_begun = False
        while not self.fault and not _BLANK.match(self.text, self.place):
            match = _LETTER.match(self.text, self.place)
            if match is None:
                self._stop("a command is expected")
            elif not has_begun and match[1] not in "Mm":
                self._stop("path data must begin with M")
            else:
                has_begun = True
                self.place = match.end()
                self._command(match[1])

    def _stop(self, what: str) -> None:
        self.fault = _complaint(what, self.text, self.place)

    def _command(self, letter: str) -> None:
        name = letter.upper()
        if name == "Z":
            self.pencil.close()
            self.cubic_handle = self.quadratic_handle = None
        elif name == "A":
            self._arcs(is_relative=letter == "a")
        else:
            self._plain(name, is_relative=letter != name)

    def _plain(self, name: str, *, is_relative: bool) -> None:
        match = _RUN.match(self.text, self.place)
        if match is None:
            self._stop(f"{name} needs {_TAKES[name]} numbers")
            return
        numbers = [float(number) for number in _NUMBER.findall(match[0])]
        takes = _TAKES[name]
        whole = len(numbers) - len(numbers) % takes
        if _has_too_large(numbers):
            self._stop("a number is too large")
            return
        if name in "ML":
            self._polyline(numbers[:whole], is_move=name == "M", is_relative=is_relative)
        else:
            draw = _DRAW[name]
            for index in range(0, whole, takes):
                x, y = self.pencil.at if is_relative else (0.0, 0.0)
                draw(self, numbers[index : index + takes], x, y)
        self.place = match.end()
        if whole < len(numbers):
            self._stop(f"{name} takes its numbers by {takes}; some are missing")

    def _polyline(self, numbers: list[float], *, is_move: bool, is_relative: bool) -> None:
        """Draw lines through pairs of ``numbers``; with ``is_move`` the first pair is gone to."""
        self.cubic_handle = self.quadratic_handle = None
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        if is_relative:
            x, y = self.pencil.at
            points = [(x := x + dx, y := y + dy) for dx, dy in points]
        if is_move and points:
            self.pencil.move(points.pop(0))
        if points:
            self.pencil.lines(points)

    def _arcs(self, *, is_relative: bool) -> None:
        self.cubic_handle = self.quadratic_handle = None
        match = _ARC.match(self.text, self.place)
        if match is None or match[0].lstrip().startswith(","):
            self._stop("A needs two radii, an angle, two flags (0 or 1) and a point")
            return
        while match is not None:
            rx, ry, degrees, x, y = (float(match[group]) for group in (1, 2, 3, 6, 7))
            if _has_too_large([rx, ry, degrees, x, y]):
                self._stop("a number is too large")
                return
            x0, y0 = self.pencil.at if is_relative else (0.0, 0.0)
            tilt = math.radians(math.fmod(degrees, 360.0))
            self.pencil.arc((rx, ry), tilt, match[4] == "1", match[5] == "1", (x0 + x, y0 + y))
            self.place = match.end()
            match = _ARC.match(self.text, self.place)
        if _MORE.match(self.text, self.place):  # numbers of an arc that is not whole
            self._stop("A needs two radii, an angle, two flags (0 or 1) and a point")


def _line(reader: _Reader, numbers: list[float], x: float, y: float) -> None:
    reader.pencil.line((x + numbers[0], y + numbers[1]))
    reader.cubic_handle = reader.quadratic_handle = None


def _horizontal(reader: _Reader, numbers: list[float], x: float, y: float) -> None:
    del y
    _line(reader, [numbers[0], reader.pencil.at[1]], x, 0.0)


def _vertical(reader: _Reader, numbers: list[float], x: float, y: float) -> None:
    del x
    _line(reader, [reader.pencil.at[0], numbers[0]], 0.0, y)


def _cubic(reader: _Reader, numbers: list[float], x: float, y: float) -> None:
    x1, y1, x2, y2, x3, y3 = numbers
    _cubic_to(reader, (x + x1, y + y1), (x + x2, y + y2), (x + x3, y + y3))


def _smooth_cubic(reader: _Reader, numbers: list[float], x: float, y: float) -> None:
    x2, y2, x3, y3 = numbers
    mirrored = _mirrored(reader.pencil.at, reader.cubic_handle)
    _cubic_to(reader, mirrored, (x + x2, y + y2), (x + x3, y + y3))


def _cubic_to(reader: _Reader, handle1: XY, handle2: XY, to: XY) -> None:
    reader.pencil.cubic(handle1, handle2, to)
    reader.cubic_handle, reader.quadratic_handle = handle2, None


def _quadratic(reader: _Reader, numbers: list[float], x: float, y: float) -> None:
    x1, y1, x2, y2 = numbers
    _quadratic_to(reader, (x + x1, y + y1), (x + x2, y + y2))


def _smooth_quadratic(reader: _Reader, numbers: list[float], x: float, y: float) -> None:
    mirrored = _mirrored(reader.pencil.at, reader.quadratic_handle)
    _quadratic_to(reader, mirrored, (x + numbers[0], y + numbers[1]))


def _quadratic_to(reader: _Reader, handle: XY, to: XY) -> None:
    reader.pencil.quadratic(handle, to)
    reader.cubic_handle, reader.quadratic_handle = None, handle


def _mirrored(at: XY, handle: XY | None) -> XY:
    return at if handle is None else (2 * at[0] - handle[0], 2 * at[1] - handle[1])


_DRAW: dict[str, Callable[[_Reader, list[float], float, float], None]] = {
    "H": _horizontal,
    "V": _vertical,
    "C": _cubic,
    "S": _smooth_cubic,
    "Q": _quadratic,
    "T": _smooth_quadratic,
}
