from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from cutpath.cooling_check import check_cooling
from cutpath.geometry.chain import line
from cutpath.machine.motion import moves_for
from cutpath.model import Feature, Load, Pause, Role, Toolpath
from cutpath.path.ordering import ordered_toolpaths
from cutpath.path.rules import rules_of
from cutpath.proving import write_and_prove
from cutpath.settings.profile import Profile, load_profile
from tests.path.placed import box, piece
from tests.path.test_rules import HOT


@pytest.fixture
def hot(tmp_path: Path) -> Profile:
    path = tmp_path / "hot.toml"
    path.write_text(HOT.format(cool=40))
    return load_profile(path)


def cut(x: float, pause: Pause | None = None) -> Toolpath:
    return Toolpath(Role.HOT, Feature.OUTLINE, "a", line((x, 100.0), (x, 200.0)), pause)


def test_near_cuts_one_after_the_other_fail_and_a_pause_mends_it(hot: Profile) -> None:
    found = check_cooling(moves_for([cut(100), cut(110)], hot), hot)
    assert found is not None
    assert not found.holds
    pause = Pause(np.zeros(2), 40.0)
    found = check_cooling(moves_for([cut(100), cut(110, pause)], hot), hot)
    assert found is not None
    assert found.holds, found.found


def test_far_cuts_need_no_pause_and_a_cold_machine_no_check(hot: Profile) -> None:
    found = check_cooling(moves_for([cut(100), cut(200)], hot), hot)
    assert found is not None
    assert found.holds
    cold = load_profile("gantry-rs274")
    knife = [replace(cut(100), role=Role.KNIFE)]
    assert check_cooling(moves_for(knife, cold), cold) is None


@pytest.mark.parametrize("count", [2, 5, 12])
def test_whatever_is_ordered_passes_the_proof(hot: Profile, count: int) -> None:
    pieces = tuple(piece(f"p{i}", box(20 + 110.0 * i, 20, 100, 100)) for i in range(count))
    paths = ordered_toolpaths(Load("acrylic", 1, pieces), rules_of(hot))
    proof = write_and_prove(paths, hot).proof
    assert proof.passed, proof.as_dict()
    (check,) = [each for each in proof.checks if each.name == "near cuts cool"]
    assert "at the least" in check.found
