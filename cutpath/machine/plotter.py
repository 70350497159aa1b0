"""What HP-GL and HP-GL/2 share: tools, travel, lines of text; a strategy draws the strokes.

Instructions by HP, "7470A Graphics Plotter Interfacing and Programming Manual" (SP, PU, PD, VS)
and "PCL 5 Printer Language Technical Reference Manual, Part II".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Protocol

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Floats, Ints
from cutpath.machine.advancing import Advancer
from cutpath.machine.grid import on_grid, places_of, within_range
from cutpath.machine.program_text import ProgramText
from cutpath.moves import AdvanceCloth, Dwell, Follow, Lift, Lower, Move, SelectTool, Travel, Turn
from cutpath.settings.profile import Output, Profile, Tool

Place = tuple[int, int]


class Dialect(Protocol):
    """How one of the languages moves."""

    def travel(self, to: Place) -> str:
        """Give the instruction that goes to ``to`` with the tool up."""

    def points_on(self, chain: Chain) -> Floats:
        """Give the points of ``chain``, (n, 2) mm, that ``draw`` wants as places."""

    def draw(self, chain: Chain, places: Ints, at: Place) -> tuple[list[str], Place]:
        """Give the instructions that draw ``chain`` from ``at``, and where they end."""

    @property
    def grid(self) -> Grid:
        """Give the numbers it counts in."""


class Grid:
    """The whole numbers of one profile."""

    def __init__(self, output: Output, fraction_bits: int = 0) -> None:
        self.units_per_mm = output.units_per_mm * 2**fraction_bits
        self.largest = output.largest_number << fraction_bits

    def places(self, mm: Floats) -> Ints:
        """Round (n, 2) mm. Raises MachineError out of the machine's range."""
        return within_range(on_grid(mm, self.units_per_mm), self.largest, self.units_per_mm)

    def place(self, mm: Floats) -> Place:
        """Round one point."""
        x, y = self.places(mm[None])[0].tolist()
        return x, y


def write_plotter(moves: Sequence[Move], profile: Profile, dialect: Dialect) -> ProgramText:
    """Give the file: start text, every move, tool up, end text.

    Raises MachineError for a place beyond the machine's numbers; ValueError for a dwell.
    """
    grid = dialect.grid
    places = places_of(moves, dialect.points_on, grid.largest, grid.units_per_mm)
    program = _Program(profile, dialect, places)
    before = [len(program.lines)]
    for move in moves:
        program.add(move)
        before.append(len(program.lines))
    if program.is_down:
        program.add(Lift())
    lines = [*program.lines, *profile.output.end]
    return ProgramText(lines, before, profile.output.line_ending.characters)


class _Program:
    """Adds instruction by instruction, and remembers where the tool is."""

    def __init__(self, profile: Profile, dialect: Dialect, places: Iterator[Ints]) -> None:
        self.places = places
        self.tools = profile.tools
        self.cloth = Advancer(profile)
        self.dialect = dialect
        self.lines = list(profile.output.start)
        self.at: Place | None = None
        self.is_down = False
        self.own_speed: float | None = None
        self.speed: float | None = None
        self.own_force: int | None = None
        self.force: int | None = None

    def add(self, move: Move) -> None:
        match move:
            case SelectTool(tool):
                self.lines += _select(self.tools[tool])
                self.own_speed = self.speed = self.tools[tool].speed
                self.own_force = self.force = self.tools[tool].force
                self.at = None
            case Travel():
                self._travel(next(self.places)[0].tolist())
            case Lower(force):
                self._press(self.own_force if force is None else force)
                self.lines.append("PD;")
                self.is_down = True
            case Follow(chain, speed):
                self._pace(speed or self.own_speed)
                self._draw(chain, next(self.places))
            case Lift():
                self.lines.append("PU;")
                self.is_down = False
            case AdvanceCloth(distance):
                self.lines += self.cloth.lines_for(distance)
            case Dwell():
                raise ValueError("HP-GL has no instruction to wait")
            case Turn():
                raise ValueError("HP-GL has no instruction to turn a blade")

    def _pace(self, speed: float | None) -> None:
        if speed is not None and speed != self.speed:
            self.lines.append(f"VS{_centimetres(speed)};")
        self.speed = speed

    def _press(self, force: int | None) -> None:
        if force is not None and force != self.force:
            self.lines.append(f"FS{force};")
        self.force = force

    def _travel(self, to: list[int]) -> None:
        place = (to[0], to[1])
        if place != self.at:
            self.lines.append(self.dialect.travel(place))
        self.at = place

    def _draw(self, chain: Chain, places: Ints) -> None:
        if self.at is None or not self.is_down:
            raise ValueError("a tool is led only after it travelled there and was lowered")
        drawn, self.at = self.dialect.draw(chain, places, self.at)
        self.lines += drawn


def _select(tool: Tool) -> list[str]:
    lines = ["PU;", f"SP{tool.number};"]
    if tool.speed is not None:
        lines.append(f"VS{_centimetres(tool.speed)};")  # cm/s in the 7470A's manual
    if tool.force is not None:
        lines.append(f"FS{tool.force};")
    return lines


def _centimetres(mm: float) -> str:
    return f"{mm / 10:.2f}".rstrip("0").rstrip(".")
