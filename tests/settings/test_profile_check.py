"""Contradictions in a profile are found, each under its key; shipped profiles have none."""

from pathlib import Path

import pytest

from cutpath.settings.profile import load_profile, shipped_profiles
from cutpath.settings.profile_check import contradictions, smallest_step


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
        ("flatbed-hpgl", "[output]\nunits = 'in'", "output.units"),
        ("flatbed-hpgl2", "[output]\nfinish = 'M30'", "output.finish"),
        ("gantry-inch-rs274", "[output]\ndecimals = 2", "tools.knife.tolerance"),
        ("gantry-inch-rs274", "[output]\ndecimals = 3\narcs = true", "output.decimals"),
        ("gantry-rs274", "[output]\ndecimals = 2", "output.decimals"),
        ("flatbed-hpgl", "[compensation]\nx_backlash = '0.02 mm'", "compensation.x_backlash"),
        ("gantry-rs274", "[tools.pen]\noffset = ['40 mm', '0 mm']", "tools.pen.offset"),
        (
            "paper-plotter",
            "[tools.pen]\noffset = ['1 mm', '0 mm']",
            "tools.pen.offset",
        ),
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
        ("gantry-rs274", "[link]\nflow = 'line reply'", "link.flow"),
        ("flatbed-hpgl2", "[link]\nway = 'serial'\nport = 'COM3'\nbits = 7", "output.base"),
    ],
)
def test_contradictions_are_found(tmp_path: Path, parent: str, said: str, key: str) -> None:
    file = tmp_path / "mine.toml"
    text = f'extends = "{parent}"\nname = "Mine"\n{said}\n'
    file.write_text(text, encoding="utf-8")
    assert key in {one.key for one in contradictions(load_profile(file))}


@pytest.mark.parametrize(
    ("parent", "said"),
    [
        ("gantry-inch-rs274", "[output]\narcs = true"),
        ("gantry-rs274", "[output]\ndecimals = 3"),
        ("flatbed-hpgl", "[compensation]\nx_backlash = '0.2 mm'\nskew = '0.1 deg'"),
        ("gantry-rs274", "[bed]\nmargin = '40 mm'\n[tools.pen]\noffset = ['40 mm', '0 mm']"),
    ],
)
def test_what_goes_together_is_no_contradiction(tmp_path: Path, parent: str, said: str) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(f'extends = "{parent}"\nname = "Mine"\n{said}\n', encoding="utf-8")
    assert contradictions(load_profile(file)) == ()


# 1 in = 25.4 mm.
def test_the_smallest_step_of_a_file_in_inches() -> None:
    assert smallest_step(load_profile("gantry-inch-rs274")) == pytest.approx(0.00254)
