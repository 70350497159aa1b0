"""Contradictions about what a file counts in, its words, and the machine's measured faults."""

from __future__ import annotations

from collections.abc import Iterator

from cutpath.settings.contradiction import Contradiction
from cutpath.settings.profile_output import Output
from cutpath.settings.profile_schema import Language, Profile
from cutpath.units import MM_PER

_RADIUS_RULE = {"mm": 0.002, "in": 0.0002 * MM_PER["in"]}
"""mm that the radii at an arc's two ends may differ by (NISTIR 6556, 3.5.3.2)."""


def number_contradictions(profile: Profile, step: float) -> Iterator[Contradiction]:
    """Give what contradicts itself about the file's numbers and words; ``step`` mm of them."""
    output = profile.output
    if profile.language is not Language.RS274:
        usual = Output()
        for key in ("units", "modes", "dwell", "finish", "tool_change"):
            if getattr(output, key) != getattr(usual, key):
                yield Contradiction(
                    f"output.{key}",
                    f"{key} is for RS274, and this machine is spoken to in {profile.language}",
                    f"Leave out {key}; HP-GL counts what units_per_mm says.",
                )
        return
    rule = _RADIUS_RULE[output.units]
    if output.arcs and step > 2 * rule:
        yield Contradiction(
            "output.decimals",
            f"an arc may be {rule:g} mm off in its radius, and the file counts in steps of "
            f"{step:g} mm: most would go out as chords",
            "Write more decimals if the control reads them, or leave out arcs.",
        )


def fault_contradictions(profile: Profile, step: float) -> Iterator[Contradiction]:
    """Give what contradicts itself about play and offsets; ``step`` mm of the file's numbers."""
    for key in ("x_backlash", "y_backlash"):
        play = getattr(profile.compensation, key)
        if 0 < play < step:
            yield Contradiction(
                f"compensation.{key}",
                f"a play of {play:g} mm is less than the file's step of {step:g} mm, and cannot be "
                "taken up",
                f"Leave out {key}, or write finer numbers if the machine counts finer.",
            )
    yield from _offsets(profile)


def _offsets(profile: Profile) -> Iterator[Contradiction]:
    tools, margin = profile.tools, profile.bed.margin
    if all(any(tool.offset) for tool in tools.values()):
        yield Contradiction(
            f"tools.{next(iter(tools))}.offset",
            "every tool lands beside the place told, so that none can be measured from",
            "Give the tool that the others are measured from no offset.",
        )
    for name, tool in tools.items():
        far = max(map(abs, tool.offset))
        if far > margin:
            yield Contradiction(
                f"tools.{name}.offset",
                f"it lands up to {far:g} mm aside, and pieces are laid up to {margin:g} mm from "
                "the bed's edges: its carriage cannot follow there",
                f"Make the bed's margin {far:g} mm or more.",
            )
