"""Profiles: found, extended, and every mistake told."""

import hashlib
import re
from pathlib import Path

import pytest

from cutpath.errors import InputError, MachineError
from cutpath.model import Role
from cutpath.settings.profile import Flow, Way, load_profile, shipped_profiles

BARE = """
name = "bare"
language = "{language}"
[bed]
width = "2 m"
height = 1000
[tools.knife]
role = "knife"
number = 1
"""


def written(folder: Path, text: str, name: str = "mine.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_every_shipped_profile_is_sound() -> None:
    names = set(shipped_profiles())
    assert {"flatbed-hpgl", "flatbed-hpgl2", "gantry-rs274", "paper-plotter"} <= names
    for name in names:
        profile = load_profile(name)
        assert profile.cautions
        assert profile.has_tool_for(Role.KNIFE) or profile.has_tool_for(Role.HOT)
        assert profile.kind


def test_shipped_profiles_name_no_real_place() -> None:
    """Placeholders only: addresses kept for documents (RFC 5737: 192.0.2.0/24), no folder."""
    for name in shipped_profiles():
        link = load_profile(name).link
        assert not link.folder
        assert not link.address or link.address.startswith("192.0.2.")


def test_shipped_profiles_show_every_way_and_flow() -> None:
    links = [load_profile(name).link for name in shipped_profiles()]
    assert {link.way for link in links} == set(Way)
    assert {link.flow for link in links} == set(Flow)


def test_an_unknown_name_tells_the_nearest_and_the_others() -> None:
    with pytest.raises(InputError, match="flatbed-hpgll") as caught:
        load_profile("flatbed-hpgll")
    assert "Did you mean 'flatbed-hpgl'" in caught.value.remedy
    assert "paper-plotter" in caught.value.remedy


def test_a_profile_extends_another(tmp_path: Path) -> None:
    text = 'extends = "flatbed-hpgl"\nname = "mine"\n[tools.knife]\nblade_offset = "1 mm"\n'
    mine, theirs = load_profile(written(tmp_path, text)), load_profile("flatbed-hpgl")
    assert mine.tools["knife"].blade_offset == 1.0
    assert mine.tools["knife"].overcut == theirs.tools["knife"].overcut
    assert mine.bed == theirs.bed
    assert mine.digest() != theirs.digest()


def test_a_profile_extends_a_file_beside_it_and_leaves_a_tool_out(tmp_path: Path) -> None:
    written(tmp_path, 'extends = "flatbed-hpgl"\nname = "parent"\n', "parent.toml")
    child = written(tmp_path, 'extends = "parent.toml"\nname = "child"\nwithout = ["drill"]\n')
    assert not load_profile(child).has_tool_for(Role.DRILL)


def test_a_circle_of_profiles_is_told(tmp_path: Path) -> None:
    written(tmp_path, 'extends = "b.toml"\nname = "a"\n', "a.toml")
    path = written(tmp_path, 'extends = "a.toml"\nname = "b"\n', "b.toml")
    with pytest.raises(InputError, match="extends this profile again"):
        load_profile(path)


def test_a_profile_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no profile file"):
        load_profile(tmp_path / "nothing.toml")


@pytest.mark.parametrize(
    ("language", "more", "message", "remedy"),
    [
        ("hp-gl", "speeed = 3", r"mine.toml:10, tools.knife.speeed: unknown key", "'speed'"),
        ("hpgl", "", r":3, language: 'hpgl'", "'hp-gl'"),
        ("hp-gl", "dwell = 1", "no instruction to wait", "dwell"),
        ("hp-gl", "depth = 1", "lowers tools by itself", "depth"),
        ("rs274", "depth = 1", "needs a speed", "speed"),
        ("rs274", "speed = 10", "cannot be lowered", "depth"),
        ("hp-gl", "blade_offset = 1\nlift_angle = 30", "cannot turn in the air", "lift_angle"),
        ("hp-gl", '[tools.pen]\nrole = "pen"\nnumber = 1', "two tools have the number", "one"),
        ("hp-gl", '[tools.other]\nrole = "knife"\nnumber = 2', "two tools have the role", "one"),
        ("hp-gl/2", "[output]\narcs = true", "no arcs", "arcs = false"),
        ("hp-gl/2", "[output]\nbase = 16", "base 64 and base 32", ""),
        ("hp-gl", '[output]\nstart = ["µ;"]', "cannot be sent", "ASCII"),
        ("hp-gl", '[output]\ntool_change = ["T{n}"]', "cannot be filled in", "{number}"),
        ("rs274", 'speed = 9\ndepth = 1\n[output]\nend = ["(sure?)"]', "act on at once", ""),
    ],
)
def test_mistakes_are_told_with_what_is_right(
    tmp_path: Path, language: str, more: str, message: str, remedy: str
) -> None:
    path = written(tmp_path, BARE.format(language=language) + more + "\n")
    with pytest.raises(InputError) as caught:
        load_profile(path)
    assert re.search(message, str(caught.value))
    assert remedy in str(caught.value)


def test_axes_along_one_line_are_no_plane(tmp_path: Path) -> None:
    text = BARE.format(language="hp-gl").replace("[bed]", '[bed]\nx = "away"\ny = "near"')
    with pytest.raises(InputError, match="along one line"):
        load_profile(written(tmp_path, text))


def test_a_role_without_a_tool_is_the_machines_fault() -> None:
    with pytest.raises(MachineError, match="no tool for the role 'drill'"):
        load_profile("paper-plotter").tool_name_for(Role.DRILL)


def test_the_digest_is_the_same_every_time() -> None:
    digest = load_profile("gantry-rs274").digest()
    assert digest == load_profile("gantry-rs274").digest()
    assert len(digest) == hashlib.sha256().digest_size * 2
