"""Runs to send: small jobs whose bytes and strokes are known exactly."""

from __future__ import annotations

import random
from typing import Any

import numpy as np

from cutpath.geometry.chain import polyline
from cutpath.model import Feature, Role, Toolpath
from cutpath.run_model import Run, RunStroke
from cutpath.settings.profile import Profile

_OUTPUT = {
    "hp-gl": {"end": ["PU0,0;", "SP0;"], "line_ending": "none"},
    "rs274": {"end": ["G0 X0 Y0"]},
}
_TOOLS = {
    "hp-gl": {"knife": {"role": "knife", "number": 1, "speed": 300, "tolerance": 0.2}},
    "rs274": {
        "knife": {
            "role": "knife", "number": 1, "speed": 150, "plunge_speed": 20, "depth": 1.5,
            "tolerance": 0.2,
        }
    },
}  # fmt: skip


def profile_with(language: str = "hp-gl", **link: Any) -> Profile:
    """Give a profile with this link."""
    return Profile.model_validate(
        {
            "name": "table",
            "language": language,
            "bed": {"width": 3200, "height": 1800},
            "output": _OUTPUT[language],
            "tools": _TOOLS[language],
            "link": link,
        }
    )


def a_run(profile: Profile, strokes: int = 6, vertices: int = 6, seed: int = 1) -> Run:
    """Give a run of ``strokes`` whose every instruction is unlike all others."""
    luck = random.Random(seed)
    is_lines = profile.language == "rs274"
    data = bytearray(b"G17 G40 G90 G94\nG21\n" if is_lines else b"IN;PA;SP1;")
    made, spot = [], 0
    for number in range(strokes):
        first = len(data)
        points = []
        for _ in range(vertices):
            spot += 1
            points.append((spot % 3000 + luck.random(), luck.randrange(1500) + spot / 1e3))
        data += (_lines if is_lines else _plot)(points)
        path = Toolpath(
            Role.KNIFE, Feature.OUTLINE, f"piece {number // 2 + 1}", polyline(np.array(points))
        )
        made.append(RunStroke(path, "knife", first, len(data), 2.0 * (number + 1)))
    data += b"G0 X0 Y0\nM2\n" if is_lines else b"PU0,0;SP0;"
    pieces = tuple(dict.fromkeys(stroke.toolpath.piece for stroke in made))
    return Run(
        "job.ngc" if is_lines else "job.plt", "job", "table", profile, "cloth", "", pieces,
        tuple(made), 2.0 * strokes + 1, bytes(data),
    )  # fmt: skip


def _plot(points: list[tuple[float, float]]) -> bytes:
    pairs = [f"{round(40 * x)},{round(40 * y)}" for x, y in points]
    return ("PU" + pairs[0] + ";" + "".join(f"PD{pair};" for pair in pairs[1:]) + "PU;").encode()


def _lines(points: list[tuple[float, float]]) -> bytes:
    words = [f"X{x:.4f} Y{y:.4f}" for x, y in points]
    cut = "".join(f"G1 {word}\n" for word in words[1:])
    mark = f"{points[0][1]:.4f}".replace(".", "")
    return f"G0 {words[0]}\nG1 Z-1.{mark} F1200\n{cut}G0 Z5.{mark}\n".encode()
