"""What is set as the technician saw it best: overcut, speed, force, lift; and how places repeat."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cutpath.bench.fit.observing import spread_sigma
from cutpath.bench.fit.outcome import Outcome
from cutpath.bench.fit.tuning import tune
from cutpath.errors import InputError
from cutpath.settings.measured_file import read_measured
from cutpath.settings.profile import load_profile
from tests.bench.simulated_machine import measured_text


def _tuned(folder: Path, name: str, *patterns: tuple[dict[str, Any], dict[str, Any]]) -> Outcome:
    profile = load_profile(name)
    path = folder / "measured.toml"
    path.write_text(measured_text(name, profile.digest(), patterns), encoding="utf-8")
    return tune(read_measured(path), profile)


OVERCUT = {
    "name": "overcut",
    "tool": "knife",
    "values": ["0 mm", "0.5 mm", "1 mm", "1.5 mm", "2 mm"],
    "uncertainty": "0.25 mm",
}
LADDER = {"name": "ladder", "tool": "knife", "rows": [100.0, 200.0, 300.0],
          "columns": [10, 20, 30], "column": "force"}  # fmt: skip
LIFT = {"name": "lift", "tool": "pen", "values": ["1 mm", "2 mm", "4 mm", "8 mm"]}


def test_overcut_is_the_least_that_closed_every_piece(tmp_path: Path) -> None:
    closed = {"closed_1": "1.5 mm", "closed_2": 1.5, "closed_3": "2 mm"}
    (found,) = _tuned(tmp_path, "flatbed-hpgl", (OVERCUT, closed)).settings
    assert found.key == ("tools", "knife", "overcut")
    assert found.text == '"2 mm"'
    assert "the knife needs 1.42 mm" in found.words


def test_what_a_knife_needs_lies_within_what_is_said(tmp_path: Path) -> None:
    # Planted: each piece closes at the first step past what the knife needs there.
    rng = np.random.default_rng(2)
    tried = np.array([0, 0.5, 1, 1.5, 2])
    for _ in range(20):
        needs = rng.uniform(0.2, 1.9)
        each = needs + rng.normal(0, 0.03, 3)
        closed = {f"closed_{n}": float(tried[tried >= min(e, 2)][0]) for n, e in enumerate(each, 1)}
        (found,) = _tuned(tmp_path, "flatbed-hpgl", (OVERCUT, closed)).settings
        words = found.words.partition("needs ")[2]
        told, doubt = float(words.split(" ")[0]), float(words.split(" ")[3])
        assert abs(told - needs) < 1.5 * doubt


def test_the_ladder_gives_speed_and_force(tmp_path: Path) -> None:
    found = _tuned(tmp_path, "flatbed-hpgl", (LADDER, {"best": "b2"})).settings
    assert [(each.key, each.text) for each in found] == [
        (("tools", "knife", "speed"), "200"),
        ((), "20"),  # as it was
    ]


def test_a_ladder_has_only_its_own_fields(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no 'D1'"):
        _tuned(tmp_path, "flatbed-hpgl", (LADDER, {"best": "D1"}))


def test_lift_goes_one_step_above_what_left_no_mark(tmp_path: Path) -> None:
    (found,) = _tuned(tmp_path, "gantry-rs274", (LIFT, {"clear_at": "2 mm"})).settings
    assert (found.key, found.text) == (("output", "travel_height"), '"4 mm"')
    (told,) = _tuned(tmp_path, "flatbed-hpgl", (LIFT, {"clear_at": "2 mm"})).settings
    assert told.key == ()
    assert "set it on the machine" in told.words


def test_a_height_that_was_not_tried(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="nothing was made at 3 mm"):
        _tuned(tmp_path, "gantry-rs274", (LIFT, {"clear_at": "3 mm"}))


def test_no_length_is_surer_than_the_machine_repeats(tmp_path: Path) -> None:
    repeat: dict[str, Any] = {"name": "repeat", "tool": "pen", "returns": 8,
                              "uncertainty": "0.05 mm"}  # fmt: skip
    ticks = {"name": "backlash", "uncertainty": "0.05 mm"}
    rows = {"x1": 0.3, "y1": 0.2}
    sure = _tuned(tmp_path, "flatbed-hpgl", (ticks, rows)).fitted[0].sigma
    outcome = _tuned(tmp_path, "flatbed-hpgl", (ticks, rows), (repeat, {"spread_x": "0.4 mm"}))
    assert outcome.fitted[0].sigma > 2 * sure
    assert any("tighter than x comes back" in note for note in outcome.notes)


@pytest.mark.parametrize(("returns", "mean_range"), [(2, 1.128), (5, 2.326), (10, 3.078)])
def test_ranges_of_normal_values(returns: int, mean_range: float) -> None:
    # Control chart constants d2 (ISO 7870-2, table of factors; from memory).
    assert spread_sigma(mean_range, returns) == pytest.approx(1.0, abs=2e-3)
