import math
import string

import numpy as np
import pytest
import shapely
from hypothesis import given, strategies as st

from cutpath.geometry.chain import Chain, circle, polyline
from cutpath.geometry.measure import bounds
from cutpath.path.labels import Label, label_piece
from cutpath.path.lettering import lettered, plain_letters, text_size

ORIGIN = np.zeros(2)
LINES = ["bow shelter", "side 1/2", "acrylic, face up"]


def rectangle(width: float, height: float, angle: float = 0.0) -> Chain:
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], dtype=float)
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    return polyline(corners @ turn.T, closed=True)


def written_within(label: Label, outline: Chain, taken: list[Chain]) -> bool:
    area = shapely.Polygon(outline.points)
    strokes = [shapely.LineString(chain.points) for chain in (*label.words, *label.arrow)]
    blocks = [
        shapely.Polygon(chain.points) if chain.closed else shapely.LineString(chain.points)
        for chain in taken
    ]
    return all(
        area.contains(stroke) and not any(stroke.intersects(block) for block in blocks)
        for stroke in strokes
    )


def capital_height(label: Label) -> float:
    """The height of the first letter of the label, which must be an upright capital."""
    low, high = bounds(label.words[0])[1::2]
    return high - low


def test_capitals_are_as_high_as_asked() -> None:
    _, low, _, high = _box(lettered(["H"], 8.0, ORIGIN, 0.0))
    assert high - low == pytest.approx(8.0)


def test_every_printable_letter_is_drawn() -> None:
    for letter in string.printable:
        if letter.isprintable() and letter != " ":
            assert lettered([letter], 8.0, ORIGIN, 0.0), letter


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Größe", "Grosse"),
        ("pièce nº 2", "piece no 2"),
        ("Łódź – 3×4", "Lodz - 3x4"),
        ("½ in", "1/2 in"),
        ("帆", "?"),
    ],
)
def test_foreign_letters_become_the_nearest_plain_ones(text: str, plain: str) -> None:
    assert plain_letters(text) == plain


@given(st.text(max_size=12))
def test_any_text_can_be_written(text: str) -> None:
    for chain in lettered([text], 5.0, ORIGIN, 0.3):
        assert np.isfinite(chain.points).all()


@given(st.lists(st.text(string.ascii_letters + "|jgQ(", min_size=1, max_size=9), min_size=1,
                max_size=4), st.floats(1, 60))  # fmt: skip
def test_words_fill_the_size_they_say_about_their_middle(lines: list[str], height: float) -> None:
    width, tall = text_size(lines, height)
    box = _box(lettered(lines, height, np.array([7.0, -3.0]), 0.0))
    np.testing.assert_allclose(
        box, [7 - width / 2, -3 - tall / 2, 7 + width / 2, -3 + tall / 2], atol=1e-9 * height
    )


def test_lines_are_read_from_left_to_right_and_from_top_to_bottom() -> None:
    strokes = lettered(["II", "I"], 10.0, ORIGIN, 0.0)
    middles = np.array([chain.points.mean(axis=0) for chain in strokes])
    assert middles[0, 0] < middles[1, 0]
    assert middles[0, 1] == pytest.approx(middles[1, 1])
    assert middles[2, 1] < middles[0, 1]


def test_a_roomy_piece_gets_a_level_label_of_full_size_and_an_arrow() -> None:
    outline = rectangle(600, 400)
    label = label_piece(outline, [], ["Hood", *LINES[1:]], 8.0, math.radians(30))
    assert label.fits
    assert capital_height(label) == pytest.approx(8.0)
    assert written_within(label, outline, [])
    along = label.arrow[0].last - label.arrow[0].first
    assert math.atan2(along[1], along[0]) == pytest.approx(math.radians(30))


def test_a_label_keeps_out_of_an_opening_and_off_drawn_lines() -> None:
    outline = rectangle(500, 300)
    opening = polyline([(60, 60), (60, 240), (330, 240), (330, 60)], closed=True)
    fold = polyline([(0, 280), (500, 280)])
    label = label_piece(outline, [opening, fold], LINES, 8.0, 0.0)
    assert label.fits
    assert written_within(label, outline, [opening, fold])


def test_the_arrow_keeps_off_the_label() -> None:
    label = label_piece(rectangle(260, 120), [], LINES, 8.0, 0.0)
    words = shapely.union_all([shapely.LineString(chain.points) for chain in label.words])
    assert label.arrow
    assert all(shapely.LineString(chain.points).disjoint(words) for chain in label.arrow)


@pytest.mark.parametrize("degrees", [90, 40, -65, 130])
def test_a_narrow_piece_is_written_on_along_its_longest_side_never_upside_down(
    degrees: float,
) -> None:
    outline = rectangle(900, 70, math.radians(degrees))
    label = label_piece(outline, [], ["I", *LINES[1:]], 8.0, None)
    assert label.fits
    assert written_within(label, outline, [])
    down, up = sorted(label.words[0].points[[0, -1]].tolist(), key=lambda point: point[1])
    upright = math.degrees(math.atan2(up[1] - down[1], up[0] - down[0])) - 90
    assert (upright - degrees) % 180 == pytest.approx(0, abs=1e-6) or (
        upright - degrees
    ) % 180 == pytest.approx(180, abs=1e-6)


def test_a_small_piece_has_smaller_letters_then_fewer_words_then_none() -> None:
    counts = []
    for height in (400, 40, 20, 15):
        outline = rectangle(60, height)
        label = label_piece(outline, [], ["H", "side 1/2", "acrylic"], 8.0, None)
        assert label.fits
        assert written_within(label, outline, [])
        counts.append(len(label.words))
    assert counts[0] == counts[1] > counts[2] > counts[3] > 0
    nothing = label_piece(rectangle(14, 14), [], LINES, 8.0, 0.0)
    assert not nothing.fits
    assert not nothing.words


def test_height_0_asks_for_no_label_and_small_letters_may_be_asked_for() -> None:
    assert label_piece(rectangle(400, 300), [], LINES, 0.0, None).fits
    small = label_piece(rectangle(400, 300), [], ["H"], 2.0, None)
    assert capital_height(small) == pytest.approx(2.0)


radii = st.lists(st.floats(30, 400), min_size=5, max_size=9)


@given(radii, st.floats(0, math.pi), st.floats(5, 60))
def test_on_any_piece_nothing_is_written_outside_or_over_something(
    reach: list[float], grain: float, hole: float
) -> None:
    turns = 2 * np.pi * np.arange(len(reach)) / len(reach)
    outline = polyline(
        np.array(reach)[:, None] * np.column_stack([np.cos(turns), np.sin(turns)]), closed=True
    )
    opening = polyline(circle((0, 0), hole).points, closed=False)
    label = label_piece(outline, [opening], LINES, 8.0, grain)
    assert written_within(label, outline, [opening])
    assert label.fits == bool(label.words)


def _box(chains: tuple[Chain, ...]) -> tuple[float, float, float, float]:
    boxes = np.array([bounds(chain) for chain in chains])
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
