"""The form: every reading in it, several patterns in one, and nothing that was measured is lost."""

import tomllib
from pathlib import Path

import pytest

from cutpath.bench.catalogue import CATALOGUE, make_pattern, patterns_for
from cutpath.bench.form import part_of, with_part
from cutpath.bench.pattern_model import Pattern, Wish
from cutpath.errors import InputError
from cutpath.settings.measured_file import read_measured
from cutpath.settings.profile import load_profile, shipped_profiles

DIGEST = "d" * 64


def _pattern(name: str, machine: str = "gantry-hot-rs274", **wish: object) -> Pattern:
    return make_pattern(name, load_profile(machine), Wish(**wish))  # type: ignore[arg-type]


def _with(form: str, pattern: Pattern, digest: str = DIGEST) -> str:
    return with_part(form, pattern, "mine.toml", digest, "measured.toml")


@pytest.mark.parametrize("machine", sorted(shipped_profiles()))
def test_every_form_is_read_by_the_fit_as_unmeasured(machine: str, tmp_path: Path) -> None:
    profile = load_profile(machine)
    form = ""
    for name in patterns_for(profile):
        form = with_part(form, make_pattern(name, profile, Wish()), machine, DIGEST, "m.toml")
    path = tmp_path / "measured.toml"
    path.write_text(form, encoding="utf-8")
    read = read_measured(path)
    assert (read.profile, read.digest) == (machine, DIGEST)
    assert [made.entry.name for made in read.patterns] == list(patterns_for(profile))
    assert not any(made.readings or made.words for made in read.patterns)


@pytest.mark.parametrize("name", list(CATALOGUE))
def test_a_part_holds_every_reading_and_what_was_told(name: str) -> None:
    pattern = _pattern(name)
    said = tomllib.loads(part_of(pattern))["pattern"][0]
    for gauge in pattern.gauges:
        readings, told = said["readings"], said["told"]
        if gauge.tool:
            readings, told = readings[gauge.tool], told[gauge.tool]
        assert not readings[gauge.key]
        assert (gauge.key in told) == (gauge.told is not None)


def test_a_second_pattern_goes_into_the_same_form() -> None:
    first = _with("", _pattern("scale"))
    filled = first.replace('near = ""', 'near = "3101.2 mm"').replace("# of one", "# mine, of one")
    both = _with(filled, _pattern("backlash"))
    assert both.startswith(filled.rstrip("\n"))
    assert [part["name"] for part in tomllib.loads(both)["pattern"]] == ["scale", "backlash"]


def test_making_a_pattern_again_keeps_what_was_measured() -> None:
    filled = _with("", _pattern("repeat")).replace('spread_x = ""', 'spread_x = "0.1 mm"')
    assert _with(filled, _pattern("repeat")) == filled


def test_a_pattern_made_otherwise_takes_the_place_of_one_that_was_not_measured() -> None:
    form = _with(_with("", _pattern("scale")), _pattern("repeat"))
    other = _with(form, _pattern("scale", size=(500.0, 400.0)))
    parts = tomllib.loads(other)["pattern"]
    assert [part["name"] for part in parts] == ["scale", "repeat"]
    assert parts[0]["size"] == ["500 mm", "400 mm"]


def test_a_measured_pattern_is_never_written_over() -> None:
    filled = _with("", _pattern("scale")).replace('left = ""', 'left = "1701 mm"')
    with pytest.raises(InputError, match="was measured here, and is now made otherwise") as caught:
        _with(filled, _pattern("scale", size=(500.0, 400.0)))
    assert "--out" in caught.value.remedy


def test_a_form_of_another_profile_is_refused() -> None:
    form = _with("", _pattern("scale"))
    with pytest.raises(InputError, match="belongs to another profile"):
        _with(form, _pattern("repeat"), "e" * 64)


def test_a_broken_form_is_told_and_kept() -> None:
    with pytest.raises(InputError, match="cannot be read") as caught:
        _with('digest = "\n', _pattern("scale"))
    assert caught.value.source.file == "measured.toml"
