"""The magnified picture of where one machine file strays most from its lines.

Part of the pipeline: it joins ``replay`` and ``sheet``, which do not know each other.
"""

from __future__ import annotations

from cutpath.proving import Written
from cutpath.settings.profile import Profile
from cutpath.sheet.tip_picture import TipPicture, draw_tip_picture


def draw_tip(written: Written, profile: Profile, title: str) -> str | None:
    """Give the picture of the tool that strains its tolerance most; None where nothing is cut."""
    worst = written.proof.worst
    if worst is None or worst.worst_at is None:
        return None
    number = worst.asked.number
    tool = next((tool for tool in profile.tools.values() if tool.number == number), None)
    tips = written.proof.tips.strokes
    offset = tool.blade_offset if tool else 0.0
    holder = written.proof.holders.strokes if offset else ()
    picture = TipPicture(
        title=f"{title}: {worst.asked.name}",
        asked=worst.asked.chains,
        tip=[stroke.chain for stroke in tips if stroke.tool == number],
        holder=[stroke.chain for stroke in holder if stroke.tool == number],
        offset=offset,
        at=worst.worst_at,
        deviation=min(worst.deviation, worst.asked.tolerance * 100),
        tolerance=worst.asked.tolerance,
    )
    return draw_tip_picture(picture)
