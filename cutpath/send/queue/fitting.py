"""What is refused before the queue takes it."""

from __future__ import annotations

from cutpath.errors import InputError, MachineError, Source
from cutpath.run_model import Run
from cutpath.send.queue.values import Job
from cutpath.settings.profile import Profile, Tool


def require_between(value: int, least: int, most: int, what: str) -> None:
    """Raise InputError for a number out of range."""
    if not least <= value <= most:
        raise InputError(f"{what} is {value}", Source(key=what), f"Choose from {least} to {most}.")


def wrong_state(job: Job, how: str, remedy: str) -> InputError:
    """Give the error of a wish that does not go with a job's state."""
    return InputError(f"job {job.number} ({job.file}) {how}", remedy=remedy)


def require_same_machine(run: Run, profile: Profile, lane: str) -> None:
    """Raise MachineError where ``run`` was written for a machine other than the lane's.

    Language, bed, numbers, its faults and where its tools cut must be the same; speeds and the link
    need not.
    """
    mine, theirs = profile, run.profile
    used = {stroke.tool for stroke in run.strokes}
    tools = [{name: _place(each.tools.get(name)) for name in used} for each in (mine, theirs)]
    differs = [
        words
        for words, is_same in (
            ("language", mine.language == theirs.language),
            ("bed", mine.bed == theirs.bed),
            ("output", mine.output == theirs.output),
            ("compensation", mine.compensation == theirs.compensation),
            ("tools", tools[0] == tools[1]),
        )
        if not is_same
    ]
    if differs:
        raise MachineError(
            f"{run.name} was written for '{theirs.name}', which is not the machine of '{lane}' "
            f"({', '.join(differs)} differ)",
            Source(file=run.name),
            "Cut the job again for this machine, or choose the machine it was written for.",
        )


def _place(tool: Tool | None) -> tuple[object, ...]:
    """Give what decides where a tool cuts, and by which number it is picked."""
    if tool is None:
        return ()
    return tool.number, tool.blade_offset, tool.offset, tool.kerf, tool.depth
