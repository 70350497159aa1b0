"""The proof of a file sees each of the machine's faults that is not compensated, or wrongly."""

from typing import Any

import pytest

from cutpath.geometry.chain import line
from cutpath.machine.emission import emit
from cutpath.machine.motion import moves_for
from cutpath.model import Feature, Role, Toolpath
from cutpath.proving import Written, write_and_prove
from cutpath.reading_back import faults_of, read_back, simulated
from cutpath.replay.comparing import Asked
from cutpath.replay.proof import Limits, Proof, prove
from cutpath.settings.profile import Compensation, Profile
from tests.machine.faulty import FAULTS, faulty
from tests.machine.test_cuts import KNIVES, failing, machine, work

OFFSET = (6.0, -3.0)


def said(language: str, knife: str = "upright") -> Profile:
    motion = {"turning_axis": "A"} if language == "rs274" else {}
    return machine(language, motion, **KNIVES[knife])


@pytest.mark.parametrize("language", ["rs274", "hp-gl", "hp-gl/2"])
@pytest.mark.parametrize("faults", FAULTS)
def test_a_compensated_file_passes_its_proof(language: str, faults: str) -> None:
    profile = faulty(FAULTS[faults], said(language), knife=OFFSET)
    written = write_and_prove(work(), profile)
    assert written.proof.passed, failing(written)
    rounding = 0.001 if language == "rs274" else 0.03
    assert written.proof.compared[0].deviation < rounding


@pytest.mark.parametrize("knife", KNIVES)
def test_every_kind_of_knife_passes_with_all_faults(knife: str) -> None:
    profile = faulty(FAULTS["all"], said("rs274", knife), knife=OFFSET)
    written = write_and_prove(work(), profile)
    assert written.proof.passed, failing(written)


@pytest.mark.parametrize("knife", [name for name in KNIVES if "turned" in name])
@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("faults", ["none", "all"])
def test_turned_blades_keep_to_their_way_on_chords(knife: str, units: str, faults: str) -> None:
    plain = said("rs274", knife)
    output = plain.output.model_copy(update={"units": units, "arcs": False})
    profile = faulty(FAULTS.get(faults, {}), plain.model_copy(update={"output": output}))
    written = write_and_prove(work(), profile)
    assert written.proof.passed, failing(written)
    assert b"G2 " not in written.data


def test_a_drag_blade_passes_with_all_faults() -> None:
    profile = faulty(FAULTS["all"], machine("hp-gl", blade_offset=0.5, overcut=1), knife=OFFSET)
    written = write_and_prove(work(), profile)
    assert written.proof.passed, failing(written)


def proof_by(written_for: Profile, real: Profile) -> Proof:
    """The proof, on the ``real`` machine, of a file that is written for another."""
    data = write_and_prove(work(), written_for).data
    lines = [path.chain for path in work()]
    asked = [Asked("knife", 1, 0.1, tuple(lines), strokes=_strokes(written_for))]
    limits = Limits((0, 0, 2000, 1000), (1,), None, {}, {}, faults=faults_of(real))
    return prove(data, read_back(data, real), asked, limits)


def _strokes(profile: Profile) -> int:
    return write_and_prove(work(), profile).proof.compared[0].strokes


WRONG: dict[str, dict[str, Any]] = {
    "x_scale": {"x_scale": 1.003},
    "y_scale": {"y_scale": 0.997},
    "skew": {"skew": "1.3 deg"},
    "x_backlash": {"x_backlash": "0.6 mm"},
    "y_backlash": {"y_backlash": "0.2 mm"},
}


@pytest.mark.parametrize("key", WRONG)
def test_a_fault_compensated_wrongly_fails_the_proof(key: str) -> None:
    right = faulty(FAULTS["all"], said("rs274"))
    assert proof_by(right, right).passed
    assert not proof_by(right, faulty({**FAULTS["all"], **WRONG[key]}, said("rs274"))).passed


@pytest.mark.parametrize("key", ["x_scale", "y_scale", "skew", "x_backlash", "y_backlash"])
def test_a_fault_left_out_fails_the_proof(key: str) -> None:
    real = faulty(FAULTS["all"], said("rs274"))
    rest = {name: value for name, value in FAULTS["all"].items() if name != key}
    assert not proof_by(faulty(rest, said("rs274")), real).passed


def test_a_tools_offset_left_out_fails_the_proof() -> None:
    real = faulty({}, said("rs274"), knife=(0.3, 0.0))
    assert proof_by(real, real).passed
    assert not proof_by(said("rs274"), real).passed


def test_blades_turned_to_what_is_told_point_off_what_happens() -> None:
    # On a machine that leans by 4° a line that is told 45° off runs 2° off that.
    real = faulty({"skew": "4 deg"}, said("rs274", "turned"))
    written = write_and_prove(work(), real)
    assert "blade along the line" not in failing(written)
    square = faulty({}, real)
    data = emit(moves_for(work(), square), square)
    limits = Limits((0, 0, 2000, 1000), (1,), None, {}, {}, turned=(1,), faults=faults_of(real))
    checks = prove(data, read_back(data, real), [], limits).checks
    assert "blade along the line" in {check.name for check in checks if not check.holds}


def written_square(**faults: Any) -> tuple[Written, Profile]:
    profile = faulty(faults, said("rs274"))
    path = Toolpath(Role.KNIFE, Feature.LINE, "front", line((100, 100), (300, 100)))
    return write_and_prove([path], profile), profile


def test_another_machine_than_the_profiles_can_be_asked_for() -> None:
    written, profile = written_square()
    real = faulty({"x_scale": 1.05}, profile, knife=(1.0, 2.0))
    done = simulated(written.data, profile, faults_of(real))
    assert done.told.strokes[0].chain.last == pytest.approx((300, 100))
    assert done.real.strokes[0].chain.last == pytest.approx((316, 102))
    same = simulated(written.data, profile)
    assert same.real.strokes[0].chain.last == pytest.approx((300, 100))


def test_blades_can_trail_by_more_than_the_profile_says() -> None:
    written, profile = written_square()
    tips = simulated(written.data, profile, trails={1: 2.0}).tips.strokes[0].chain
    assert tips.last == pytest.approx((298, 100))


def test_what_the_pictures_show_is_what_happens() -> None:
    written, _ = written_square(x_scale=1.01)
    assert written.told.strokes[0].chain.last[0] == pytest.approx(300 / 1.01, abs=1e-4)
    assert written.reading.strokes[0].chain.last[0] == pytest.approx(300, abs=1e-3)
    assert written.proof.real is written.reading


def test_the_digest_knows_the_faults() -> None:
    assert faulty({"x_scale": 1.01}).digest() != faulty({}).digest()
    assert Compensation(x_scale=1.01).moves_places
