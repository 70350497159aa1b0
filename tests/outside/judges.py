"""Foreign judges of what machines are told: interpreters that this project did not write."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from ezdxf.addons.hpgl2 import api as hpgl2_judge
from ezdxf.npshapes import NumpyPoints2d
from numpy.typing import NDArray


@dataclass(frozen=True)
class Verdict:
    """What the RS274/NGC interpreter said: its canonical commands, or why it refused."""

    accepted: bool
    commands: tuple[tuple[str, tuple[float, ...]], ...]
    complaint: str


_COMMAND = re.compile(r"^\s*\d+\s+N\S*\s+(\w+)\((.*)\)\s*$")
_NUMBER = re.compile(r"[-+]?\d+\.?\d*")


def rs274_command() -> tuple[list[str], dict[str, str]]:
    """Give the interpreter's command and environment; skip the test when it is not there."""
    folder = os.environ.get("CUTPATH_RS274")
    environment = dict(os.environ)
    if folder:
        root = Path(folder)
        libraries = [root / "usr/lib", *sorted((root / "usr/lib").glob("*-linux-gnu"))]
        environment["LD_LIBRARY_PATH"] = ":".join(str(path) for path in libraries)
        return [str(root / "usr/bin/rs274")], environment
    found = shutil.which("rs274")
    if found is None:
        pytest.skip("no rs274: set CUTPATH_RS274 to the folder .ci/install_judges filled")
    return [found], environment


def judge_rs274(program: bytes, folder: Path) -> Verdict:
    """Run ``program`` through the interpreter in ``folder``, an empty place for its files."""
    command, environment = rs274_command()
    (folder / "tools.tbl").write_text(
        "".join(f"T{n} P{n} Z0 D1\n" for n in range(1, 10)), encoding="ascii"
    )
    (folder / "program.ngc").write_bytes(program)
    done = subprocess.run(
        [*command, "-g", "-t", "tools.tbl", "program.ngc"],
        cwd=folder, env=environment, stdin=subprocess.DEVNULL, capture_output=True, text=True,
        check=False, timeout=120,
    )  # fmt: skip
    commands = []
    for row in done.stdout.splitlines():
        match = _COMMAND.match(row)
        if match:
            numbers = tuple(float(number) for number in _NUMBER.findall(match[2]))
            commands.append((match[1], numbers))
    return Verdict(done.returncode == 0, tuple(commands), done.stderr.strip())


def judge_hpgl2(data: bytes) -> list[NDArray[np.float64]]:
    """Give the polylines, in plotter units, that ezdxf's HP-GL/2 reader sees in ``data``."""
    # Its reader only wakes on the switch into the language; points come in plotter units.
    player = hpgl2_judge.record_plotter_output(
        b"\x1b%1B" + data, merge_control=hpgl2_judge.MergeControl.NONE
    )
    return [
        np.array([(vertex.x, vertex.y) for vertex in shape.vertices()])
        for _, _, shape in player.recordings()
        if isinstance(shape, NumpyPoints2d)
    ]
