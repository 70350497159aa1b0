"""A blade offset that is not the profile's shows in the proof as it would in cloth."""

import math
from dataclasses import replace

import numpy as np
import pytest

from cutpath.geometry.chain import circle, polyline
from cutpath.machine.emission import emit
from cutpath.machine.motion import moves_for
from cutpath.model import Feature, Role, Toolpath
from cutpath.replay.comparing import Asked
from cutpath.replay.hpgl import read_hpgl
from cutpath.replay.proof import Limits, Proof, prove
from cutpath.settings.profile import Profile
from tests.machine.test_cuts import machine


def proof_of(path: Toolpath, profile: Profile, real_offset: float) -> Proof:
    data = emit(moves_for([path], profile), profile)
    asked = [Asked("knife", 1, 0.1, (path.chain,))]
    limits = Limits((0, 0, 2000, 1000), (1,), 0, {1: real_offset}, {1: 0.0})
    return prove(data, read_hpgl(data), asked, limits)


@pytest.mark.parametrize("real", [0.2, 0.8])
def test_corners_cut_with_the_wrong_offset_fail(real: float) -> None:
    square = polyline([(150, 100), (200, 100), (200, 200), (100, 200), (100, 100)], closed=True)
    path = Toolpath(Role.KNIFE, Feature.OUTLINE, "front", square)
    profile = machine("hp-gl", blade_offset=0.5, overcut=1)
    assert proof_of(path, profile, 0.5).passed
    assert not proof_of(path, profile, real).passed


def test_a_circle_cut_with_the_wrong_offset_has_the_radius_of_geometry() -> None:
    # The file leads the pivot on √(R² + d²); a tip that trails by e settles on √(R² + d² − e²)
    # (a right angle at the tip).
    radius, said, real = 20.0, 2.0, 4.0
    path = Toolpath(Role.KNIFE, Feature.OUTLINE, "front", circle((300, 300), radius))
    profile = machine("hp-gl", blade_offset=said, overcut=60)
    tips = proof_of(path, profile, real).tips.strokes[0].chain.points
    late = np.hypot(*(tips[len(tips) // 2 :] - [300, 300]).T)
    assert late == pytest.approx(math.sqrt(radius**2 + said**2 - real**2), abs=0.06)


def test_the_proof_keeps_what_the_tip_does() -> None:
    path = Toolpath(Role.KNIFE, Feature.OUTLINE, "front", circle((300, 300), 20))
    proof = proof_of(path, machine("hp-gl", blade_offset=2.0), 2.0)
    gap = np.hypot(*(proof.tips.strokes[0].chain.points - [300, 300]).T) - 20
    assert np.abs(gap).max() < 0.1
    assert replace(proof, checks=()).tips is proof.tips
