"""What is sent after a job that ends early, so that the tool comes up and the machine rests."""

from __future__ import annotations

from cutpath.run_model import Run
from cutpath.settings.profile import Language, Output, Profile, Tool

_MM_IN_INCH = 25.4


def end_of_instruction(run: Run, byte: int) -> int:
    """Give the first place from ``byte`` on where an instruction has just ended.

    Half an instruction would be obeyed with half of its last number.
    """
    if byte in {0, run.preamble} or is_between_strokes(run, byte):
        return byte
    closes = b"\n" if run.profile.language is Language.RS274 else b";"
    return run.data.find(closes, max(0, byte - 1)) + 1 or len(run.data)


def is_between_strokes(run: Run, byte: int) -> bool:
    """Tell whether a stroke ends before ``byte``, and nothing of the next was sent."""
    number = run.stroke_at(byte)
    return 0 < number <= len(run.strokes) and run.strokes[number - 1].last == byte


def end_of_stroke(run: Run, byte: int) -> int:
    """Give the first place from ``byte`` on where the tool is up between strokes."""
    if byte in {0, run.preamble} or is_between_strokes(run, byte):
        return byte
    number = run.stroke_at(byte)
    if number < 0:
        return run.preamble
    return run.strokes[number].last if number < len(run.strokes) else len(run.data)


def early_ending(run: Run, byte: int, *, was_reset: bool = False) -> bytes:
    """Give the bytes that lift the tool of ``byte``'s stroke, and end the file as its profile says.

    After a reset the modes of the file are told again.
    """
    profile = run.profile
    if profile.language is not Language.RS274:
        lines = ["PU;", *profile.output.end]
        ending = profile.output.line_ending.characters
    else:
        lines = _modes(profile.output) if was_reset else []
        lines += _lift(profile, _tool_at(run, byte))
        lines += [*profile.output.end, profile.output.finish]
        ending = profile.output.line_ending.characters or "\n"
    return "".join(line + ending for line in lines).encode("ascii")


def _tool_at(run: Run, byte: int) -> Tool | None:
    number = min(run.stroke_at(byte), len(run.strokes) - 1)
    return run.profile.tools[run.strokes[number].tool] if number >= 0 else None


def _modes(output: Output) -> list[str]:
    return [output.modes, "G21" if output.units == "mm" else "G20"]


def _lift(profile: Profile, tool: Tool | None) -> list[str]:
    if tool is not None and tool.lift:
        return list(tool.lift)
    output = profile.output
    height = output.surface + output.travel_height
    if output.units == "in":
        height /= _MM_IN_INCH
    number = f"{height:.{output.decimals}f}".rstrip("0").rstrip(".")
    return [f"G0 Z{number}"]
