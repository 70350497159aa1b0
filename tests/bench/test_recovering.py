"""Planted faults come out of measured patterns again, exactly or within what is said of them."""

from pathlib import Path

import numpy as np
import pytest

from cutpath.settings.profile import Profile, load_profile
from tests.bench.simulated_machine import Bench, Machine
from tests.bench.tuned_machines import (
    exact_readings,
    old_profile,
    random_machine,
    tuned,
    with_noise,
)


@pytest.fixture(params=["never tuned", "tuned before"])
def profile(request: pytest.FixtureRequest, tmp_path: Path) -> Profile:
    if request.param == "tuned before":
        return old_profile(tmp_path)
    return load_profile("flatbed-hpgl")


def test_exact_readings_give_the_faults_exactly(profile: Profile, tmp_path: Path) -> None:
    rng = np.random.default_rng(11)
    for _ in range(3):
        machine = random_machine(rng)
        bench = Bench(Machine.told_by(profile), machine)
        outcome = tuned(exact_readings(bench), profile, tmp_path)
        assert len(outcome.fitted) == 12
        for each in outcome.fitted:
            wanted = machine.values[each.unknown.name]
            assert each.value == pytest.approx(wanted, abs=2e-2 * each.sigma + 1e-9), each


def test_noisy_readings_give_the_faults_within_what_is_said(
    profile: Profile, tmp_path: Path
) -> None:
    rng = np.random.default_rng(5)
    misses = runs = 0
    for _ in range(5):
        machine = random_machine(rng)
        exact = exact_readings(Bench(Machine.told_by(profile), machine))
        for _ in range(10):
            outcome = tuned(with_noise(exact, rng), profile, tmp_path)
            off = [(f.value - machine.values[f.unknown.name]) / f.sigma for f in outcome.fitted]
            misses += sum(abs(each) > 3 for each in off)
            runs += len(off)
    assert runs == 600
    assert misses <= 6


def test_a_good_machine_needs_no_new_profile(tmp_path: Path) -> None:
    profile = old_profile(tmp_path)
    machine = Machine.told_by(profile)
    outcome = tuned(exact_readings(Bench(machine, machine)), profile, tmp_path)
    assert not outcome.changes
