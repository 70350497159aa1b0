"""Reads HP-GL and HP-GL/2 back into strokes, as a plotter obeys them.

Sources: HP, PCL 5 Printer Language Technical Reference Manual, Part II (HP-GL/2), and HP, 7470A
Interfacing and Programming Manual. An instruction that would draw what cannot be known here (a dash
pattern, a rotated page, coordinates beyond the window) is refused, not guessed.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from cutpath.moves import Reading
from cutpath.replay.arcs import chords, through
from cutpath.replay.hpgl_words import Instruction, instructions
from cutpath.replay.polyline_encoded import Pick, decode
from cutpath.replay.scaling import Corners, Scale, scaled
from cutpath.replay.tracing import Spot, Trace
from cutpath.replay.view import View, refuse_at

_RANGE_HPGL = 32767
_RANGE_HPGL2 = 2**30 - 1
_CHORD = 5.0  # degrees, the default of AA, AR, AT, RT and CI
_STILL = {"VS", "FS", "AS", "AP", "PT", "PW", "WU", "CO", "BP", "NP", "PS", "EC", "NR", "OE", "OS"}
_STILL |= {"DT", "SM", "SI", "SR", "DI", "DR", "SL", "SS", "CS", "CA", "SA", "IM"}


def read_hpgl(data: bytes, view: View | None = None) -> Reading:
    """Read HP-GL ``data``: coordinates of 16 bits, no PE. All of it in mm of plotter units.

    Raises InputError, with the byte offset, for what is not HP-GL or cannot be replayed.
    """
    return _Plotter(view or View(), has_pe=False).read(data)


def read_hpgl2(data: bytes, view: View | None = None) -> Reading:
    """Read HP-GL/2 ``data``: coordinates to ±(2³⁰ − 1), with PE.

    Raises InputError, with the byte offset, for what is not HP-GL/2 or cannot be replayed.
    """
    return _Plotter(view or View(), has_pe=True).read(data)


class _Plotter:
    def __init__(self, view: View, *, has_pe: bool) -> None:
        self.view, self.has_pe = view, has_pe
        self.limit = view.largest_number or (_RANGE_HPGL2 if has_pe else _RANGE_HPGL)
        self.trace = Trace(view.first_tool)
        self.at: Spot = (0.0, 0.0)  # plotter units
        self.user: Spot = (0.0, 0.0)  # current units
        self.is_relative = self.is_lost = False
        self.scale: Scale | None = None
        self.corners: Corners | None = None
        self.window: Corners | None = None
        self.still = _STILL | {name.upper() for name in view.passed_over}
        self.does: dict[str, Callable[[Instruction], None]] = {
            "IN": self._initialise, "DF": self._default, "PA": self._absolute,
            "PR": self._relative, "PU": self._up, "PD": self._down, "SP": self._pick,
            "AA": self._arc, "AR": self._arc, "AT": self._arc_through, "RT": self._arc_through,
            "CI": self._circle, "IP": self._set_corners, "IW": self._set_window,
            "SC": self._set_scale, "RO": self._rotate, "LB": self._label, "PE": self._encoded,
            "LT": self._line_type, "PG": self._end_page,
        }  # fmt: skip

        if self.view.cloth_instruction:
            self.does[self.view.cloth_instruction] = self._advance_cloth

    def read(self, data: bytes) -> Reading:
        for order in instructions(data):
            act = self.does.get(order.name)
            if act is not None and (self.has_pe or order.name != "PE"):
                act(order)
            elif order.name not in self.still:
                refuse_at(
                    f"unknown instruction {order.name}",
                    _place(order),
                    "If it is this machine's own and moves nothing, let its profile say so.",
                )
        return self.trace.reading()

    # State

    def _initialise(self, order: Instruction) -> None:
        self.trace.lift()
        self._default(order)
        self.corners = None
        if self.has_pe:
            self.at = self.user = (0.0, 0.0)
            self.trace.run([((0.0, 0.0), 0.0)])

    def _default(self, _: Instruction) -> None:
        self.is_relative, self.window = False, None
        self._rescale(None)

    def _rescale(self, scale: Scale | None) -> None:
        self.scale = scale
        if scale is None:
            self.user = self.at
        else:
            self.user = (
                (self.at[0] - scale.origin[0]) / scale.factor[0],
                (self.at[1] - scale.origin[1]) / scale.factor[1],
            )

    def _set_corners(self, order: Instruction) -> None:
        numbers = _counted(order, (0, 2, 4))
        if len(numbers) == 4:
            self.corners = (numbers[0], numbers[1], numbers[2], numbers[3])
        elif len(numbers) == 2 and self.corners is not None:
            old = self.corners
            self.corners = (
                numbers[0], numbers[1],
                numbers[0] + old[2] - old[0], numbers[1] + old[3] - old[1],
            )  # fmt: skip
        else:
            self.corners = None
        if self.scale is not None:
            refuse_at("IP while SC is on", _place(order), "Set IP first, then SC.")

    def _set_scale(self, order: Instruction) -> None:
        self._rescale(scaled(self.corners, order.numbers, _place(order)))

    def _set_window(self, order: Instruction) -> None:
        numbers = _counted(order, (0, 4))
        self.window = None
        if numbers:
            low, high = self._plotter(*numbers[:2]), self._plotter(*numbers[2:])
            self.window = (*low, *high)

    def _rotate(self, order: Instruction) -> None:
        if _counted(order, (0, 1)) not in ((), (0.0,)):
            refuse_at("RO turns the page about a place that depends on the machine", _place(order))

    def _line_type(self, order: Instruction) -> None:
        if order.numbers:
            refuse_at("LT would break the line into dashes", _place(order))

    def _end_page(self, _: Instruction) -> None:
        self.trace.lift()

    def _label(self, _: Instruction) -> None:
        # The machine's own letters move the pen to where only it knows (manual, p. 20-41).
        self.trace.lift()
        self.is_lost = True

    def _pick(self, order: Instruction) -> None:
        numbers = _counted(order, (0, 1))
        self.trace.pick(int(numbers[0]) if numbers else 0)

    def _advance_cloth(self, order: Instruction) -> None:
        """Move the cloth as this machine's own instruction does, by its number of units."""
        told = _counted(order, (1,))[0] / self.view.units_per_mm * self.view.cloth_sign
        distance = told - self.trace.advanced if self.view.cloth_totals else told
        self.trace.advance(distance, order.offset)

    # Moves

    def _absolute(self, order: Instruction) -> None:
        self.is_relative = False
        self._follow(order)

    def _relative(self, order: Instruction) -> None:
        self.is_relative = True
        self._follow(order)

    def _up(self, order: Instruction) -> None:
        self.trace.lift()
        self._follow(order)

    def _down(self, order: Instruction) -> None:
        if self.is_lost:
            refuse_at("pen down after a label, before an absolute move", _place(order))
        self.trace.lower(order.offset)
        self._follow(order)

    def _follow(self, order: Instruction) -> None:
        numbers = order.numbers
        if len(numbers) % 2:
            refuse_at(f"{order.name} has an odd number of coordinates", _place(order))
        for x, y in zip(numbers[::2], numbers[1::2], strict=True):
            if self.scale is None:
                # Integer fields: fractions are rounded to the nearest (manual, p. 17-10).
                x, y = math.floor(x + 0.5), math.floor(y + 0.5)  # noqa: PLW2901
            self._step(x, y, self.is_relative, _place(order))

    def _step(self, x: float, y: float, is_relative: bool, place: str) -> None:
        if is_relative:
            if self.is_lost:
                refuse_at("a relative move after a label", place)
            x, y = self.user[0] + x, self.user[1] + y
        self._go(x, y, place)

    def _go(self, x: float, y: float, place: str) -> None:
        self.user, self.at, self.is_lost = (x, y), self._plotter(x, y), False
        if max(abs(self.at[0]), abs(self.at[1])) > self.limit:
            refuse_at(
                f"({x:g}, {y:g}) is beyond ±{self.limit} plotter units (position overflow)", place
            )
        if self.window is not None and self.trace.is_down and not _inside(self.at, self.window):
            refuse_at("drawn beyond the window of IW, where the machine leaves it out", place)
        size = self.view.units_per_mm
        self.trace.run([((self.at[0] / size, self.at[1] / size), 0.0)])

    def _plotter(self, x: float, y: float) -> Spot:
        return (x, y) if self.scale is None else self.scale.point(x, y)

    def _arc(self, order: Instruction) -> None:
        x, y, sweep, *rest = _counted(order, (3, 4))
        if order.name == "AR":
            x, y = self.user[0] + x, self.user[1] + y
        self._chords((x, y), math.radians(sweep), _chord(rest, order), order)

    def _arc_through(self, order: Instruction) -> None:
        x1, y1, x2, y2, *rest = _counted(order, (4, 5))
        dx, dy = self.user if order.name == "RT" else (0.0, 0.0)
        middle, end = (x1 + dx, y1 + dy), (x2 + dx, y2 + dy)
        chord = _chord(rest, order)
        if end == self.user and middle != end:
            center = ((middle[0] + end[0]) / 2, (middle[1] + end[1]) / 2)
            self._chords(center, 2 * math.pi, chord, order)
            return
        found = through(self.user, middle, end)
        if found is not None:
            self._chords(found[0], found[1], chord, order)
        self._go(*end, _place(order))

    def _circle(self, order: Instruction) -> None:
        radius, *rest = _counted(order, (1, 2))
        center, was_down = self.user, self.trace.is_down
        self.trace.lift()
        self._go(center[0] + radius, center[1], _place(order))
        self.trace.lower(order.offset)
        self._chords(center, 2 * math.pi, _chord(rest, order), order)
        self.trace.lift()
        self._go(*center, _place(order))
        if was_down:
            self.trace.lower(order.offset)

    def _chords(self, center: Spot, sweep: float, chord: float, order: Instruction) -> None:
        if self.is_lost:
            refuse_at("an arc after a label", _place(order))
        for x, y in chords(self.user, center, sweep, chord):
            self._go(x, y, _place(order))

    def _encoded(self, order: Instruction) -> None:
        for item in decode(order.raw, order.offset + 2):
            if isinstance(item, Pick):
                self.trace.pick(item.pen)
                continue
            if item.is_up:
                self.trace.lift()
            else:
                if self.is_lost:
                    refuse_at("pen down after a label", f"byte {item.offset}")
                self.trace.lower(item.offset)
            self._step(item.x, item.y, not item.is_absolute, f"byte {item.offset}")


def _place(order: Instruction) -> str:
    return f"byte {order.offset}"


def _counted(order: Instruction, allowed: tuple[int, ...]) -> tuple[float, ...]:
    if len(order.numbers) not in allowed:
        words = " or ".join(str(count) for count in allowed)
        refuse_at(f"{order.name} takes {words} numbers, not {len(order.numbers)}", _place(order))
    return order.numbers


def _chord(rest: list[float], order: Instruction) -> float:
    degrees = rest[0] if rest else _CHORD
    if not 0.5 <= abs(degrees) <= 180:
        refuse_at(f"{order.name} has a chord angle of {degrees:g}°, not 0.5 to 180", _place(order))
    return math.radians(abs(degrees))


def _inside(at: Spot, window: Corners) -> bool:
    low_x, high_x = sorted((window[0], window[2]))
    low_y, high_y = sorted((window[1], window[3]))
    return low_x <= at[0] <= high_x and low_y <= at[1] <= high_y
