"""The drawings on a pattern's page: the pattern as it lies on the bed, and how to read it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from reportlab.lib import colors
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from cutpath.bench.pattern_model import Gauge, Inset, Label, Pattern
from cutpath.geometry.chain import Chain, circle
from cutpath.geometry.measure import bounds
from cutpath.geometry.points import Floats, Point
from cutpath.geometry.transform import Matrix, compose, scaling, transformed, translation
from cutpath.model import Role
from cutpath.pdf_paths import BOLD, SANS, add_chain

INK, SOFT, RULE = (colors.HexColor(c) for c in ("#161616", "#5b5b5b", "#b9b9b9"))
_MARK = colors.HexColor("#1f5fa8")
_LETTER = 7.5
_SMALLEST = 4.0
"""pt; smaller words of the pattern are left out."""
_ALONG = 0.3
"""Where on a length its letter stands, of the whole."""
_NAME = 4.0
"""mm; labels as high as this name a place, and are always drawn."""
_BAND = 17 * mm
"""Below the pattern, for its axes and its measure."""
_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)


class Plan(Flowable):
    """The whole pattern, to scale, with letters where to measure and the machine's axes."""

    def __init__(self, pattern: Pattern, axes: Floats, size: tuple[float, float]) -> None:
        super().__init__()
        self.pattern, self.axes = pattern, axes
        self.width, self.height = size
        self.box = _box_of(pattern)
        wide, high = self.box[2] - self.box[0], self.box[3] - self.box[1]
        room = (self.width - 14 * mm, self.height - _BAND - 8 * mm)
        self.scale = min(room[0] / max(wide, 1.0), room[1] / max(high, 1.0), mm)
        self.height = min(self.height, high * self.scale + _BAND + 8 * mm)

    @property
    def ratio(self) -> float:
        """How many mm of the bed one mm of the page stands for."""
        return mm / self.scale

    def draw(self) -> None:
        """Draw strokes, then marks and letters over them."""
        x0, y0, x1, y1 = self.box
        matrix = compose(
            translation(self.width / 2, (_BAND + self.height) / 2),
            scaling(self.scale),
            translation(-(x0 + x1) / 2, -(y0 + y1) / 2),
        )
        canvas: Canvas = self.canv
        for index, frame in enumerate(self.pattern.frames):
            for role in Role:
                chains = [
                    transformed(stroke.chain, matrix)
                    for stroke in frame.strokes if stroke.role is role
                ]  # fmt: skip
                _strokes(canvas, chains, _weight(role), INK if index == 0 else SOFT)
            for label in frame.labels:
                size = max(label.height * self.scale, _LETTER if label.height >= _NAME else 0.0)
                if size >= _SMALLEST:
                    self._label(canvas, label, matrix, min(size, 9.0))
        for gauge in self.pattern.gauges:
            self._gauge(canvas, gauge, matrix)
        self._axes(canvas)
        self._bar(canvas)

    def _label(self, canvas: Canvas, label: Label, matrix: Matrix, size: float) -> None:
        """Write a label; the name of a place stands clear of the lines that meet there."""
        at = _moved(label.at, matrix)
        if label.outside and label.height * self.scale < _SMALLEST:
            out = at - np.array([self.width, _BAND + self.height]) / 2
            size = _LETTER
            at = at + 3.4 * mm * np.where(np.abs(out) < 8 * mm, 0.5, np.sign(out))
        _word(canvas, label.text, at, size, halo=False)

    def _gauge(self, canvas: Canvas, gauge: Gauge, matrix: Matrix) -> None:
        ends = [_moved(end, matrix) for end in gauge.ends]
        canvas.setStrokeColor(_MARK)
        canvas.setLineWidth(0.5)
        if len(ends) == 2:
            canvas.setDash(2, 2)
            canvas.line(*ends[0].tolist(), *ends[1].tolist())
            canvas.setDash()
        if gauge.spot is not None:
            spot = _moved(gauge.spot, matrix)
        else:
            # Where lines cross in the middle their letters are apart.
            spot = ends[0] + _ALONG * (ends[-1] - ends[0])
        if len(ends) == 1 and gauge.told is None and gauge.asked == "mm":
            x, y = ends[0].tolist()
            canvas.circle(x, y, 1.4 * mm, stroke=1, fill=0)
        _word(canvas, gauge.letter, spot, _LETTER, colour=_MARK)

    def _axes(self, canvas: Canvas) -> None:
        """Draw where the machine's +x and +y go, as the operator sees the bed."""
        foot = np.array([4 * mm, 4 * mm])
        foot += np.array([max(-self.axes[0, k] - self.axes[1, k], 0) * 8 * mm for k in (0, 1)])
        canvas.setStrokeColor(INK)
        canvas.setFillColor(INK)
        canvas.setLineWidth(0.7)
        for name, way in zip("xy", self.axes, strict=True):
            tip = foot + 9 * mm * way
            canvas.line(*foot.tolist(), *tip.tolist())
            side = np.array([-way[1], way[0]])
            for sign in (1, -1):
                back = tip - 2.2 * mm * way + sign * 0.9 * mm * side
                canvas.line(*tip.tolist(), *back.tolist())
            _word(canvas, name, tip + 2.2 * mm * way, 8, halo=False)

    def _bar(self, canvas: Canvas) -> None:
        size = max((step for step in _STEPS if step * self.scale <= 45 * mm), default=1)
        right, y = self.width - 3 * mm, 5 * mm
        left = right - size * self.scale
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.7)
        canvas.line(left, y, right, y)
        canvas.line(left, y - 3, left, y + 3)
        canvas.line(right, y - 3, right, y + 3)
        _word(canvas, f"{size} mm on the bed", np.array([(left + right) / 2, y - 8]), 7, halo=False)
        canvas.setFont(SANS, 7)
        canvas.setFillColor(SOFT)
        canvas.drawCentredString((16 * mm + left) / 2, 1.2 * mm, "the operator stands here")


class Reading(Flowable):
    """An inset: how to read, fitted to ``width`` points, at most ``height``."""

    def __init__(self, inset: Inset, width: float, height: float) -> None:
        super().__init__()
        self.inset = inset
        boxes = [bounds(chain) for chain in (*inset.thin, *inset.heavy)]
        boxes += [(x - 3, y - 1.5, x + 3, y + 2.5) for _, x, y in inset.words]
        self.box = _union(boxes)
        wide, high = self.box[2] - self.box[0], self.box[3] - self.box[1]
        self.scale = min(width / wide, height / high)
        self.width, self.height = width, high * self.scale

    def draw(self) -> None:
        """Draw thin lines, heavy lines and words."""
        x0, y0, x1, _ = self.box
        matrix = compose(
            translation(self.width / 2, 0), scaling(self.scale), translation(-(x0 + x1) / 2, -y0)
        )
        canvas: Canvas = self.canv
        for chains, weight in ((self.inset.thin, 0.5), (self.inset.heavy, 1.1)):
            _strokes(canvas, [transformed(chain, matrix) for chain in chains], weight, INK)
        for text, x, y in self.inset.words:
            _word(canvas, text, _moved(np.array([x, y]), matrix), 6.5, halo=False)


def _weight(role: Role) -> float:
    return 0.45 if role is Role.PEN else 0.9


def _strokes(canvas: Canvas, chains: Sequence[Chain], weight: float, colour: colors.Color) -> None:
    if not chains:
        return
    canvas.setStrokeColor(colour)
    canvas.setLineWidth(weight)
    canvas.setLineCap(1)
    path = canvas.beginPath()
    for chain in chains:
        is_hit = math.dist(*bounds_corners(chain)) < 1e-9
        add_chain(path, circle(chain.first, 1.8) if is_hit else chain)
    canvas.drawPath(path, stroke=1, fill=0)


def bounds_corners(chain: Chain) -> tuple[tuple[float, float], tuple[float, float]]:
    """Give the two opposite corners of a chain's box."""
    x0, y0, x1, y1 = bounds(chain)
    return (x0, y0), (x1, y1)


def _word(
    canvas: Canvas, text: str, at: Point, size: float, *, halo: bool = True,
    colour: colors.Color = INK,
) -> None:  # fmt: skip
    """Write ``text`` about ``at``, on white where lines would run through it."""
    font = BOLD if halo else SANS
    x, y = float(at[0]), float(at[1])
    if halo:
        wide = stringWidth(text, font, size)
        canvas.setFillColor(colors.white)
        canvas.rect(x - wide / 2 - 1, y - size * 0.5, wide + 2, size * 1.0, stroke=0, fill=1)
    canvas.setFillColor(colour)
    canvas.setFont(font, size)
    canvas.drawCentredString(x, y - size * 0.36, text)


def _moved(at: Point, matrix: Matrix) -> Point:
    found: Point = matrix[:, :2] @ at + matrix[:, 2]
    return found


def _box_of(pattern: Pattern) -> tuple[float, float, float, float]:
    boxes = [bounds(stroke.chain) for frame in pattern.frames for stroke in frame.strokes]
    spots = [label.at for frame in pattern.frames for label in frame.labels]
    spots += [gauge.spot for gauge in pattern.gauges if gauge.spot is not None]
    boxes += [(float(x), float(y), float(x), float(y)) for x, y in spots]
    return _union(boxes)


def _union(
    boxes: Sequence[tuple[float, float, float, float]],
) -> tuple[float, float, float, float]:
    found = np.array(boxes)
    low, high = found[:, :2].min(axis=0), found[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
