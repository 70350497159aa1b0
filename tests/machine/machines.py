"""Small profiles for the tests of the machine stage."""

from typing import Any

from cutpath.geometry.chain import Chain
from cutpath.model import Feature, Role, Toolpath
from cutpath.settings.profile import Profile


def profile(
    language: str = "hp-gl",
    *,
    output: dict[str, Any] | None = None,
    bed: dict[str, Any] | None = None,
    knife: dict[str, Any] | None = None,
) -> Profile:
    """A bare machine with one knife: no start or end text, no compensation."""
    tool: dict[str, Any] = {"role": "knife", "number": 1}
    if language == "rs274":
        tool |= {"speed": 100, "depth": 1}
    return Profile.model_validate(
        {
            "name": "bare",
            "language": language,
            "bed": {"width": 2000, "height": 1000} | (bed or {}),
            "output": output or {},
            "tools": {"knife": tool | (knife or {})},
        }
    )


def cut(chain: Chain, role: Role = Role.KNIFE) -> Toolpath:
    """A toolpath along ``chain`` for a piece called front."""
    return Toolpath(role, Feature.OUTLINE, "front", chain)
