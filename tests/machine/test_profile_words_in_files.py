"""What a profile says of units and words is in the file, and the proof reads it so."""

import math
from typing import Any

import numpy as np
import pytest

from cutpath.errors import InputError
from cutpath.geometry.chain import arc, circle, line
from cutpath.geometry.flatten import arc_geometry
from cutpath.machine.emission import emit
from cutpath.machine.motion import moves_for
from cutpath.moves import AdvanceCloth, SelectTool
from cutpath.proving import write_and_prove
from cutpath.replay.gcode import read_rs274
from cutpath.replay.view import View
from cutpath.settings.profile import Profile, load_profile
from tests.machine.machines import cut, profile
from tests.machine.test_cuts import failing

RING = circle((600, 400), 50)


def rows(said: Profile, *chains: Any) -> list[str]:
    return emit(moves_for([cut(chain) for chain in chains], said), said).decode().splitlines()


def said(**output: Any) -> Profile:
    return profile("rs274", output={"tool_change": ["T{number} M6"]} | output)


def test_inches_by_hand() -> None:
    found = rows(said(units="in"), line((25.4, 50.8), (76.2, 50.8)))
    # Height 5 mm, depth 1 mm, 100 mm/s.
    assert found == [
        "G17 G20 G40 G90 G94", "G0 Z0.1969", "(knife)", "T1 M6", "G0 X1.0000 Y2.0000",
        "G1 Z-0.0394 F236.2205", "G1 X3.0000 Y2.0000", "G0 Z0.1969", "M2",
    ]  # fmt: skip


def test_the_modes_stand_about_the_units() -> None:
    assert rows(said(), RING)[0] == "G17 G21 G40 G90 G94"
    assert rows(said(modes="G90 G80"), RING)[0] == "G21 G90 G80"


@pytest.mark.parametrize("finish", ["M2", "M30", "%"])
def test_every_end_of_a_program_is_accepted(finish: str) -> None:
    found = rows(said(finish=finish), RING)
    assert found[-1] == finish
    assert (found[0] == "%") == (finish == "%")
    assert write_and_prove([cut(RING)], said(finish=finish)).proof.passed


# NISTIR 6556, 3.5.4: P of G4 counts seconds; small controls that count milliseconds are common
# (from memory).
@pytest.mark.parametrize(
    ("template", "word"), [("G4 P{seconds}", "G4 P0.25"), ("G04 P{milliseconds}", "G04 P250")]
)
def test_waits(template: str, word: str) -> None:
    output = {"dwell": template, "tool_change": ["T{number} M6"]}
    machine = profile("rs274", output=output, knife={"dwell": "0.25 s"})
    assert word in rows(machine, RING)
    written = write_and_prove([cut(RING)], machine)
    assert written.proof.passed, failing(written)
    assert written.told.waited == pytest.approx(0.25)
    assert "waits as asked" in {check.name for check in written.proof.checks}


def test_the_view_tells_what_p_counts() -> None:
    data = b"G21\nG4 P250\nM2\n"
    assert read_rs274(data).waited == 250
    assert read_rs274(data, View(dwell_is_milliseconds=True)).waited == pytest.approx(0.25)


def test_waits_in_a_profiles_own_lines_are_reckoned_with() -> None:
    knife = {"lower": ["M3", "G4 P0.5"], "lift": ["M5"], "dwell": "0.1 s"}
    output = {"tool_change": ["T{number} M6"]}
    machine = profile("rs274", output=output, knife=knife)
    written = write_and_prove([cut(RING), cut(RING)], machine)
    assert written.proof.passed, failing(written)
    assert written.told.waited == pytest.approx(1.2)


# NISTIR 6556, 3.5.3.2: in inches the two radii agree within 0.0002 in.
@pytest.mark.parametrize(("off", "holds"), [(0.00019, True), (0.00021, False)])
def test_the_rule_of_arcs_in_inches(off: float, holds: bool) -> None:
    data = f"G20 F9\nG0 Z1 X1 Y0\nG1 Z-1\nG3 X0 Y{1 + off:.5f} I-1 J0\nG0 Z1\nM2\n".encode()
    if holds:
        read_rs274(data)
    else:
        with pytest.raises(InputError, match="radius"):
            read_rs274(data)


# The same, 3.5.3.2: from (7, 7), G2 X10 Y16 I3 J4 goes clockwise about (10, 11): here in inches.
def test_the_manuals_arc_in_inches() -> None:
    data = b"G20 F9\nG0 Z1 X7 Y7\nG1 Z-1\nG2 X10 Y16 I3 J4\nG0 Z1\nM2\n"
    (stroke,) = read_rs274(data).strokes
    away = np.hypot(*(stroke.chain.points / 25.4 - (10, 11)).T)
    assert away == pytest.approx(5)
    chain = arc((254, 279.4), 127, math.atan2(-4, -3), -math.radians(143.1301))
    machine = profile("rs274", output={"units": "in", "arcs": True})
    assert "G2 X10.0000 Y16.0000 I3.0000 J4.0000" in rows(machine, chain)


# The same, 3.5.3.1 (R) and geometry; and 3.5.3.2: (10, 16) is no end of an arc about (3, 4).
@pytest.mark.parametrize(
    ("code", "center"), [("G2", (19.8551, -2.4034)), ("G3", (-9.8551, 17.4034))]
)
def test_arcs_by_radius_in_inches(code: str, center: tuple[float, float]) -> None:
    data = f"G20 F9\nG0 Z1 X0 Y0\nG1 Z-1\n{code} X10 Y15 R20\nG0 Z1\nM2\n".encode()
    (stroke,) = read_rs274(data).strokes
    assert arc_geometry(stroke.chain)[0][0] / 25.4 == pytest.approx(center, abs=1e-4)
    with pytest.raises(InputError, match="radius"):
        read_rs274(data.replace(b"Y15 R20", b"Y16 I3 J4"))


@pytest.mark.parametrize("decimals", [3, 4, 5])
def test_arcs_in_inches_stand_their_rounding(decimals: int) -> None:
    rng = np.random.default_rng(11)
    machine = said(units="in", arcs=True, decimals=decimals)
    paths = [
        cut(arc(rng.uniform(500, 900, 2), rng.uniform(1, 90), rng.uniform(0, 6), turn))
        for turn in rng.uniform(-6, 6, 150)
    ]
    written = write_and_prove(paths, machine)  # its reader holds every arc to the rule
    assert written.proof.passed, failing(written)
    arcs = written.data.count(b"G2 ") + written.data.count(b"G3 ")
    assert arcs > (30 if decimals == 3 else 145)


def test_cloth_advances_in_inches() -> None:
    whole = said(units="in").model_dump(mode="json") | {"advance": {"lines": ["G0 U{advance}"]}}
    whole["motion"]["turn_range"] = "360 deg"
    machine = Profile.model_validate(whole)
    assert b"G0 U10.0000" in emit([SelectTool("knife"), AdvanceCloth(254.0)], machine)


@pytest.mark.parametrize(
    ("key", "text", "words"),
    [
        ("modes", "G17 G21 G90", 'say units = "mm"'),
        ("modes", "G17 G91", "places are absolute"),
        ("modes", "G17 G40", "Add G90"),
        ("modes", "G90 M3", "no mode"),
        ("dwell", "G4 P{time}", "no wait"),
        ("dwell", "G4 P1", "no wait"),
        ("dwell", "G4 S{seconds}", "no wait"),
        ("finish", "M0", "ends no program"),
        ("finish", "", "ends no program"),
    ],
)
def test_words_that_would_not_do_are_refused(key: str, text: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        said(**{key: text})


def test_a_profile_alone_makes_another_dialect() -> None:
    machine = load_profile("gantry-inch-rs274")
    written = write_and_prove([cut(RING)], machine)
    assert written.proof.passed, failing(written)
    text = written.data.decode()
    assert text.startswith("G17 G20 G40 G80 G90\r\n")
    assert "\r\nT03\r\nM6\r\n" in text
    assert "G4 P100\r\n" in text
    assert "(" not in text
    assert "G2" not in text.replace("G20", "")
    assert text.endswith("M30\r\n")
    assert written.proof.compared[0].deviation < 0.014  # chords 0.01, half a step 0.0013
