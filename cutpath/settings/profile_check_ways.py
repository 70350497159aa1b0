"""Contradictions about what a machine does besides cutting: cloth, tools' changes, and its link."""

from __future__ import annotations

from collections.abc import Iterator

from cutpath.settings.contradiction import Contradiction
from cutpath.settings.profile_link import Flow, Way
from cutpath.settings.profile_schema import Language, Profile


def cloth_contradictions(profile: Profile, step: float) -> Iterator[Contradiction]:
    """Give what contradicts itself about cloth that the machine moves; ``step`` mm of its file."""
    how, bed = profile.advance, profile.bed
    if how is None:
        if profile.compensation.advance_scale != 1.0:
            yield Contradiction(
                "compensation.advance_scale",
                "it says how far the cloth really advances, but the machine moves no cloth",
                "Add [advance] with its lines, or leave out advance_scale.",
            )
        return
    along = bed.width if bed.runs_right else bed.height
    if how.longest is not None and how.longest > along:
        yield Contradiction(
            "advance.longest",
            f"one advance may be {how.longest:g} mm, and the bed is {along:g} mm along the cloth: "
            "what passes in one go beyond that never lies on it",
            "Make longest as long as the bed at most.",
        )
    if how.tolerance < step:
        yield Contradiction(
            "advance.tolerance",
            f"the file counts in steps of {step:g} mm, coarser than {how.tolerance:g} mm",
            "Raise tolerance, or units_per_mm (RS274: decimals) if the machine counts finer.",
        )


def change_contradictions(profile: Profile) -> Iterator[Contradiction]:
    """Give what contradicts itself about picking and turning tools."""
    is_rs274 = profile.language is Language.RS274
    if is_rs274 and len(profile.tools) > 1 and not profile.output.tool_change:
        yield Contradiction(
            "output.tool_change",
            f"it has {len(profile.tools)} tools and no line that changes them: all would be done "
            "with the one in hand",
            'Say how: tool_change = ["T{number} M6"]; or leave all tools out but one.',
        )
    axis = profile.motion.turning_axis
    if axis and not any(tool.turned for tool in profile.tools.values()):
        yield Contradiction(
            "motion.turning_axis",
            f"axis {axis} turns blades, but no tool is turned",
            "Write turned = true for the tool that it turns, or leave turning_axis out.",
        )


def link_contradictions(profile: Profile) -> Iterator[Contradiction]:
    """Give what contradicts itself between the file and the way to the machine."""
    link, output = profile.link, profile.output
    if link.flow is Flow.LINE_REPLY and link.way is Way.FOLDER:
        yield Contradiction(
            "link.flow",
            "each line is answered, but a folder takes whole files and answers nothing",
            'Write way = "serial" or "tcp" and where it is; or flow = "plain" for a folder.',
        )
    elif link.flow is Flow.LINE_REPLY:
        yield from _answered(profile)
    is_narrow = link.way is Way.SERIAL and link.bits == 7
    if profile.language is Language.HPGL2 and output.base == 64 and is_narrow:
        yield Contradiction(
            "output.base",
            "moves are encoded in 8 bits (base 64), and the serial line carries 7",
            "Write base = 32, or bits = 8 in [link] if the machine can be set so.",
        )
    if profile.language is Language.RS274 and link.flow is Flow.SPACE:
        yield Contradiction(
            "link.flow",
            "buffer space is asked for by an instruction of HP-GL, which this machine lacks",
            'Choose flow = "line reply", "xon-xoff" or "hardware", as its manual says.',
        )


def _answered(profile: Profile) -> Iterator[Contradiction]:
    """Lines that are answered one by one: each must be a line, and fit into the buffer whole."""
    link, output = profile.link, profile.output
    if profile.language is not Language.RS274:
        yield Contradiction(
            "link.flow",
            f"each line is answered, but {profile.language} has no lines",
            'Choose flow = "xon-xoff", "hardware", "enquire" or "buffer space".',
        )
        return
    if output.comments:
        yield Contradiction(
            "output.comments",
            "comments go to a controller that answers line by line, and fill its buffer of "
            f"{link.buffer} bytes",
            "Write comments = false.",
        )
    ending = len(output.line_ending.characters) or 1
    if output.longest_line + ending > link.buffer:
        yield Contradiction(
            "output.longest_line",
            f"a line may have {output.longest_line} characters and its end, and the controller's "
            f"buffer holds {link.buffer} bytes",
            f"Make longest_line {link.buffer - ending} at most, as the controller's manual says.",
        )
