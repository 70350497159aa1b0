"""Machines with faults, and a forward model of them in a dozen lines of its own."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from hypothesis import strategies as st

from cutpath.geometry.chain import Chain, make_chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Floats
from cutpath.moves import Follow, Lower, Move, Travel
from cutpath.settings.profile import Compensation, Profile
from tests.machine.machines import profile

FAULTS: dict[str, dict[str, Any]] = {
    "stretched": {"x_scale": 1.004, "y_scale": 1.004},
    "unevenly stretched": {"x_scale": 1.003, "y_scale": 0.996},
    "leaning": {"skew": "0.7 deg"},
    "play": {"x_backlash": "0.4 mm", "y_backlash": "0.25 mm"},
    "all": {
        "x_scale": 0.997, "y_scale": 1.002, "skew": "-1.3 deg",
        "x_backlash": "0.3 mm", "y_backlash": "0.6 mm",
    },
}  # fmt: skip


def faulty(faults: dict[str, Any], said: Profile | None = None, **offsets: Any) -> Profile:
    """A profile with ``faults``, and ``offsets`` by tool name."""
    whole = said or profile("rs274", output={"arcs": True})
    tools = {
        name: tool.model_copy(update={"offset": offsets.get(name, tool.offset)})
        for name, tool in whole.tools.items()
    }
    compensation = Compensation.model_validate(faults)
    return whole.model_copy(update={"compensation": compensation, "tools": tools})


@st.composite
def all_faults(draw: st.DrawFn) -> dict[str, Any]:
    return {
        "x_scale": draw(st.floats(0.95, 1.05)),
        "y_scale": draw(st.floats(0.95, 1.05)),
        "skew": f"{draw(st.floats(-4, 4)):.4f} deg",
        "x_backlash": draw(st.sampled_from([0.0, 0.05, 0.3, 1.0])),
        "y_backlash": draw(st.sampled_from([0.0, 0.1, 0.5])),
    }


@st.composite
def chains(draw: st.DrawFn) -> Chain:
    """Open runs of lines and arcs, 20 to 60 mm from joint to joint, far inside the bed."""
    count = draw(st.integers(2, 7))
    corners = np.array([draw(st.tuples(st.floats(300, 700), st.floats(200, 500)))])
    for _ in range(count):
        angle, size = draw(st.floats(0, 2 * math.pi)), draw(st.floats(20, 60))
        step = size * np.array([math.cos(angle), math.sin(angle)])
        corners = np.concatenate([corners, corners[-1:] + step])
    bends = st.one_of(st.just(0.0), st.floats(0.05, 1.0), st.floats(-1.0, -0.05))
    return make_chain(corners, [draw(bends) for _ in range(count)])


def carried_out(moves: tuple[Move, ...], said: Profile, start: float = 0.0) -> list[Floats]:
    """Give each cut's points, as the model of the profile's faults makes them of told ``moves``.

    In small steps: the told place goes on by 0.02 mm at a time or less, and pushes the carriage.
    ``start`` is how far, in shares of half the play, the carriage is off at first.
    """
    faults = said.compensation
    a, b = faults.x_backlash / 2, faults.y_backlash / 2
    told, x, y = np.zeros(2), start * a, start * b
    cuts: list[list[tuple[float, float]]] = []
    for move in moves:
        if isinstance(move, Lower):
            cuts.append([(x, y)])
        if not isinstance(move, Travel | Follow):
            continue
        is_travel = isinstance(move, Travel)
        points = move.to[None] if isinstance(move, Travel) else flatten(move.chain, 1e-4).points[1:]
        for point in points:
            count = max(1, math.ceil(float(np.abs(point - told).max()) / 0.02))
            way = told + (point - told) * np.arange(1, count + 1)[:, None] / count
            for u, v in way.tolist():
                x, y = max(u - a, min(u + a, x)), max(v - b, min(v + b, y))
                if not is_travel:
                    cuts[-1].append((x, y))
            told = point
    lean = np.array(
        [
            [faults.x_scale, faults.y_scale * math.sin(faults.skew)],
            [0.0, faults.y_scale * math.cos(faults.skew)],
        ]
    )
    offset = next(iter(said.tools.values())).offset
    return [np.array(cut) @ lean.T + offset for cut in cuts]
