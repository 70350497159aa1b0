from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.geometry.chain import circle, line
from cutpath.geometry.measure import length, signed_area
from cutpath.geometry.nearest import nearest
from cutpath.model import Feature, Load, Piece, Role, Toolpath
from cutpath.path.ordering import ordered_toolpaths
from cutpath.path.rules import Rules
from cutpath.path.starts import begun_at, start_stations
from tests.path.placed import box, busy, piece

START = np.zeros(2)
STAGES = {Role.PEN: 0, Role.DRILL: 1, Role.KNIFE: 2}


def ordered(*pieces: Piece) -> tuple[Toolpath, ...]:
    return ordered_toolpaths(Load("acrylic", 1, tuple(pieces)), Rules(START))


def place_of(paths: Sequence[Toolpath], name: str, feature: Feature) -> list[int]:
    return [i for i, path in enumerate(paths) if (path.piece, path.feature) == (name, feature)]


def travel(paths: Sequence[Toolpath]) -> float:
    ends = [START, *(path.chain.last for path in paths[:-1])]
    gaps = [path.chain.first - end for path, end in zip(paths, ends, strict=True)]
    return float(np.hypot(*np.array(gaps).T).sum())


@st.composite
def loads(draw: st.DrawFn) -> list[Piece]:
    count = draw(st.integers(1, 5))
    return [
        busy(f"p{i}", draw(st.floats(0, 2000)), draw(st.floats(0, 1000)), 200.0, 150.0)
        for i in range(count)
    ]


@settings(max_examples=12)
@given(loads())
def test_all_is_made_once_in_the_order_of_the_tools_and_outlines_last(
    pieces: list[Piece],
) -> None:
    paths = ordered(*pieces)
    assert len(paths) == sum(
        len(p.pen) + len(p.lettering) + len(p.drills) + len(p.notches) + len(p.inner_cuts) + 1
        for p in pieces
    )
    stages = [STAGES[path.role] for path in paths]
    assert stages == sorted(stages)
    for each in pieces:
        (outline,) = place_of(paths, each.name, Feature.OUTLINE)
        inside = place_of(paths, each.name, Feature.NOTCH) + place_of(
            paths, each.name, Feature.INNER
        )
        assert len(inside) == 3
        assert max(inside) < outline


@settings(max_examples=12)
@given(loads())
def test_every_stroke_is_the_one_asked_for_only_begun_or_turned_otherwise(
    pieces: list[Piece],
) -> None:
    paths = ordered(*pieces)
    for each in pieces:
        for feature, asked in (
            (Feature.NOTCH, each.notches),
            (Feature.INNER, each.inner_cuts),
            (Feature.OUTLINE, (each.cut,)),
            (Feature.LINE, each.pen),
        ):
            made = [paths[i].chain for i in place_of(paths, each.name, feature)]
            assert len(made) == len(asked)
            for chain in made:
                twin = min(asked, key=lambda one: nearest(one, chain.points).distance.max())
                assert nearest(twin, chain.points).distance.max() < 1e-9
                assert length(chain) == pytest.approx(length(twin))
                if chain.closed:
                    assert signed_area(chain) == pytest.approx(signed_area(twin))


def test_a_drill_mark_is_a_stroke_of_no_length() -> None:
    paths = ordered(piece("a", box(0, 0, 200, 150), drills=[(40, 50)]))
    (drill,) = [path for path in paths if path.role is Role.DRILL]
    np.testing.assert_allclose(drill.chain.points, [(40.0, 50.0), (40.0, 50.0)])


def test_lettering_is_written_in_one_go_in_the_order_of_reading() -> None:
    pieces = [busy(f"p{i}", 300 * i, 0, 200, 150) for i in range(4)]
    paths = ordered(*pieces)
    for each in pieces:
        first, second = place_of(paths, each.name, Feature.LETTERING)
        assert second == first + 1
        np.testing.assert_allclose(paths[first].chain.points, each.lettering[0].points)


def test_slits_are_cut_from_the_cut_line_inward() -> None:
    each = busy("a", 0, 0, 200, 150)
    for path in ordered(each):
        if path.feature is Feature.NOTCH:
            assert nearest(each.cut, path.chain.first[None]).distance[0] < 1e-9


def test_what_lies_in_an_opening_is_cut_wholly_before_the_opening() -> None:
    outer = piece("outer", box(0, 0, 900, 800), inner=[box(100, 100, 700, 600)])
    middle = piece("middle", box(150, 150, 600, 500), inner=[box(250, 250, 400, 300)])
    inmost = piece("inmost", box(300, 300, 200, 200), inner=[circle((400, 400), 50)])
    paths = ordered(outer, middle, inmost)
    cuts = [(path.piece, path.feature) for path in paths if path.role is Role.KNIFE]
    assert cuts == [
        (name, feature)
        for name in ("inmost", "middle", "outer")
        for feature in (Feature.INNER, Feature.OUTLINE)
    ]


def test_cuts_begin_on_straight_sides_away_from_corners_and_notches() -> None:
    notches = [line((x, 0), (x, 5)) for x in (100, 200, 300)]
    each = piece("a", box(0, 0, 400, 300), notches=notches)
    (outline,) = [path for path in ordered(each) if path.feature is Feature.OUTLINE]
    start = outline.chain.first
    corners = np.hypot(*(each.cut.points - start).T)
    assert corners.min() > 50
    assert min(float(np.hypot(*(stroke.first - start))) for stroke in notches) > 8


def test_a_start_on_a_notched_side_moves_off_the_notch() -> None:
    loop = box(0, 0, 400, 300)
    stations = start_stations(loop, np.array([[200.0, 0.0]]))
    assert abs(stations[0] - 200.0) > 8
    assert 0 < stations[0] < 400
    np.testing.assert_allclose(start_stations(loop, np.zeros((0, 2)))[0], 200.0)


@given(st.floats(0, 1399.9))
def test_beginning_elsewhere_keeps_the_curve(station: float) -> None:
    loop = box(0, 0, 400, 300)
    begun = begun_at(loop, station)
    assert nearest(loop, begun.points).distance.max() < 1e-9
    assert length(begun) == pytest.approx(1400)
    assert signed_area(begun) == pytest.approx(120_000)
    assert nearest(loop, begun.first[None]).station[0] % 1400 == pytest.approx(
        station % 1400, abs=1e-5
    )


def test_travel_is_far_shorter_than_piece_by_piece() -> None:
    rng = np.random.default_rng(2)
    places = [(300.0 * x, 250.0 * y) for x in range(6) for y in range(5)]
    shuffled = [places[k] for k in rng.permutation(30)]
    pieces = [busy(f"p{i}", x, y, 200.0, 150.0) for i, (x, y) in enumerate(shuffled)]
    paths = ordered(*pieces)
    drawn = sorted(paths, key=lambda path: (STAGES[path.role], int(path.piece[1:])))
    assert travel(paths) < 0.4 * travel(drawn)


def test_the_same_load_gives_the_same_order() -> None:
    pieces = [busy(f"p{i}", 210 * (i * 7 % 10), 160 * (i * 3 % 5), 200, 150) for i in range(10)]
    first, again = ordered(*pieces), ordered(*pieces)
    assert [path.chain.points.tobytes() for path in first] == [
        path.chain.points.tobytes() for path in again
    ]


def test_nothing_on_the_bed_gives_nothing_to_do() -> None:
    assert ordered() == ()
