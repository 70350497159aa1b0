import itertools

import numpy as np
import pytest
import shapely
from hypothesis import given, strategies as st

from cutpath.errors import MachineError
from cutpath.geometry.measure import bounds
from cutpath.model import Load, Piece
from cutpath.path.arranging import BedRoom, arrange, renamed_apart
from tests.path.placed import box, busy, piece

BED = BedRoom(1500.0, 1000.0, 10.0, "flatbed")


def require_sound(loads: tuple[Load, ...], bed: BedRoom, gap: float) -> None:
    """Every piece in reach, and apart from every other of its load."""
    for load in loads:
        shapes = []
        for each in load.pieces:
            low_x, low_y, high_x, high_y = bounds(each.cut)
            assert low_x >= bed.margin - 1e-6
            assert low_y >= bed.margin - 1e-6
            assert high_x <= bed.width - bed.margin + 1e-6
            assert high_y <= bed.height - bed.margin + 1e-6
            holes = [loop.points for loop in each.inner_cuts]
            shapes.append(shapely.Polygon(each.cut.points, holes))
        for a, b in itertools.combinations(shapes, 2):
            assert a.distance(b) >= gap - 1e-5


def test_the_drawings_arrangement_is_kept_as_one() -> None:
    drawn = [piece("a", box(-500, 40, 300, 200)), piece("b", box(-150, 90, 400, 300))]
    (load,) = arrange(drawn, BED)
    np.testing.assert_allclose(load.pieces[0].cut.first, (10, 10))
    moved = [new.cut.first - old.cut.first for new, old in zip(load.pieces, drawn, strict=True)]
    np.testing.assert_allclose(moved[0], moved[1])


def test_a_piece_drawn_in_the_opening_of_another_stays_there() -> None:
    frame = piece("frame", box(0, 0, 600, 500), inner=[box(100, 100, 400, 300)])
    inside = piece("inside", box(150, 150, 200, 200))
    (load,) = arrange([frame, inside], BED)
    np.testing.assert_allclose(load.pieces[1].cut.first - load.pieces[0].cut.first, (150, 150))


@pytest.mark.parametrize("drawn_gap", [4.9, -10.0])
def test_pieces_drawn_too_close_are_laid_apart(drawn_gap: float) -> None:
    drawn = [piece("a", box(0, 0, 300, 200)), piece("b", box(300 + drawn_gap, 0, 300, 200))]
    loads = arrange(drawn, BED)
    assert len(loads) == 1
    require_sound(loads, BED, 5.0)


def test_pieces_drawn_just_far_enough_apart_stay() -> None:
    drawn = [piece("a", box(0, 0, 300, 200)), piece("b", box(305, 7, 300, 200))]
    (load,) = arrange(drawn, BED)
    np.testing.assert_allclose(load.pieces[1].cut.first, (315, 17))


def test_everything_on_a_piece_moves_with_it() -> None:
    drawn = [busy("a", 0, 0, 300, 200), busy("b", 0, 0, 300, 250)]
    (load,) = arrange(drawn, BED)
    for each in load.pieces:
        old = next(one for one in drawn if one.name == each.name)
        shift = each.cut.first - old.cut.first
        for new_chain, old_chain in (
            (each.net, old.net),
            (each.notches[0], old.notches[0]),
            (each.inner_cuts[0], old.inner_cuts[0]),
            (each.pen[0], old.pen[0]),
            (each.lettering[1], old.lettering[1]),
        ):
            np.testing.assert_allclose(new_chain.points - old_chain.points, [shift] * len(
                new_chain.points))  # fmt: skip
        np.testing.assert_allclose(each.drills[0] - old.drills[0], shift)


def test_cloths_are_never_cut_together_and_loads_are_numbered() -> None:
    many = [piece(f"a{i}", box(0, 0, 700, 450)) for i in range(9)]
    film = [piece("window", box(0, 0, 100, 100), cloth="film")]
    loads = arrange([many[0], *film, *many[1:]], BED)
    assert [(load.cloth, load.number) for load in loads] == [
        ("acrylic", 1),
        ("acrylic", 2),
        ("acrylic", 3),
        ("film", 1),
    ]
    require_sound(loads, BED, 5.0)


def test_a_piece_as_large_as_the_bed_fits() -> None:
    (load,) = arrange([piece("all", box(3, 4, 1480.0, 980.0))], BED)
    require_sound((load,), BED, 5.0)


def test_a_piece_too_large_is_an_error_that_names_it_its_size_the_bed_and_a_way_out() -> None:
    with pytest.raises(MachineError) as caught:
        arrange([piece("awning", box(0, 0, 1700, 600))], BED)
    told = str(caught.value)
    for words in ("awning", "1700 × 600 mm", "1480 × 980 mm", "flatbed", "split"):
        assert words in told
    assert "90°" not in told
    assert caught.value.exit_code == 3
    with pytest.raises(MachineError, match="Turned by 90°"):
        arrange([piece("strip", box(0, 0, 100, 1200))], BED)


sizes = st.tuples(st.floats(5, 700), st.floats(5, 500))


@given(st.lists(sizes, min_size=1, max_size=40), st.floats(0, 30))
def test_any_pieces_are_all_laid_once_in_reach_and_apart(
    boxes: list[tuple[float, float]], gap: float
) -> None:
    pieces = [piece(f"p{i}", box(0, 0, *size)) for i, size in enumerate(boxes)]
    loads = arrange(pieces, BED, gap)
    laid = [each.name for load in loads for each in load.pieces]
    assert sorted(laid) == sorted(each.name for each in pieces)
    require_sound(loads, BED, gap)


def test_shelves_use_the_bed_well() -> None:
    # 28 pieces of 205 × 195 mm on 1480 × 980 mm: seven a shelf with gaps of 5 mm is the most
    # that fits in the width, four shelves the most in the height.
    pieces = [piece(f"p{i}", box(0, 0, 205, 195)) for i in range(28)]
    assert len(arrange(pieces, BED)) == 1


def test_names_are_told_apart() -> None:
    same: list[Piece] = [piece("a", box(0, 0, 9, 9)) for _ in range(3)]
    assert [each.name for each in renamed_apart(same)] == ["a", "a (2)", "a (3)"]
