"""What a profile says about one tool, in plain words."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cutpath.settings.profile_schema import Profile
from cutpath.settings.profile_tools import Tool


def tool_lines(tool: Tool, profile: Profile) -> Iterator[str]:
    """Give sentences about ``tool`` of ``profile``: work, lowering, leading, corners, heat."""
    yield _work(tool)
    yield _pressed(tool)
    yield from _led(tool, profile)
    yield from _corners(tool)
    yield from _holes(tool)
    yield from _heat(tool)
    yield f"What it makes may stray {tool.tolerance:g} mm before the proof fails."
    if any(tool.offset):
        x, y = tool.offset
        yield f"It lands {x:g}, {y:g} mm beside the place that is told; files make up for it."


def _work(tool: Tool) -> str:
    if tool.only:
        return f"Does {tool.role}, but nothing else of it than: {', '.join(tool.only)}."
    others = f", and stands in for {' and '.join(tool.stands_in)}" if tool.stands_in else ""
    return f"Does {tool.role}{others}."


def _pressed(tool: Tool) -> str:
    speed = f"at {tool.speed:g} mm/s" if tool.speed else "at the machine's own speed"
    parts = [f"Works {speed}"]
    if tool.force is not None:
        parts.append(f"force {tool.force} of the machine's own steps")
    if tool.lower:
        parts.append(f"lowered by {' / '.join(tool.lower)}, lifted by {' / '.join(tool.lift)}")
    elif tool.depth is not None:
        slow = f" at {tool.plunge_speed:g} mm/s" if tool.plunge_speed else ""
        parts.append(f"lowered {tool.depth:g} mm below the surface{slow}")
    if tool.dwell:
        parts.append(f"waits {tool.dwell:g} s once it is down")
    return ", ".join(parts) + "."


def _led(tool: Tool, profile: Profile) -> Iterator[str]:
    if tool.blade_offset:
        yield (
            f"Its tip trails by {tool.blade_offset:g} mm, the holder is led so that the tip keeps "
            f"to the line; before the first cut the blade points {_degrees(tool.first_heading)} "
            "from +x."
        )
    if tool.turned:
        yield f"Axis {profile.motion.turning_axis} turns its blade along the line."
    if tool.lead_in:
        speed = f" at {tool.lead_speed:g} mm/s" if tool.lead_speed else ""
        yield f"A closed cut begins {tool.lead_in:g} mm off its piece, in the waste{speed}."
    if tool.overcut:
        yield f"Closed cuts run {tool.overcut:g} mm past their start."
    if tool.kerf:
        yield f"It takes away {tool.kerf:g} mm; half of it is kept beside closed lines."


def _corners(tool: Tool) -> Iterator[str]:
    if tool.lift_angle is not None:
        yield f"It lifts at corners that turn more than {_degrees(tool.lift_angle)}."
    if tool.least_radius:
        yield f"Curves tighter than {tool.least_radius:g} mm are cut in straight parts."
    if tool.overlap:
        yield f"Where it lifts it cuts {tool.overlap:g} mm past the corner, in the waste."


def _holes(tool: Tool) -> Iterator[str]:
    if tool.diameter is None:
        return
    if tool.hole is not None and tool.hole > tool.diameter:
        yield f"{tool.diameter:g} mm wide, it nibbles holes of {tool.hole:g} mm by many hits."
    else:
        yield f"It makes holes of {tool.diameter:g} mm."


def _heat(tool: Tool) -> Iterator[str]:
    if tool.cool_time:
        yield (
            f"Of its cuts, those nearer than {tool.heat_distance:g} mm are {tool.cool_time:g} s "
            "apart, to cool."
        )
    for fibre, own in tool.fibres.items():
        parts = [f"{own.speed:g} mm/s"] if own.speed is not None else []
        parts += [f"a wait of {own.dwell:g} s"] if own.dwell is not None else []
        yield f"On {fibre}: {', '.join(parts) or 'as on others'}."


def _degrees(radians: float) -> str:
    return f"{math.degrees(radians):g}°"
