"""Invented jobs of canvas panels for benchmarks of laying, and open strip-packing instances."""

from __future__ import annotations

import json
import math
import random
from pathlib import Path

import numpy as np

from cutpath.geometry.chain import Chain, make_chain, polyline
from cutpath.model import Piece
from tests.path.placed import box, piece

DATA = Path(__file__).parents[3] / "shared/data/lay"
"""Open strip-packing sets, where somebody put them: ESICUP's, as JSON with item outlines."""
OPEN_SETS = ("albano", "dagli", "marques", "shirts", "swim", "trousers")
WIDTH = 1500.0


def canvas_job(count: int, seed: int) -> list[Piece]:
    """Give ``count`` panels of a hooped shelter's kinds: tops, sides, strips, gussets, flaps."""
    chance = random.Random(seed)
    kinds = (_top, _side, _strip, _gusset, _flap)
    return [
        piece(f"panel {number + 1}", kinds[number % len(kinds)](chance)) for number in range(count)
    ]


def _top(chance: random.Random) -> Chain:
    length, width, lean = (
        chance.uniform(900, 1900),
        chance.uniform(500, 1000),
        chance.uniform(20, 90),
    )
    corners = [(0, 0), (length, 0), (length - lean, width), (lean, width)]
    return make_chain(corners, [-0.05, 0, 0.06, 0], closed=True)


def _side(chance: random.Random) -> Chain:
    length, high, low = (
        chance.uniform(600, 1000),
        chance.uniform(500, 800),
        chance.uniform(350, 480),
    )
    return make_chain(
        [(0, 0), (length, 30), (length, low), (0, high)], [0.03, 0, 0.08, 0], closed=True
    )


def _strip(chance: random.Random) -> Chain:
    return box(0, 0, chance.uniform(900, 2200), chance.uniform(70, 160))


def _gusset(chance: random.Random) -> Chain:
    length, width = chance.uniform(300, 700), chance.uniform(150, 380)
    return make_chain(
        [(0, 0), (length, 0), (chance.uniform(0, 100), width)], [0, 0.1, 0], closed=True
    )


def _flap(chance: random.Random) -> Chain:
    length, width = chance.uniform(350, 800), chance.uniform(200, 420)
    r = min(60.0, width / 4)
    b = math.tan(math.pi / 8)
    points = [
        (0, 0),
        (length, 0),
        (length, width - r),
        (length - r, width),
        (r, width),
        (0, width - r),
    ]
    return make_chain(points, [0, 0, b, 0, b, 0], closed=True)


def open_set(name: str) -> tuple[list[Piece], list[float]]:
    """Give pieces and turns, radians, of an open instance, scaled to cloth of ``WIDTH``."""
    data = json.loads((DATA / f"{name}.json").read_text(encoding="utf-8"))
    scale = WIDTH / data["strip_height"]
    pieces, turns = [], [0.0]
    for item in data["items"]:
        turns = [math.radians(turn) for turn in item["allowed_orientations"]]
        points = np.array(item["shape"]["data"], dtype=np.float64) * scale
        if (points[0] == points[-1]).all():
            points = points[:-1]
        for copy in range(item["demand"]):
            pieces.append(piece(f"{item['id']} {copy + 1}", polyline(points, closed=True)))
    return pieces, turns
