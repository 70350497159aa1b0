"""What a profile says that cannot hold together, each with its mend.

The schema refuses what no machine can do; here stands what one may write, and would regret.
"""

from __future__ import annotations

from collections.abc import Iterator

from cutpath.model import Role
from cutpath.settings.contradiction import Contradiction
from cutpath.settings.profile_check_faults import fault_contradictions, number_contradictions
from cutpath.settings.profile_check_ways import (
    change_contradictions,
    cloth_contradictions,
    link_contradictions,
)
from cutpath.settings.profile_schema import Language, Profile
from cutpath.units import MM_PER


def contradictions(profile: Profile) -> tuple[Contradiction, ...]:
    """Give what contradicts itself in ``profile``, in the order of its tables; () when nothing."""
    checks = (_numbers, _places, _tolerances, _heat, _leads, change_contradictions)
    found = [found for check in checks for found in check(profile)]
    for measured in (cloth_contradictions, number_contradictions, fault_contradictions):
        found += measured(profile, smallest_step(profile))
    return (*found, *link_contradictions(profile))


def smallest_step(profile: Profile) -> float:
    """Give the step of the numbers in its files, mm."""
    output = profile.output
    if profile.language is Language.RS274:
        return float(MM_PER[output.units] * 10.0**-output.decimals)
    bits = output.fraction_bits if profile.language is Language.HPGL2 else 0
    return float(1.0 / (output.units_per_mm * 2**bits))


def _numbers(profile: Profile) -> Iterator[Contradiction]:
    if profile.language is Language.RS274:
        return
    output = profile.output
    far = max(abs(value) for value in profile.reach())
    if far * output.units_per_mm > output.largest_number:
        yield Contradiction(
            "output.largest_number",
            f"the bed reaches {far:g} mm from the origin, but the largest number "
            f"{output.largest_number} ends at {output.largest_number / output.units_per_mm:.1f} mm",
            'Make the bed smaller, set origin = "middle", or raise largest_number '
            "if the machine's manual gives a larger one.",
        )


def _places(profile: Profile) -> Iterator[Contradiction]:
    bed = profile.bed
    for name in ("begin", "rest"):
        place = getattr(profile.order, name)
        if place is None:
            continue
        if not (0 <= place[0] <= bed.width and 0 <= place[1] <= bed.height):
            yield Contradiction(
                f"order.{name}",
                f"({place[0]:g}, {place[1]:g}) mm is beyond the bed of "
                f"{bed.width:g} by {bed.height:g} mm",
                "Give a place on the bed, from the operator's near left corner.",
            )


def _tolerances(profile: Profile) -> Iterator[Contradiction]:
    step, output = smallest_step(profile), profile.output
    for name, tool in profile.tools.items():
        if step > tool.tolerance:
            yield Contradiction(
                f"tools.{name}.tolerance",
                f"the file counts in steps of {step:g} mm, coarser than {tool.tolerance:g} mm",
                "Raise tolerance, or units_per_mm (RS274: decimals) if the machine counts finer.",
            )
        stray = output.fit_tolerance + output.chord_tolerance
        if stray >= tool.tolerance:
            yield Contradiction(
                f"tools.{name}.tolerance",
                f"curves may stray {stray:g} mm (fit_tolerance and chord_tolerance), "
                f"which leaves nothing of {tool.tolerance:g} mm",
                "Lower fit_tolerance and chord_tolerance, or raise tolerance.",
            )


def _leads(profile: Profile) -> Iterator[Contradiction]:
    for name, tool in profile.tools.items():
        if tool.lead_in and not {Role.KNIFE, Role.HOT} & set(tool.roles):
            yield Contradiction(
                f"tools.{name}.lead_in",
                f"a {tool.role} cuts nothing that could begin in the waste",
                "Leave out lead_in.",
            )
        elif tool.lead_in > profile.bed.margin:
            yield Contradiction(
                f"tools.{name}.lead_in",
                f"cuts begin {tool.lead_in:g} mm off their pieces, which may lie "
                f"{profile.bed.margin:g} mm from the bed's edge",
                "Make margin in [bed] larger, or lead_in shorter.",
            )


def _heat(profile: Profile) -> Iterator[Contradiction]:
    hot = [name for name, tool in profile.tools.items() if tool.role is Role.HOT]
    if hot and not any("PVC" in caution for caution in profile.cautions):
        yield Contradiction(
            "cautions",
            f"tool '{hot[0]}' is hot, but no caution keeps it from PVC, "
            "which gives off hydrogen chloride when heated",
            "Add a caution: never PVC, PVC-coated or unknown cloth under the hot tool.",
        )
