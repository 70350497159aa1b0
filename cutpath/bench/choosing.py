"""Which of a machine's tools makes which part of a pattern."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.errors import InputError, MachineError
from cutpath.model import Role
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.profile import Language, Profile, Tool

LINES = (Role.PEN, Role.KNIFE, Role.HOT)
"""Roles of tools that leave a line, the finest first."""
CUTS = (Role.KNIFE, Role.HOT)


class CannotError(MachineError):
    """The machine lacks what a pattern needs."""


def tools_of(profile: Profile, roles: Sequence[Role]) -> list[str]:
    """Give the names of the profile's tools of these ``roles``, in the order of the roles."""
    return [name for role in roles for name, tool in profile.tools.items() if tool.role is role]


def pen_of(profile: Profile) -> str:
    """Give the name of its pen; "" where there is none."""
    return next(iter(tools_of(profile, [Role.PEN])), "")


def chosen(profile: Profile, asked: str, roles: Sequence[Role], words: str) -> str:
    """Give the tool that was ``asked`` for, or the first of ``roles``.

    Raises InputError for a name that the profile does not have or whose work is another,
    CannotError where the machine has no such tool; ``words`` say what is needed.
    """
    found = tools_of(profile, roles)
    if asked and asked not in profile.tools:
        raise InputError(
            f"'{profile.name}' has no tool '{asked}'", remedy=nearest_word(asked, found)
        )
    if not found:
        raise CannotError(f"it needs {words}")
    if asked and asked not in found:
        raise InputError(
            f"the tool '{asked}' is a {profile.tools[asked].role}, and this pattern needs {words}",
            remedy=f"Choose one of: {', '.join(found)}.",
        )
    return asked or found[0]


def lifts_by_height(profile: Profile, tool: Tool) -> bool:
    """Tell whether the file says how high the tool is lifted."""
    return profile.language is Language.RS274 and not tool.lift
