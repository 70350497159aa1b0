"""A slip of the pencil among the readings: found, named, and told what it should have been."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from cutpath.bench.fit.misreading import judge
from cutpath.bench.fit.slips import likely_slip
from cutpath.bench.fit.solving import Solved
from cutpath.bench.fit.unknowns import Kind, Unknown
from cutpath.errors import FitError
from cutpath.settings.profile import Profile, load_profile
from tests.bench.simulated_machine import Bench, Machine
from tests.bench.tuned_machines import Readings, exact_readings, random_machine, tuned, with_noise

Slip = tuple[str, str, Callable[[float], float], str]


@pytest.fixture
def profile() -> Profile:
    return load_profile("flatbed-hpgl")


@pytest.fixture
def readings(profile: Profile) -> Readings:
    rng = np.random.default_rng(3)
    exact = exact_readings(Bench(Machine.told_by(profile), random_machine(rng)))
    return with_noise(exact, rng, 0.05)


@pytest.mark.parametrize(
    "slip",
    [
        ("scale", "far", lambda mm: mm + 10, "10 mm more"),
        ("scale", "middle_y", lambda mm: mm - 1, "1 mm less"),
        ("scale", "rising", lambda mm: mm / 25.4, "inches"),
        ("scale", "near", lambda mm: mm / 10, "centimetres"),
        ("backlash", "x3", lambda mm: -mm, "sign"),
        ("blade", "corner_150", lambda mm: mm + 5, "5 mm more"),
        ("drill", "dx2", lambda mm: -mm, "sign"),
    ],
)
def test_the_one_wrong_reading_is_named(
    readings: Readings, profile: Profile, tmp_path: Path, slip: Slip
) -> None:
    pattern, key, slipped, words = slip
    right = readings[pattern][key]
    readings[pattern][key] = slipped(right)
    outcome = tuned(readings, profile, tmp_path)
    (misread,) = outcome.misread
    assert misread.name == f"{pattern}.{key}"
    assert misread.expected == pytest.approx(right, abs=2 * misread.doubt)
    assert words in misread.slip
    assert [row.name for row in outcome.rows if not row.used] == [misread.name]


def test_swapped_digits_are_seen(profile: Profile, tmp_path: Path) -> None:
    exact = exact_readings(
        Bench(
            Machine.told_by(profile),
            Machine(trails={"knife": 0.5, "pen": 0}, diameters={"drill": 3.0}),
        )
    )
    exact["scale"]["far"] = "606.0 mm"
    exact["scale"] |= {"near": "600.6 mm", "middle_x": "600.6 mm", "rising": "721.6 mm"}
    exact["scale"] |= {"falling": "721.6 mm"}
    (misread,) = tuned(exact, profile, tmp_path).misread
    assert "606.0 for 600.6" in misread.slip


def test_two_readings_in_each_others_place(
    readings: Readings, profile: Profile, tmp_path: Path
) -> None:
    scale = readings["scale"]
    scale["far"], scale["right"] = scale["right"], scale["far"]
    outcome = tuned(readings, profile, tmp_path)
    assert {each.name for each in outcome.misread} == {"scale.far", "scale.right"}
    assert all("in the place of" in each.slip for each in outcome.misread)


def test_two_that_disagree_alone_are_both_to_be_measured_again(
    readings: Readings, profile: Profile, tmp_path: Path
) -> None:
    scale = {key: readings["scale"][key] for key in ("near", "far", "left", "right")}
    rising, falling = readings["scale"]["rising"], readings["scale"]["falling"]
    scale["far"] += 3
    # Leaning alone explains unlike diagonals, so nothing else tells what x should be.
    with pytest.raises(FitError, match="do not tell which") as error:
        tuned({"scale": {**scale, "rising": rising}}, profile, tmp_path)
    assert "scale.near" in str(error.value)
    assert "scale.far" in str(error.value)
    with_both = {"scale": {**scale, "rising": rising, "falling": falling}}
    assert tuned(with_both, profile, tmp_path).misread[0].name == "scale.far"


def test_readings_at_odds_all_over_give_no_profile(
    readings: Readings, profile: Profile, tmp_path: Path
) -> None:
    rng = np.random.default_rng(1)
    for key in readings["scale"]:
        readings["scale"][key] += rng.uniform(-4, 4)
    with pytest.raises(FitError, match="contradict each other") as error:
        tuned(readings, profile, tmp_path)
    assert error.value.exit_code == 1
    assert error.value.remedy.count("scale.") == 3  # those furthest off, to be measured first


def test_the_suspect_that_explains_most_is_the_one() -> None:
    # Three readings of one value, one 5.31 σ off, among many others of another value: leaving out
    # either of its two neighbours would do just so, but leaving out itself does far better.
    unknowns = tuple(
        Unknown(name, (name,), Kind.LENGTH, 0.0, -9.0, 9.0, "") for name in ("few", "many")
    )
    slopes = np.zeros((63, 2))
    slopes[:3, 0] = slopes[3:, 1] = 1.0
    misfits = np.zeros(63)
    misfits[2] = 5.31
    verdict = judge(Solved(unknowns, {"few": 0.0, "many": 0.0}, misfits, slopes), [])
    assert [suspect.rows for suspect in verdict.suspects] == [(2,)]
    assert not verdict.agree


def test_right_readings_are_seldom_suspected(profile: Profile, tmp_path: Path) -> None:
    rng = np.random.default_rng(8)
    exact = exact_readings(Bench(Machine.told_by(profile), random_machine(rng)))
    suspected = sum(
        bool(tuned(with_noise(exact, rng), profile, tmp_path).misread) for _ in range(20)
    )
    assert suspected <= 1


@pytest.mark.parametrize(
    ("read", "wanted", "words"),
    [
        ("603.0", 600.3, "603.0 for 600.3"),
        ("6003", 600.3, "centimetres"),
        ("23.63", 600.3, "inches"),
        ("-0.4", 0.4, "sign"),
        ("610.3", 600.3, "10 mm more"),
        ("690.3", 600.3, "one digit"),
        ("612.7", 600.3, ""),
        ("600.3", 600.3, ""),
    ],
)
def test_slips(read: str, wanted: float, words: str) -> None:
    found = likely_slip(float(read), read, 1.0, wanted, 0.2)
    assert words in found
    assert bool(found) == bool(words)
