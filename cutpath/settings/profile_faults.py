"""What a profile must not ask of its tools, in words for the one who writes it."""

from __future__ import annotations

from collections.abc import Iterable

from cutpath.settings.profile_motion import Motion
from cutpath.settings.profile_tools import Tool


def no_twice(word: str, values: Iterable[object]) -> None:
    """Raise ValueError where two ``values`` are the same; ``word`` says what they are."""
    seen = set()
    for value in values:
        if value in seen:
            raise ValueError(f"two tools have the {word} '{value}'. Change it in one of them")
        seen.add(value)


def rs274_fault(tool: Tool, motion: Motion) -> str:
    """Say what RS274 cannot do of what ``tool`` asks for, with its mend; "" when all is well."""
    if tool.speed is None:
        return "rs274 needs a speed. Add speed = (mm/s)"
    if tool.depth is None and not tool.lower:
        return 'it cannot be lowered. Add depth = "… mm", or lower and lift lines'
    if tool.force is not None:
        return "rs274 has no word for force. Leave out force"
    if tool.turned and not motion.turning_axis:
        return 'it is turned by no axis. Add turning_axis = "A" in [motion], or leave out turned'
    return ""


def hpgl_fault(tool: Tool) -> str:
    """Say what HP-GL cannot do of what ``tool`` asks for, with its mend; "" when all is well."""
    if tool.dwell:
        return "HP-GL has no instruction to wait. Leave out dwell"
    if tool.cool_time:
        return "HP-GL has no instruction to wait. Leave out heat_distance and cool_time"
    if tool.turned:
        return "HP-GL has no word for turning a blade; the machine does it. Leave out turned"
    if tool.depth is not None or tool.plunge_speed is not None or tool.lower:
        return "HP-GL lowers tools by itself (PD). Leave out depth, plunge_speed, lower and lift"
    return ""
