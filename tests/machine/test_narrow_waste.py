"""Lead-ins and kerfs where the waste is narrow: small holes, slits, cuts that begin at a corner."""

import numpy as np
import pytest

from cutpath.geometry.chain import Chain, circle, polyline, started_at
from cutpath.geometry.measure import joint_stations, length, signed_area
from cutpath.geometry.splitting import with_joints_at
from cutpath.machine.cuts import beside
from cutpath.machine.leading import clear_lead_in
from cutpath.model import Feature, Role, Toolpath
from cutpath.proving import write_and_prove
from cutpath.settings.profile import Profile, load_profile

PANEL = polyline([[20, 20], [320, 20], [320, 280], [20, 280]], closed=True)


@pytest.fixture(scope="module")
def blade() -> Profile:
    return load_profile("gantry-oscillating")


@pytest.fixture(scope="module")
def hot() -> Profile:
    """The bench's hot blade, for cuts that need not cool."""
    said = load_profile("webbing-bench")
    tool = said.tools["hot"].model_copy(update={"heat_distance": 0.0, "cool_time": 0.0})
    return said.model_copy(update={"tools": {**said.tools, "hot": tool}})


def slit(width: float) -> Chain:
    """A panel with a slit from its far side."""
    low, high = 160 - width / 2, 160 + width / 2
    right = [[20.0, 20.0], [300.0, 20.0], [300.0, 280.0], [high, 280.0]]
    return polyline([*right, [high, 100.0], [low, 100.0], [low, 280.0], [20.0, 280.0]], closed=True)


def begun_amid(loop: Chain, number: int) -> Chain:
    stations = joint_stations(loop)
    amid = np.array([(stations[number] + stations[number + 1]) / 2])
    return started_at(with_joints_at(loop, amid), number + 1)


def passes(profile: Profile, *loops: tuple[Chain, Feature]) -> bool:
    role = Role.KNIFE if profile.has_tool_for(Role.KNIFE) else Role.HOT
    paths = [Toolpath(role, feature, "panel", loop) for loop, feature in loops]
    return write_and_prove(paths, profile).proof.passed


@pytest.mark.parametrize("radius", [2.0, 5.0])
def test_a_small_hole_is_entered_from_inside(blade: Profile, hot: Profile, radius: float) -> None:
    hole = circle([150.0, 150.0], radius), Feature.INNER
    panel = begun_amid(PANEL, 0), Feature.OUTLINE
    assert passes(blade, hole, panel)
    assert passes(hot, hole, panel)


@pytest.mark.parametrize("width", [3.0, 8.0])
@pytest.mark.parametrize("side", [3, 4])
def test_a_slit_is_entered_in_the_slit(
    blade: Profile, hot: Profile, width: float, side: int
) -> None:
    outline = begun_amid(slit(width), side), Feature.OUTLINE
    assert passes(blade, outline)
    assert passes(hot, outline)


@pytest.mark.parametrize("corner", [1, 4, 6])
def test_a_cut_may_begin_at_a_corner(blade: Profile, hot: Profile, corner: int) -> None:
    outline = started_at(slit(8.0), corner), Feature.OUTLINE
    assert passes(blade, outline)
    assert passes(hot, outline)


def test_a_lead_in_is_as_long_as_the_waste_is_wide() -> None:
    open_side, narrow = begun_amid(slit(3.0), 0), begun_amid(slit(3.0), 3)
    full = clear_lead_in(open_side, 4.0, -1, slit(3.0))
    short = clear_lead_in(narrow, 4.0, -1, slit(3.0))
    assert full is not None
    assert short is not None
    assert length(full) == pytest.approx(4.0 * np.pi / 2)
    assert length(short) == pytest.approx(0.7 * length(full))
    assert clear_lead_in(begun_amid(slit(0.2), 3), 4.0, -1, slit(0.2)) is None


@pytest.mark.parametrize("corner", range(4))
def test_a_kerf_goes_round_the_corner_that_a_cut_begins_at(corner: int) -> None:
    found = beside(started_at(PANEL, corner), 0.5, -1)
    # A mitred line half a millimetre off on all sides.
    assert signed_area(found) == pytest.approx(301 * 261)
