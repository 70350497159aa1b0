"""The long search for a shorter lay: the packing library in a child process, behind one seam.

The library runs by the clock, so what it finds is kept in a file and used again; its answer is
only taken where it is better than the quick layer's.
"""

from __future__ import annotations

import contextlib
import importlib.util
import json
import math
import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any

import numpy as np

from cutpath.geometry.nofit import PER_MM
from cutpath.laid import Place, Stock
from cutpath.lay.shapes import EDGE, SLACK, Shape

Told = Callable[[float], None]
"""Told the length of each better packing, mm, and now and then the same again."""

_GRACE = 5.0
"""Seconds that the library may run over its time before it is ended."""
_TICK = 0.25


def is_there() -> bool:
    """Tell whether the packing library is installed."""
    return importlib.util.find_spec("spyrrow") is not None


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """Shapes for one new roll: ``gap`` mm between them."""

    shapes: Sequence[Shape]
    stock: Stock
    number: int
    gap: float


def search(
    task: Task, seconds: int, told: Told, seeds: Sequence[int] = (0,)
) -> tuple[Place, ...] | None:
    """Look for ``seconds`` for the shortest lay of ``task``; None when nothing was found.

    One search begins at each of ``seeds``, side by side; they share the processors.
    KeyboardInterrupt ends the search early and is not passed on: the best found is given, and
    ``told`` hears a NaN.
    Needs ``is_there()``.
    """
    groups = _groups(task.shapes)
    best: dict[str, Any] | None = None
    try:
        for found in _running(_texts(task, groups, seconds, seeds), seconds):
            if found is not None and (best is None or found["width"] < best["width"]):
                best = found
            told(best["width"] - task.gap if best else math.inf)
    except KeyboardInterrupt:
        told(math.nan)
    return None if best is None else _places(task, groups, best["places"])


def _groups(shapes: Sequence[Shape]) -> list[list[Shape]]:
    """Put like shapes together: the library is quicker with few kinds."""
    groups: dict[int, list[Shape]] = {}
    for shape in shapes:
        groups.setdefault(id(shape.poses), []).append(shape)
    return list(groups.values())


def _pad(task: Task) -> float:
    return task.gap / 2 + SLACK


def processors() -> int:
    """Give how many searches can run side by side."""
    return os.cpu_count() or 1


def _texts(
    task: Task, groups: Sequence[Sequence[Shape]], seconds: int, seeds: Sequence[int]
) -> list[str]:
    """Give what each child is told: the same task, another seed."""
    items = []
    for group in groups:
        first = group[0].poses[0]
        turns = [math.degrees(pose.turn - first.turn) for pose in group[0].poses]
        outline = (first.outline.path / PER_MM).tolist()
        items.append({"outline": outline, "turns": turns, "count": len(group)})
    height = task.stock.high - task.stock.low + 2 * _pad(task) + EDGE
    workers = max(processors() // len(seeds), 1)
    said = {"items": items, "height": height, "seconds": seconds, "workers": workers}
    return [json.dumps({**said, "seed": seed}) for seed in seeds]


def _running(texts: Sequence[str], seconds: int) -> Iterator[dict[str, Any] | None]:
    """Run a child for each text; yield what they find, and None at every tick.

    They are ended on the way out.
    """
    lines: SimpleQueue[str | None] = SimpleQueue()
    children: list[subprocess.Popen[str]] = []
    readers: list[threading.Thread] = []
    try:
        for text in texts:
            children.append(_child())
            readers.append(threading.Thread(target=_read, args=(children[-1], lines), daemon=True))
            readers[-1].start()
            _tell(children[-1], text)
        yield from _heard(lines, len(children), time.monotonic() + seconds + _GRACE)
    finally:
        for child in children:
            child.kill()
            child.wait()
        for reader in readers:
            reader.join()


def _heard(
    lines: SimpleQueue[str | None], running: int, until: float
) -> Iterator[dict[str, Any] | None]:
    while running and time.monotonic() < until:
        try:
            line = lines.get(timeout=_TICK)
        except Empty:
            yield None
            continue
        if line is None:
            running -= 1
        else:
            yield json.loads(line)


def _child() -> subprocess.Popen[str]:
    root = str(Path(__file__).parents[2])
    path = os.pathsep.join(part for part in (root, os.environ.get("PYTHONPATH", "")) if part)
    return subprocess.Popen(
        [sys.executable, "-m", "cutpath.lay.solver"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env={**os.environ, "PYTHONPATH": path},
        start_new_session=True,  # Ctrl-C is ours to handle
    )


def _tell(child: subprocess.Popen[str], text: str) -> None:
    assert child.stdin is not None
    with contextlib.suppress(BrokenPipeError):  # the library could not even be loaded
        child.stdin.write(text)
        child.stdin.close()


def _read(child: subprocess.Popen[str], lines: SimpleQueue[str | None]) -> None:
    assert child.stdout is not None
    for line in child.stdout:
        if line.endswith("\n"):
            lines.put(line)
    child.stdout.close()
    lines.put(None)


def _places(
    task: Task, groups: Sequence[Sequence[Shape]], rows: Sequence[Sequence[float]]
) -> tuple[Place, ...] | None:
    """Turn the library's answer into places; None when it is not whole."""
    waiting = [list(group) for group in groups]
    places = []
    for group, x, y, degrees in rows:
        if not waiting[int(group)]:
            return None
        shape = waiting[int(group)].pop(0)
        places.append(_place(task, shape, (x, y), math.radians(degrees)))
    if any(waiting):
        return None
    # The pieces come out in the library's order; ours is that of the shapes.
    by_name = {place.piece: place for place in places}
    return tuple(by_name[shape.piece] for shape in task.shapes)


def _place(task: Task, shape: Shape, at: tuple[float, float], turned: float) -> Place:
    first = shape.poses[0]
    pose = min(shape.poses, key=lambda pose: abs(math.sin((pose.turn - first.turn - turned) / 2)))
    cos, sin = math.cos(pose.turn - first.turn), math.sin(pose.turn - first.turn)
    outline = first.outline.path @ np.array([[cos, sin], [-sin, cos]])
    # Both outlines are the same shape, so their least corners tell the shift between them.
    shift = (outline.min(axis=0) - pose.outline.box[:2]) / PER_MM
    stock, pad = task.stock, _pad(task)
    x = max(at[0] + float(shift[0]) - pad, 0.0)
    y = at[1] + float(shift[1]) + stock.low - pad
    y = max(min(y, stock.high + EDGE - pose.width), stock.low)
    return Place(shape.piece, task.number, pose.turn, x, y)
