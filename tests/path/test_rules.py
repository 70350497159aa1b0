from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from cutpath.errors import InputError
from cutpath.geometry.chain import reversed_chain
from cutpath.machine.motion import moves_for
from cutpath.model import Feature, Load, Role, Toolpath
from cutpath.moves import Dwell, Follow, SelectTool, Travel
from cutpath.path.ordering import ordered_toolpaths
from cutpath.path.rules import Rules, rules_of
from cutpath.settings.profile import load_profile
from tests.path.placed import box, busy, piece

START = np.zeros(2)

HOT = """
extends = "gantry-rs274"
name = "Hot gantry"
without = ["knife"]
[order]
rest = ["0 mm", "0 mm"]
[tools.hot]
role = "hot"
stands_in = ["knife"]
number = 3
speed = 50
depth = "1 mm"
heat_distance = "30 mm"
cool_time = "{cool} s"
"""


def place_of(paths: tuple[Toolpath, ...], name: str, *features: Feature) -> list[int]:
    return [i for i, p in enumerate(paths) if p.piece == name and p.feature in features]


def many() -> Load:
    pieces = [busy(f"p{i}", 400.0 * (i % 4), 300.0 * (i // 4), 200.0, 150.0) for i in range(8)]
    return Load("acrylic", 1, tuple(pieces))


def test_marks_come_before_all_cuts_or_before_those_of_their_own_piece() -> None:
    load = many()
    drawn = (Feature.LINE, Feature.LETTERING, Feature.DRILL)
    for before in ("own cuts", "own outline"):
        paths = ordered_toolpaths(load, Rules(START, marks_before=before))
        for each in load.pieces:
            (outline,) = place_of(paths, each.name, Feature.OUTLINE)
            inner = place_of(paths, each.name, Feature.NOTCH, Feature.INNER)
            marks = place_of(paths, each.name, *drawn)
            assert max(marks + inner) < outline
            if before == "own cuts":
                assert max(marks) < min(inner)


def test_outlines_far_from_the_held_side_come_first(tmp_path: Path) -> None:
    path = tmp_path / "held.toml"
    path.write_text(
        'extends = "gantry-rs274"\nname = "Held"\n[order]\nheld_side = "left"\n'
        'held_band = "400 mm"\nreturns = true\nbegin = ["100 mm", "0 mm"]\n'
    )
    rules = rules_of(load_profile(path))
    assert rules.end is not None
    np.testing.assert_allclose(rules.end, [100.0, 0.0])
    load = many()
    paths = ordered_toolpaths(load, rules)
    xs = [p.chain.points[:, 0].min() for p in paths if p.feature is Feature.OUTLINE]
    assert [x // 400 for x in xs] == sorted((x // 400 for x in xs), reverse=True)


def test_a_piece_in_an_opening_comes_before_it_even_nearer_to_the_held_side() -> None:
    from cutpath.path.rules import Held

    outer = piece("outer", box(0, 0, 900, 800), inner=[box(100, 100, 700, 600)])
    inmost = piece("inmost", box(120, 120, 100, 100))
    load = Load("acrylic", 1, (outer, inmost))
    paths = ordered_toolpaths(load, Rules(START, held=Held((-1.0, 0.0), 50.0)))
    (opening,) = place_of(paths, "outer", Feature.INNER)
    assert max(place_of(paths, "inmost", Feature.OUTLINE)) < opening


def hot_profile(tmp_path: Path, cool: float) -> Path:
    path = tmp_path / "hot.toml"
    path.write_text(HOT.format(cool=cool))
    return path


def test_hot_outlines_that_are_near_wait_away_from_the_cloth(tmp_path: Path) -> None:
    profile = load_profile(hot_profile(tmp_path, 120.0))
    pieces = (piece("a", box(500, 500, 100, 100)), piece("b", box(610, 500, 100, 100)))
    bare = tuple(replace(p, lettering=()) for p in pieces)
    paths = ordered_toolpaths(Load("acrylic", 1, bare), rules_of(profile))
    assert [path.pause is not None for path in paths] == [False, True]
    moves = moves_for(paths, profile)
    waits = [i for i, move in enumerate(moves) if isinstance(move, Dwell) and move.seconds > 50]
    (wait,) = waits
    before = moves[wait - 1]
    assert isinstance(before, Travel)
    np.testing.assert_allclose(before.to, [0.0, 0.0])
    assert isinstance(moves[0], SelectTool)
    assert sum(isinstance(move, Follow) for move in moves[:wait]) >= 1
    assert sum(isinstance(move, Follow) for move in moves[wait:]) >= 1


def test_hot_outlines_far_apart_do_not_wait(tmp_path: Path) -> None:
    profile = load_profile(hot_profile(tmp_path, 120.0))
    pieces = (piece("a", box(500, 500, 100, 100)), piece("b", box(640, 500, 100, 100)))
    paths = ordered_toolpaths(Load("acrylic", 1, pieces), rules_of(profile))
    assert not any(path.pause for path in paths)


def test_a_machine_that_cannot_wait_has_no_cooling(tmp_path: Path) -> None:
    path = tmp_path / "hot.toml"
    path.write_text(
        'extends = "flatbed-hpgl"\nname = "Hot"\n[tools.knife]\nheat_distance = "9 mm"\n'
        "cool_time = 5\n"
    )
    with pytest.raises(InputError, match="no instruction to wait"):
        load_profile(path)


def test_heat_distance_and_cool_time_belong_together(tmp_path: Path) -> None:
    path = tmp_path / "hot.toml"
    path.write_text('extends = "gantry-rs274"\nname = "Hot"\n[tools.knife]\ncool_time = 5\n')
    with pytest.raises(InputError, match="belong together"):
        load_profile(path)


def test_a_pen_that_cuts_needs_no_change_of_tools() -> None:
    profile = load_profile("paper-plotter")
    rules = rules_of(profile)
    assert rules.tool(Role.PEN, Feature.LINE).name == rules.tool(Role.KNIFE, Feature.OUTLINE).name


def test_turned_openings_are_found_too() -> None:
    # An opening may run either way round: what lies in it still comes first.
    outer = piece("outer", box(0, 0, 900, 800), inner=[reversed_chain(box(100, 100, 700, 600))])
    inmost = piece("inmost", box(120, 120, 100, 100))
    paths = ordered_toolpaths(Load("acrylic", 1, (outer, inmost)), Rules(START))
    (opening,) = place_of(paths, "outer", Feature.INNER)
    assert max(place_of(paths, "inmost", Feature.OUTLINE)) < opening


TWO_KNIVES = """
extends = "gantry-rs274"
name = "Two knives"
[order]
marks_before = "{marks}"
{held}
[tools.notcher]
role = "knife"
only = ["notch"]
number = 4
speed = 100
depth = "1.5 mm"
"""


# Each tool is picked once, whatever else decides about the order.
@pytest.mark.parametrize("held", ["", 'held_side = "left"\nheld_band = "400 mm"'])
@pytest.mark.parametrize("marks", ["all cuts", "own cuts", "own outline"])
@pytest.mark.parametrize("rounds", [0, 4])
def test_a_tool_for_notches_only_is_picked_once(
    tmp_path: Path, marks: str, held: str, rounds: int
) -> None:
    path = tmp_path / "two.toml"
    path.write_text(TWO_KNIVES.format(marks=marks, held=held))
    profile = load_profile(path)
    load = many()
    paths = ordered_toolpaths(load, rules_of(profile), rounds)
    picked = [move.tool for move in moves_for(paths, profile) if isinstance(move, SelectTool)]
    assert sorted(picked) == ["drill", "knife", "notcher", "pen"]
    assert picked[-1] == "knife"
    notches = [path for path in paths if path.feature is Feature.NOTCH]
    assert len(notches) == sum(len(piece.notches) for piece in load.pieces)


def test_bands_of_outlines_stay_where_a_tool_makes_notches_only(tmp_path: Path) -> None:
    path = tmp_path / "two.toml"
    held = 'held_side = "left"\nheld_band = "400 mm"'
    path.write_text(TWO_KNIVES.format(marks="all cuts", held=held))
    paths = ordered_toolpaths(many(), rules_of(load_profile(path)))
    xs = [p.chain.points[:, 0].min() // 400 for p in paths if p.feature is Feature.OUTLINE]
    assert xs == sorted(xs, reverse=True)
