"""Pattern, form and fit together: a machine's faults come back out of what is measured on it."""

import math
import re
from pathlib import Path

import pytest

from cutpath.bench.pattern_model import Wish
from cutpath.fitting import fit
from cutpath.patterning import make_patterned, pattern_files
from tests.bench.measuring import filled, measured
from tests.bench.read_back import Faults

NAMES = ("scale", "backlash", "blade", "tools", "advance", "drill")
TRUE = Faults(
    x_scale=1.0012,
    y_scale=0.9991,
    skew=math.radians(0.05),
    play=(0.15, 0.25),
    advance_scale=1.0004,
    offsets={"knife": (0.62, -0.41), "drill": (-1.15, 0.3)},
    trails={"knife": 0.66},
)
FOUND = {
    "x_scale": 1.0012,
    "y_scale": 0.9991,
    "skew": math.radians(0.05),
    "x_backlash": 0.15,
    "y_backlash": 0.25,
    "advance_scale": 1.0004,
    "knife.offset_x": 0.62,
    "knife.offset_y": -0.41,
    "knife.blade_offset": 0.66,
    "drill.offset_x": -1.15,
    "drill.offset_y": 0.3,
}
TURNED = """
extends = "flatbed-hpgl2"
name = "A table that counts from its far right corner"
[bed]
origin = "far right"
x = "near"
y = "left"
"""


@pytest.mark.parametrize("turned", [False, True])
def test_faults_come_back_from_patterns_measured_to_a_twentieth(
    tmp_path: Path,
    turned: bool,
) -> None:
    machine = "flatbed-hpgl"
    if turned:
        machine = str(tmp_path / "turned.toml")
        Path(machine).write_text(TURNED, encoding="utf-8")
    form, values = "", {}
    for name in NAMES:
        size = (1500.0, 900.0) if name == "scale" else None
        made = make_patterned(name, machine, Wish(size=size))
        form = pattern_files(made, "A4", form)["measured.toml"].decode()
        values[name] = measured(made, TRUE)
    path = tmp_path / "measured.toml"
    path.write_text(filled(form, values), encoding="utf-8")
    tuned = fit(machine, path, tmp_path / "tuned.toml")
    assert not tuned.outcome.misread
    found = {each.unknown.name: each for each in tuned.outcome.fitted}
    for name, true in FOUND.items():
        each = found[name]
        assert abs(each.value - true) < max(3.5 * each.sigma, 1e-9), (name, each.value, each.sigma)
    assert re.search(r"^extends", tuned.text, re.MULTILINE)
