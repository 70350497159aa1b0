"""Laying through the whole way: remnants, flaws, splits, short beds and lays by hand."""

import json
import math
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from cutpath.errors import InputError, MachineError
from cutpath.geometry.measure import bounds, length, signed_area
from cutpath.lay_report import lay_to_keep
from cutpath.laying import LayWish
from cutpath.model import Feature, Role
from cutpath.pipeline import Cut, cut, files_to_deliver
from cutpath.planning import Request

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="3000mm" height="2000mm"
 viewBox="0 0 3000 2000"><g id="outline">
<path d="M0 0 H2400 V1200 H0 Z"/>
<path d="M0 1300 H600 V1700 H0 Z"/>
<path d="M700 1300 H1300 V1600 L700 1700 Z"/>
</g></svg>
"""
JOB = """name = "Cover"
drawing = "cover.svg"
cloth = "acrylic"
finish = "raw"
[cloths.acrylic]
width = "1500 mm"
{cloth}
[panels.cover]
from = "panel-1"
{cover}
[panels.flap]
from = "panel-2"
[panels.cap]
from = "panel-3"
"""
Making = Callable[..., Path]


@pytest.fixture
def job(tmp_path: Path) -> Making:
    def make(cloth: str = "", cover: str = "", width: str = "1500 mm") -> Path:
        (tmp_path / "cover.svg").write_text(DRAWING, encoding="utf-8")
        text = JOB.format(cloth=cloth, cover=cover).replace("1500 mm", width)
        (tmp_path / "job.toml").write_text(text, encoding="utf-8")
        return tmp_path / "job.toml"

    return make


def made(path: Path, wish: LayWish | None = None, on: str = "gantry-rs274") -> Cut:
    done = cut(Request(path, on, lay=wish or LayWish()))
    assert done.passed
    return done


def test_the_facts_tell_what_to_buy(job: Making) -> None:
    """Cover 2400 × 1200; flap and cap, 600 × 400, lie behind it one upon the other."""
    done = made(job())
    (lay,) = done.proof["lays"]
    assert lay["to_buy_mm"] == pytest.approx(2400 + 3 + 600, abs=0.2)
    area = 2400 * 1200 + 600 * 400 + 600 * 350
    assert lay["use"] == pytest.approx(area / (1500 * lay["to_buy_mm"]), abs=1e-4)
    files, _ = files_to_deliver(done)
    assert {"lay.json", lay["picture"]} <= set(files)


def test_a_remnant_with_a_flaw_is_used_first(job: Making) -> None:
    flaw = '["0 mm", "0 mm", "650 mm", "1400 mm"]'
    remnant = f'on_hand = [{{ name = "offcut", length = "1300 mm", flaws = [{flaw}] }}]'
    done = made(job(remnant))
    (lay,) = done.proof["lays"]
    offcut, roll = lay["stocks"]
    assert offcut["name"] == "offcut"
    assert set(offcut["pieces"]) == {"flap", "cap"}
    assert roll["pieces"] == ["cover"]
    assert lay["to_buy_mm"] == pytest.approx(2400, abs=0.1)
    (laid,) = done.laid.lays
    for piece in laid.pieces:
        if piece.name != "cover":
            assert bounds(piece.cut)[0] >= 650


def test_a_piece_too_wide_is_offered_a_split_that_does_it(job: Making) -> None:
    with pytest.raises(InputError, match=r"1200\.0 mm across the warp") as caught:
        made(job(width="900 mm"))
    offer = caught.value.remedy.partition("split = ")[2].partition("]")[0] + "]"
    assert json.loads(offer) == ["874 mm"]  # 900 less room for an allowance of an inch
    done = made(job(cover=f"split = {offer}", width="900 mm"))
    pieces = {piece.name: piece for file in done.files for piece in file.load.pieces}
    low_a, high_a = pieces["cover a"], pieces["cover b"]
    (_, y0, _, y1), (_, y2, _, y3) = bounds(low_a.net), bounds(high_a.net)
    assert sorted((y1 - y0, y3 - y2)) == pytest.approx([1200 - 874, 874], abs=1e-6)
    for piece in (low_a, high_a):
        _, low, _, high = bounds(piece.cut)
        _, inner_low, _, inner_high = bounds(piece.net)
        assert (high - low) - (inner_high - inner_low) == pytest.approx(12.7)
    # Six intervals of about 400 mm; marks at the same places on both sides of the seam.
    assert len(low_a.notches) == len(high_a.notches) == 5
    assert any("split into 'cover a' and 'cover b'" in f.message for f in done.findings)


def test_marks_of_a_split_agree_from_the_same_end(job: Making) -> None:
    """Seen in the drawing's own direction both parts have their marks at the same places."""
    done = made(job("directional = true", cover='split = ["500 mm"]'))
    laid = {piece.name: piece for piece in done.laid.lays[0].pieces}
    places = []
    for name in ("cover a", "cover b"):
        left = bounds(laid[name].net)[0]
        places.append(sorted(float(notch.first[0]) - left for notch in laid[name].notches))
    assert places[0] == pytest.approx(places[1], abs=1e-6)
    gaps = np.diff([0.0, *places[0], 2400.0])
    assert gaps.max() <= 410  # one is shorter than the others, so nothing is sewn end for end
    assert gaps[0] < gaps[1] - 10


def test_a_split_off_the_panel_is_told(job: Making) -> None:
    with pytest.raises(InputError, match="crosses its outline 0 times") as caught:
        made(job(cover='split = ["1300 mm"]'))
    assert caught.value.source.key == "panels.cover.split"


def test_a_directional_cloth_turns_nothing(job: Making) -> None:
    (laid,) = made(job("directional = true")).laid.lays
    assert {place.turn for place in laid.lay.places} == {0.0}


SHORT = """extends = "gantry-rs274"
name = "Short gantry"
[bed]
width = "1600 mm"
height = "1550 mm"
{more}
"""


def test_a_piece_longer_than_the_bed_needs_a_machine_that_goes_on(job: Making) -> None:
    path = job()
    short = path.with_name("short.toml")
    short.write_text(SHORT.format(more=""), encoding="utf-8")
    with pytest.raises(MachineError, match="continues = true"):
        made(path, on=str(short))
    short.write_text(SHORT.format(more="continues = true"), encoding="utf-8")
    done = made(path, on=str(short))
    outline = 0.0
    for file in done.files:
        for toolpath in file.toolpaths:
            low_x, low_y, high_x, high_y = bounds(toolpath.chain)
            assert min(low_x, low_y) >= -1e-6
            assert high_x <= 1600 + 1e-6
            assert high_y <= 1550 + 1e-6
            if toolpath.piece == "cover" and toolpath.feature is Feature.OUTLINE:
                outline += length(toolpath.chain)
    # Once round, and both long sides 20 mm twice at the one join.
    assert outline == pytest.approx(2 * (2400 + 1200) + 2 * 20, abs=1e-3)
    marks = [
        [tuple(path.chain.first) for path in file.toolpaths if path.piece == "register mark"]
        for file in done.files
    ]
    drawn = [some for some in marks if some]
    assert len(drawn) == 2
    shift = {(round(a[0] - b[0], 6), round(a[1] - b[1], 6)) for a, b in zip(*drawn, strict=True)}
    (moved,) = shift  # all marks move by the cloth's advance, and by nothing else
    frames = done.proof["lays"][0]["frames"]
    assert moved == pytest.approx((frames[1]["advance_mm"], 0.0))


def test_cloth_that_advances_too_far_is_told_a_shorter_way(job: Making) -> None:
    path = job()
    short = path.with_name("short.toml")
    bed, faulty = "continues = true", "continues = true\n[compensation]\nadvance_scale = 1.02"
    told = []
    for more in (bed, faulty):
        short.write_text(SHORT.format(more=more), encoding="utf-8")
        notes = [file.load.note for file in made(path, on=str(short)).files]
        (note,) = [note for note in notes if "advance the cloth by" in note]
        told.append(float(note.split("advance the cloth by ")[1].split(" mm")[0]))
    assert told[0] == pytest.approx(1.02 * told[1], abs=0.11)  # one decimal each
    assert told[0] > told[1] + 5


def test_the_register_marks_are_drawn_first(job: Making) -> None:
    path = job()
    short = path.with_name("short.toml")
    short.write_text(SHORT.format(more="continues = true"), encoding="utf-8")
    for file in made(path, on=str(short)).files:
        roles = [list(Role).index(toolpath.role) for toolpath in file.toolpaths]
        assert roles == sorted(roles)


def test_a_lay_by_hand_is_cut_as_written(job: Making) -> None:
    path = job()
    first = made(path)
    mine = path.with_name("mine.json")
    data = json.loads(first.laid.text)
    for place in data["cloths"]["acrylic"]["places"]:
        if place["piece"] == "cover":
            place["x"], place["y"] = 800.0, 150.0
        else:
            place["x"] = 100.0
            place["y"] = 0.0 if place["piece"] == "flap" else 600.0
    mine.write_text(json.dumps(data, indent=1), encoding="utf-8")
    done = made(path, LayWish(given=mine))
    (laid,) = done.laid.lays
    by_name = {piece.name: bounds(piece.cut) for piece in laid.pieces}
    assert by_name["cover"][:2] == pytest.approx((800.0, 150.0))
    assert laid.origin == "given"


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"piece": "cover"', '"piece": "cove"', "no piece 'cove'"),
        ('"on": "new roll"', '"on": "old roll"', "no 'old roll'"),
        ('"turn": ', '"twist": ', "unknown key 'twist'"),
        ('"x": 0.0', '"x": -9.0', "9.00 mm off 'new roll'"),
        ("[", "[,", "not valid JSON"),
        ('"y"', '"x"', "'y' is missing"),
        ('"acrylic"', '"cotton"', "nothing on the cloth 'acrylic'"),
    ],
)
def test_mistakes_in_a_lay_are_told_with_their_line(
    job: Making, old: str, new: str, told: str
) -> None:
    path = job()
    text = made(path).laid.text
    assert old in text
    text = text.replace(old, new)
    mine = path.with_name("mine.json")
    mine.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=re.escape(told)) as caught:
        made(path, LayWish(given=mine))
    assert caught.value.source.file == "mine.json"
    assert caught.value.source.line is not None
    assert caught.value.source.line >= 3 or "cloth" in told


def test_a_lay_that_was_found_is_kept_and_used_again(job: Making) -> None:
    path = job()
    found = made(path, LayWish(seconds=1))
    kept = lay_to_keep(found.laid, found.job)
    assert kept is not None
    assert kept[0] == path.with_name("lay.json")
    kept[0].write_bytes(kept[1])
    again = made(path)
    assert [lay["origin"] for lay in again.proof["lays"]] == ["kept in lay.json"]
    assert [file.written.data for file in again.files] == [
        file.written.data for file in found.files
    ]
    assert lay_to_keep(again.laid, again.job) is None
    # With other pieces the lay is found anew.
    changed = made(job(cover="count = 2"))
    assert [lay["origin"] for lay in changed.proof["lays"]] == ["found"]


def test_a_kept_lay_that_no_longer_passes_is_not_used(job: Making) -> None:
    path = job()
    text = made(path).laid.text
    assert '"x": 0.0' in text
    path.with_name("lay.json").write_text(text.replace('"x": 0.0', '"x": -9.0'), encoding="utf-8")
    (lay,) = made(path).proof["lays"]
    assert lay["origin"] == "found"
    path.with_name("lay.json").write_text("{", encoding="utf-8")
    done = made(path)
    assert any("not used" in finding.message for finding in done.findings)


@pytest.mark.parametrize("runs", ["right", "away"])
def test_cloth_runs_as_the_profile_says(job: Making, runs: str) -> None:
    """The same lay, turned by a quarter: not mirrored."""
    path = job()
    profile = path.with_name("square.toml")
    bed = f'[bed]\nwidth = "3300 mm"\nheight = "3300 mm"\ncloth_runs = "{runs}"\n'
    text = f'extends = "gantry-rs274"\nname = "Square gantry"\n{bed}'
    profile.write_text(text, encoding="utf-8")
    done = made(path, on=str(profile))
    (file,) = done.files
    cover = next(piece for piece in file.load.pieces if piece.name == "cover")
    low_x, low_y, high_x, high_y = bounds(cover.cut)
    size = (high_x - low_x, high_y - low_y)
    assert size == pytest.approx((2400, 1200) if runs == "right" else (1200, 2400))
    assert signed_area(cover.cut) > 0
    if runs == "away":  # the cloth's near edge is to the right
        laid = next(p for p in done.laid.lays[0].pieces if p.name == "cover")
        assert 3300 - high_x == pytest.approx(10 + bounds(laid.cut)[1], abs=1e-6)


def test_wishes_that_cannot_be_met_are_told(job: Making) -> None:
    path = job()
    with pytest.raises(InputError, match="one of them"):
        made(path, LayWish(seconds=5, given=path))
    text = path.read_text(encoding="utf-8").replace('width = "1500 mm"', "")
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match="width of the cloth is not known"):
        made(path, LayWish(seconds=5))


def test_cloth_that_the_bed_does_not_reach_is_told(job: Making) -> None:
    done = made(job(width="2000 mm"))
    assert any("does not reach 220.0 mm" in finding.message for finding in done.findings)


def test_the_grain_on_the_drawing_is_honoured(job: Making) -> None:
    """The flap's warp runs up the drawing: it lies with its 400 mm along the roll."""
    path = job()
    text = path.read_text(encoding="utf-8").replace('"panel-2"', '"panel-2"\ngrain = "90 deg"')
    path.write_text(text, encoding="utf-8")
    (laid,) = made(path).laid.lays
    flap = next(piece for piece in laid.pieces if piece.name == "flap")
    low_x, low_y, high_x, high_y = bounds(flap.cut)
    assert (high_x - low_x, high_y - low_y) == pytest.approx((400, 600))
    assert flap.grain is not None
    assert abs(math.sin(flap.grain)) < 1e-9


def test_the_samples_come_to_what_their_readmes_say() -> None:
    samples = Path(__file__).parents[2] / "samples"
    bought: dict[str, tuple[float, float]] = {}
    for name in ("bow-shelter", "market-stall"):
        done = made(samples / name / "job.toml", on="flatbed-hpgl")
        bought |= {lay["cloth"]: (lay["to_buy_mm"], lay["use"]) for lay in done.proof["lays"]}
    assert bought["acrylic"] == pytest.approx((5073.4, 0.6015), rel=1e-3)
    assert bought["coated"][0] == pytest.approx(180.0, abs=0.01)
    assert bought["duck"] == pytest.approx((2836.1, 0.6578), rel=1e-3)
