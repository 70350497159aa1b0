"""Every form that a pattern comes with is one that the fit reads, with the same lengths in mind."""

import re
from pathlib import Path

import pytest

from cutpath.bench.catalogue import make_pattern, patterns_for
from cutpath.bench.fit.observing import observations
from cutpath.bench.fit.tuning import tune
from cutpath.bench.fit.unknowns import unknowns_of
from cutpath.bench.form import with_part
from cutpath.bench.pattern_model import Wish
from cutpath.settings.measured_file import Measured, read_measured
from cutpath.settings.profile import Profile, load_profile, shipped_profiles
from tests.bench.tuned_machines import old_profile


def _form(profile: Profile) -> str:
    text = ""
    for name in patterns_for(profile):
        pattern = make_pattern(name, profile, Wish())
        text = with_part(text, pattern, "the machine", profile.digest(), "measured.toml")
    return text


def _filled(form: str, folder: Path, key: str, value: str) -> None:
    """Write ``value`` into every reading that matches ``key``."""
    text = re.sub(rf'^({key}) = ""', rf'\1 = "{value}"', form, flags=re.MULTILINE)
    (folder / "measured.toml").write_text(text, encoding="utf-8")


def _read(folder: Path) -> Measured:
    return read_measured(folder / "measured.toml")


@pytest.fixture(params=[*shipped_profiles(), "tuned before"])
def profile(request: pytest.FixtureRequest, tmp_path: Path) -> Profile:
    return old_profile(tmp_path) if request.param == "tuned before" else load_profile(request.param)


def test_the_fit_knows_every_key_and_expects_what_was_told(
    profile: Profile, tmp_path: Path
) -> None:
    _filled(_form(profile), tmp_path, r"[a-z_]+\w*", "1 mm")
    measured = _read(tmp_path)
    assert [made.entry.name for made in measured.patterns] == list(patterns_for(profile))
    values = {name: each.told for name, each in unknowns_of(profile).items()}
    expected = {each.name: each.model(values) for each in observations(measured, profile, values)}
    for made in measured.patterns:
        told = made.entry.told
        rows = {
            f"{tool}.{key}" if tool else key: value
            for tool, table in [("", told), *((t, v) for t, v in told.items())]
            if isinstance(table, dict)
            for key, value in table.items()
            if not isinstance(value, dict)
        }
        for key, value in rows.items():
            if made.entry.name in {"blade", "repeat"}:
                continue  # told the pivot's circle, not the disc; a spread has no model
            name = f"{made.label}.{key}"
            assert expected[name] == pytest.approx(float(value.split()[0]), abs=6e-3), name


def test_an_empty_form_says_that_it_is_empty(profile: Profile, tmp_path: Path) -> None:
    (tmp_path / "measured.toml").write_text(_form(profile), encoding="utf-8")
    assert all(not made.readings and not made.words for made in _read(tmp_path).patterns)


def test_play_of_nothing_changes_nothing(tmp_path: Path) -> None:
    profile = load_profile("gantry-rs274")
    _filled(_form(profile), tmp_path, r"[xy]\d", "0 mm")
    assert not tune(_read(tmp_path), profile).changes
