"""Reads RS274/NGC back into strokes, as its interpreter obeys it.

Source: NISTIR 6556, The NIST RS274NGC Interpreter - Version 3 (2000), section numbers in brackets.
Offsets of G54 to G59.3 are taken as zero: they place the whole job on the bed. What depends on
things kept in the machine (G28, G43, a radius, a probe) is refused, not guessed.
"""

from __future__ import annotations

import math

from cutpath.moves import Reading
from cutpath.replay.arcs import bulged
from cutpath.replay.gcode_words import Block, blocks, whole
from cutpath.replay.modal_groups import MOTION, check_groups
from cutpath.replay.tracing import Spot, Trace
from cutpath.replay.view import View, refuse_at

_INCH = 25.4
_RADIUS_MM, _RADIUS_IN = 0.002, 0.0002  # how far an arc's two radii may differ (3.5.3.2)
_LETTERS = set("XYZABCDFHIJKLPQRST")
_SLACK = 1e-9


def read_rs274(data: bytes, view: View | None = None) -> Reading:
    """Read RS274/NGC ``data`` into strokes in mm of machine coordinates; ``place`` is the line.

    Raises InputError, with the line, for what the language does not allow or cannot be replayed.
    """
    return _Controller(view or View()).read(data)


class _Controller:
    def __init__(self, view: View) -> None:
        self.view = view
        self.trace = Trace(view.first_tool)
        self.by_code = bool(view.lower_codes)
        self.z = math.inf  # unknown until the file says: taken as up
        self.offset = dict.fromkeys("XYZ", 0.0)
        self.kept_offset = dict(self.offset)
        self.unit = 1.0
        self.motion = 10
        self.is_relative = self.is_inverse_time = False
        self.feed = 0.0
        self.angle = 0.0
        self.next_tool = view.first_tool

    def read(self, data: bytes) -> Reading:
        has_percent = data.lstrip()[:1] == b"%"
        for block in blocks(data, self.view):
            if self._run(block):
                return self.trace.reading()
        if not has_percent:
            refuse_at("the program has no end", data.count(b"\n") + 1, "It needs M2 or M30.")
        return self.trace.reading()

    def _run(self, block: Block) -> bool:
        """Obey one line in the order of the standard (3.8); tell whether the program ends."""
        own = {*self.view.lower_codes, *self.view.lift_codes}
        check_groups(block, own if self.view.cloth_code is None else own | {self.view.cloth_code})
        self._check_letters(block)
        self._set_feed_and_tool(block)
        self._obey_m(block)
        self._set_modes(block)
        if 40 in block.g:
            self._dwell(block)
        if 920 in block.g:
            self._rename(block)
        self._set_offsets(block)
        if not self._advance_cloth(block):
            self._move(block)
        return self._stop(block)

    def _check_letters(self, block: Block) -> None:
        for letter in block.words:
            if letter == self.view.cloth_letter:
                continue
            if letter not in _LETTERS:
                refuse_at(f"the letter {letter} means nothing in this language", block.line)
            if letter in "ABC" and letter not in self.view.turning_axes:
                refuse_at(f"this machine has no axis {letter}", block.line)

    def _set_feed_and_tool(self, block: Block) -> None:
        if 930 in block.g or 940 in block.g:
            self.is_inverse_time = 930 in block.g
            self.feed = 0.0 if self.is_inverse_time else self.feed
        if "F" in block.words:
            self.feed = block.words["F"]
            if self.feed < 0:
                refuse_at("F is negative", block.line)
        if block.words.get("S", 0.0) < 0:
            refuse_at("S is negative", block.line)
        if "T" in block.words:
            self.next_tool = whole(block.words["T"], "T", block.line)

    def _obey_m(self, block: Block) -> None:
        if 6 in block.m:
            self.trace.pick(self.next_tool)  # the spindle stops (3.6.3)
            self._by_height(block.line)
        for code in block.m:
            if code in self.view.lift_codes:
                self.trace.lift()
            elif code in self.view.lower_codes:
                self.trace.lower(block.line)

    def _set_modes(self, block: Block) -> None:
        for code in block.g:
            if code in (200, 210):
                self.unit = _INCH if code == 200 else 1.0
            elif code in (900, 910):
                self.is_relative = code == 910
            elif code in MOTION:
                self.motion = code

    def _dwell(self, block: Block) -> None:
        wait = block.words.get("P", -1.0)
        if wait < 0:
            refuse_at("G4 needs P, a time that is not negative", block.line)
        self.trace.waited += wait / 1000 if self.view.dwell_is_milliseconds else wait

    # Offsets (3.5.18)

    def _rename(self, block: Block) -> None:
        if not block.has("XYZ"):
            refuse_at("G92 needs an axis word", block.line)
        now = {"X": self.trace.at[0], "Y": self.trace.at[1], "Z": self.z}
        for axis, value in now.items():
            if axis in block.words:
                if math.isinf(value):
                    refuse_at("G92 Z before Z is known", block.line)
                self.offset[axis] = value - block.words[axis] * self.unit
        self.kept_offset = dict(self.offset)

    def _set_offsets(self, block: Block) -> None:
        if 921 in block.g or 922 in block.g:
            self.offset = dict.fromkeys("XYZ", 0.0)
            if 921 in block.g:
                self.kept_offset = dict(self.offset)
        elif 923 in block.g:
            self.offset = dict(self.kept_offset)

    # The cloth

    def _advance_cloth(self, block: Block) -> bool:
        """Move the cloth where the line says so; tell whether it does."""
        view = self.view
        letter, code = view.cloth_letter, view.cloth_code
        if not letter or (letter not in block.words if code is None else code not in block.m):
            return False
        if block.has("XYZABCIJKR".replace(letter, "")):
            refuse_at("the cloth and the tool move at once", block.line)
        if letter not in block.words:
            refuse_at(f"M{code} needs {letter}, how far the cloth moves", block.line)
        if code is None:
            self._need_straight(block)
        told = block.words[letter] * self.unit * view.cloth_sign
        is_total = view.cloth_totals if code is not None else not self.is_relative
        self.trace.advance(told - self.trace.advanced if is_total else told, block.line)
        return True

    def _need_straight(self, block: Block) -> None:
        if self.motion not in (0, 10):
            refuse_at("the cloth moves by G0 or G1 only", block.line)
        if self.motion == 10:
            self._need_feed(block)

    # Moves

    def _move(self, block: Block) -> None:
        if 920 in block.g or not block.has("XYZABC"):
            needs = [code for code in block.g if code in MOTION - {800}]
            if needs and 920 not in block.g:
                refuse_at(f"G{needs[0] / 10:g} without an axis word", block.line)
            if block.has("IJKR"):
                refuse_at("I, J, K or R without a place to go to", block.line)
            return
        if self.motion == 800:
            refuse_at("axis words after G80", block.line)
        is_home_based = 530 in block.g
        if is_home_based and self.motion not in (0, 10):
            refuse_at("G53 goes with G0 and G1 only", block.line)
        if self.motion != 0:
            self._need_feed(block)
        to, z = self._target(block, is_home_based)
        joints = [(to, 0.0)] if self.motion in (0, 10) else self._arc(block, to)
        angle = self._angle(block)
        angles = (self.angle, angle) if self.view.turning_axes else None
        self.angle = angle
        self._go(joints, angles, z, block.line)

    def _angle(self, block: Block) -> float:
        """Give where the turning axis goes, degrees; it takes no part in offsets (3.5.18)."""
        for letter in self.view.turning_axes:
            if letter in block.words:
                word = block.words[letter]
                return self.angle + word if self.is_relative else word
        return self.angle

    def _need_feed(self, block: Block) -> None:
        if self.is_inverse_time and "F" not in block.words:
            refuse_at("G93 needs F on every line that cuts", block.line)
        if self.feed == 0:
            refuse_at("a cutting move before any feed (F)", block.line)

    def _target(self, block: Block, is_home_based: bool) -> tuple[Spot, float]:
        now = {"X": self.trace.at[0], "Y": self.trace.at[1], "Z": self.z}
        found = {}
        for axis, value in now.items():
            word = block.words.get(axis)
            if word is None:
                found[axis] = value
            elif is_home_based:
                found[axis] = word * self.unit
            elif self.is_relative:
                if math.isinf(value):
                    refuse_at("a relative Z before Z is known", block.line)
                found[axis] = value + word * self.unit
            else:
                found[axis] = word * self.unit + self.offset[axis]
        return (found["X"], found["Y"]), found["Z"]

    def _go(
        self,
        joints: list[tuple[Spot, float]],
        angles: tuple[float, float] | None,
        z: float,
        line: int,
    ) -> None:
        """Move; a move that begins or ends in the cloth cuts all the way."""
        if not self.by_code and min(self.z, z) < self.view.surface - _SLACK:
            self.trace.lower(line)
        self.trace.run(joints, angles)
        self.z = z
        self._by_height(line)

    def _by_height(self, line: int) -> None:
        if self.by_code:
            return
        if self.z < self.view.surface - _SLACK:
            self.trace.lower(line)
        else:
            self.trace.lift()

    def _arc(self, block: Block, to: Spot) -> list[tuple[Spot, float]]:
        if not block.has("XY"):
            refuse_at("an arc needs X or Y", block.line)
        is_clockwise = self.motion == 20
        if "R" in block.words:
            if block.has("IJK"):
                refuse_at("an arc takes R or I and J, not both", block.line)
            return self._arc_by_radius(block, to, is_clockwise)
        if not block.has("IJ") or "K" in block.words:
            refuse_at("an arc in XY needs I or J, and no K", block.line)
        start = self.trace.at
        center = (
            start[0] + block.words.get("I", 0.0) * self.unit,
            start[1] + block.words.get("J", 0.0) * self.unit,
        )
        radius0, radius1 = math.dist(start, center), math.dist(to, center)
        allowed = _RADIUS_MM if self.unit == 1.0 else _RADIUS_IN * _INCH
        if abs(radius0 - radius1) > allowed + _SLACK:
            refuse_at(
                f"the arc's radius is {radius0:.4f} mm at its start and {radius1:.4f} at its end",
                block.line,
                f"They may differ by {allowed:g} mm.",
            )
        if min(radius0, radius1) == 0:
            refuse_at("an arc of radius 0", block.line)
        return bulged(start, to, center, _sweep(start, to, center, is_clockwise))

    def _arc_by_radius(
        self, block: Block, to: Spot, is_clockwise: bool
    ) -> list[tuple[Spot, float]]:
        start, radius = self.trace.at, block.words["R"] * self.unit
        half = math.dist(start, to) / 2
        if half == 0:
            refuse_at("an arc by R that ends where it starts", block.line)
        if half > abs(radius) + (_RADIUS_MM if self.unit == 1.0 else _RADIUS_IN * _INCH):
            refuse_at("R is too small to reach the arc's end", block.line)
        # 3.5.3.1: + for at most half a turn, − for more.
        turn = 2 * math.asin(min(half / abs(radius), 1.0))
        if radius < 0:
            turn = 2 * math.pi - turn
        lift = half / math.tan(turn / 2)
        sign = -1.0 if is_clockwise else 1.0
        ux, uy = (to[0] - start[0]) / (2 * half), (to[1] - start[1]) / (2 * half)
        center = (
            (start[0] + to[0]) / 2 - sign * lift * uy,
            (start[1] + to[1]) / 2 + sign * lift * ux,
        )
        return bulged(start, to, center, sign * turn)

    def _stop(self, block: Block) -> bool:
        if not {2, 30} & set(block.m):
            return False
        if 5 in self.view.lift_codes or 9 in self.view.lift_codes:
            self.trace.lift()  # the end turns the spindle and the coolant off (3.6.1)
        return True


def _sweep(start: Spot, end: Spot, center: Spot, is_clockwise: bool) -> float:
    """Give the turn from ``start`` to ``end``; none at all means a whole turn (3.5.3.2)."""
    first = math.atan2(start[1] - center[1], start[0] - center[0])
    last = math.atan2(end[1] - center[1], end[0] - center[0])
    turn = (first - last if is_clockwise else last - first) % (2 * math.pi)
    if turn < 1e-12:
        turn = 2 * math.pi
    return -turn if is_clockwise else turn
