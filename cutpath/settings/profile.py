"""Machine profiles: found by name or file, extended, checked."""

from __future__ import annotations

from importlib import resources
from pathlib import Path
from typing import Any

from cutpath.errors import InputError, Source
from cutpath.settings.profile_advance import Advance
from cutpath.settings.profile_bed import Bed, Direction, Origin
from cutpath.settings.profile_compensation import Compensation
from cutpath.settings.profile_link import Flow, Link, Way, split_address
from cutpath.settings.profile_motion import Motion
from cutpath.settings.profile_output import LineEnding, Output
from cutpath.settings.profile_schema import (
    DEFAULT_SPEED,
    Language,
    Profile,
    ProfileNotches,
)
from cutpath.settings.profile_tools import Tool
from cutpath.settings.toml_file import checked, line_of, nearest_word, parsed, read_text

__all__ = [
    "DEFAULT_SPEED",
    "Advance",
    "Bed",
    "Compensation",
    "Direction",
    "Flow",
    "Language",
    "LineEnding",
    "Link",
    "Motion",
    "Origin",
    "Output",
    "Profile",
    "ProfileNotches",
    "Tool",
    "Way",
    "load_profile",
    "profile_of_text",
    "shipped_profiles",
    "split_address",
]


def shipped_profiles() -> dict[str, Path]:
    """Give the profiles that come with cutpath, by name, in order."""
    package = Path(str(resources.files("cutpath")))
    folders = (package / "_profiles", package.parent / "profiles")  # installed; in a checkout
    folder = next((folder for folder in folders if folder.is_dir()), None)
    return {path.stem: path for path in sorted(folder.glob("*.toml"))} if folder else {}


def load_profile(name_or_path: str | Path) -> Profile:
    """Read a profile by the name of one that comes with cutpath, or by its file.

    Raises InputError for an unknown name (told with the known ones), and for every mistake in the
    file or in what it extends.
    """
    path = _found(name_or_path, Path())
    return profile_of_text(read_text(path), path)


def profile_of_text(text: str, path: Path) -> Profile:
    """Read a profile that says ``text`` and stands, or will stand, at ``path``.

    Raises InputError as ``load_profile`` does.
    """
    return checked(_with_parents(path, text, ()), text, path.name, Profile)


def _found(name: str | Path, beside: Path, source: Source | None = None) -> Path:
    shipped = shipped_profiles()
    if str(name) in shipped:
        return shipped[str(name)]
    path = beside / name
    if path.is_file():
        return path
    if isinstance(name, Path) or path.suffix == ".toml":
        raise InputError(
            f"there is no profile file '{name}'", source, nearest_word(path.stem, shipped)
        )
    raise InputError(f"there is no profile '{name}'", source, nearest_word(str(name), shipped))


def _with_parents(path: Path, text: str, below: tuple[Path, ...]) -> dict[str, Any]:
    """Give what the file says, laid over what it extends; each parent is checked by itself."""
    said = parsed(text, path.name)
    parent = said.get("extends")
    if not isinstance(parent, str):
        return said
    place = Source(file=path.name, line=line_of(text, ("extends",)), key="extends")
    parent_path = _found(parent, path.parent, place)
    chain = (*below, path.resolve())
    if parent_path.resolve() in chain:
        raise InputError(
            f"'{parent}' extends this profile again", place, "Let one of them extend nothing."
        )
    parent_text = read_text(parent_path)
    base = _with_parents(parent_path, parent_text, chain)
    checked(base, parent_text, parent_path.name, Profile)
    return _laid_over(base, said, place, text)


def _laid_over(
    base: dict[str, Any], said: dict[str, Any], place: Source, text: str
) -> dict[str, Any]:
    tools = dict(base["tools"])
    without = said.get("without", [])
    for name in without if isinstance(without, list) else []:
        if name not in tools:
            source = Source(file=place.file, line=line_of(text, ("without",)), key="without")
            raise InputError(
                f"there is no tool '{name}' to leave out", source, nearest_word(str(name), tools)
            )
        del tools[name]
    return _merged({**base, "tools": tools, "without": []}, said)


def _merged(base: dict[str, Any], said: dict[str, Any]) -> dict[str, Any]:
    """Lay tables into tables; any other value replaces the one below."""
    out = dict(base)
    for key, value in said.items():
        below = out.get(key)
        both = isinstance(value, dict) and isinstance(below, dict)
        out[key] = _merged(below, value) if both and isinstance(below, dict) else value
    return out
