"""Contradictions in a profile are found, each under its key; shipped profiles have none."""

from pathlib import Path

import pytest

from cutpath.settings.profile import load_profile, shipped_profiles
from cutpath.settings.profile_check import contradictions


@pytest.mark.parametrize("name", sorted(shipped_profiles()))
def test_shipped_profiles_hold_together(name: str) -> None:
    assert contradictions(load_profile(name)) == ()


@pytest.mark.parametrize(
    ("parent", "said", "key"),
    [
        ("flatbed-hpgl", "[output]\nlargest_number = 32767", "output.largest_number"),
        ("flatbed-hpgl", "[output]\nunits_per_mm = 4", "tools.knife.tolerance"),
        ("gantry-rs274", "[output]\nfit_tolerance = '0.2 mm'", "tools.knife.tolerance"),
        ("gantry-rs274", "[order]\nrest = ['4 m', '0 mm']", "order.rest"),
        ("gantry-hot-rs274", "cautions = ['Hot.']", "cautions"),
        ("conveyor-hpgl", "[advance]\nlongest = '2.5 m'", "advance.longest"),
        ("conveyor-hpgl", "[advance]\ntolerance = '0.01 mm'", "advance.tolerance"),
        ("gantry-rs274", "[compensation]\nadvance_scale = 1.01", "compensation.advance_scale"),
        ("gantry-rs274", "[output]\ntool_change = []", "output.tool_change"),
        ("gantry-rs274", "[motion]\nturning_axis = 'A'", "motion.turning_axis"),
        ("gantry-oscillating", "[tools.knife]\nlead_in = '12 mm'", "tools.knife.lead_in"),
        ("gantry-oscillating", "[tools.pen]\nlead_in = '2 mm'", "tools.pen.lead_in"),
        ("drawing-arm", "[output]\ncomments = true", "output.comments"),
        ("drawing-arm", "[output]\nlongest_line = 128", "output.longest_line"),
        ("drawing-arm", "[link]\nflow = 'buffer space'", "link.flow"),
        ("desk-cutter", "[link]\nflow = 'line reply'", "link.flow"),
        ("flatbed-hpgl2", "[link]\nway = 'serial'\nport = 'COM3'\nbits = 7", "output.base"),
    ],
)
def test_contradictions_are_found(tmp_path: Path, parent: str, said: str, key: str) -> None:
    file = tmp_path / "mine.toml"
    text = f'extends = "{parent}"\nname = "Mine"\n{said}\n'
    file.write_text(text, encoding="utf-8")
    assert key in {one.key for one in contradictions(load_profile(file))}
