"""Any machine file as something to look at, by its language alone or as a profile's machine has it.

Part of the pipeline: it joins ``replay`` and ``look``, which do not know each other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

import numpy as np

from cutpath.errors import InputError, Source, reading
from cutpath.geometry.chain import Chain
from cutpath.geometry.transform import identity
from cutpath.look.playing import ClothMove, Hand, played
from cutpath.look.scene import Layer, Style, Timeline, View, layer_of
from cutpath.moves import Reading
from cutpath.planning import Request
from cutpath.proving import machine_to_bed, on_bed
from cutpath.reading_back import simulated
from cutpath.replay.gcode import read_rs274
from cutpath.replay.hpgl import read_hpgl, read_hpgl2
from cutpath.replay.on_cloth import merged
from cutpath.settings.profile import Profile, load_profile

_MACHINE_FILES: Mapping[str, Callable[[bytes], Reading]] = {
    ".plt": read_hpgl2, ".hpgl": read_hpgl2, ".hpg": read_hpgl2, ".hgl": read_hpgl2,
    ".nc": read_rs274, ".ngc": read_rs274, ".gcode": read_rs274, ".tap": read_rs274,
    ".cnc": read_rs274,
}  # fmt: skip


def is_machine_file(path: Path) -> bool:
    """Tell a machine file by its ending."""
    return path.suffix.lower() in _MACHINE_FILES


def file_view(request: Request) -> View:
    """Show a machine file; where ``request`` names its machine, as that takes it.

    Raises InputError for what cannot be read.
    """
    path = request.source
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError(
            f"this file cannot be read: {error.strerror}", Source(file=str(path))
        ) from error
    profile = load_profile(request.machine) if request.machine else None
    with reading(path.name):
        read = _plain(path, data) if profile is None else _done(data, profile)
    names = {} if profile is None else {t.number: n for n, t in profile.tools.items()}
    layers = [*_tool_layers(read, names), travel_layer(read.travel)]
    facts = _facts(read, names)
    if read.strokes:
        timeline = _in_time(read, profile)
        facts = (*facts, ("Time", _time_words(timeline, profile)))
        return View(path.name, tuple(layers), (), facts, timeline)
    return View(path.name, tuple(layers), (), facts)


def _done(data: bytes, profile: Profile) -> Reading:
    """Give what the machine does of its file, with its faults, on the bed."""
    return on_bed(simulated(data, profile).real, profile)


def _plain(path: Path, data: bytes) -> Reading:
    """Read by the language alone. Raises InputError that offers to name the machine."""
    reader = _MACHINE_FILES[path.suffix.lower()]
    try:
        return reader(data)
    except InputError as error:
        if reader is read_hpgl2:
            try:
                return read_hpgl(data)
            except InputError:
                pass
        hint = "If its machine has words of its own, name it: --on PROFILE."
        raise InputError(error.message, error.source, f"{error.remedy} {hint}".strip()) from error


def hands_of(profile: Profile) -> dict[int, Hand]:
    """Give how the machine moves each of its tools, by their numbers."""
    return {
        tool.number: Hand(name, profile.kinematics(name)) for name, tool in profile.tools.items()
    }


def cloth_moves(read: Reading, profile: Profile) -> Iterator[ClothMove]:
    """Give when the cloth moves on, and how far the head gets on it, in bed coordinates."""
    run = np.array([1.0, 0.0] if profile.bed.runs_right else [0.0, 1.0])
    for each in merged(read.advances):
        far = each.distance * profile.compensation.advance_scale
        yield ClothMove(each.strokes, far * run, profile.advance_time(far))


def _in_time(read: Reading, profile: Profile | None) -> Timeline:
    if profile is None:
        return played(read, identity(), {}, np.zeros(2))
    start = machine_to_bed(profile)[:, 2]
    return played(read, identity(), hands_of(profile), start, [*cloth_moves(read, profile)])


def _time_words(timeline: Timeline, profile: Profile | None) -> str:
    if profile is None:
        return "estimated by common speeds: the file's machine is not known"
    return f"about {float(timeline.seconds[-1]) / 60:.1f} min on {profile.name}"


def _tool_layers(read: Reading, names: Mapping[int, str]) -> Iterator[Layer]:
    for tool in dict.fromkeys(stroke.tool for stroke in read.strokes):
        name = names.get(tool, f"tool {tool}")
        chains = [stroke.chain for stroke in read.strokes if stroke.tool == tool]
        words = [f"{name}, stroke {number + 1}" for number in range(len(chains))]
        yield layer_of(name, Style.KNIFE, chains, words)


def travel_layer(chains: Sequence[Chain]) -> Layer:
    """Show travel, which is not seen until it is asked for."""
    words = ["travel, tool up"] * len(chains)
    return layer_of("travel", Style.TRAVEL, chains, words, is_on=False)


def _facts(read: Reading, names: Mapping[int, str]) -> tuple[tuple[str, str], ...]:
    end = "up" if read.is_up_at_end else "DOWN"
    tools = [names.get(tool, str(tool)) for tool in dict.fromkeys(read.selected)]
    frames = len([*merged(read.advances)]) + 1
    return (
        ("Strokes", f"{len(read.strokes)}"),
        ("Tools", ", ".join(tools) or "not named"),
        *((("Frames", f"{frames}, the cloth moved on between"),) if frames > 1 else ()),
        ("At the end", f"tool {end}"),
    )
