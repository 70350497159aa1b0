"""Frames: every piece whole in one of them, none longer than the bed, as few as can be."""

import itertools
import math

from hypothesis import given, strategies as st

from cutpath.geometry.measure import bounds
from cutpath.laid import Lay, Place
from cutpath.lay.frames import Frame, frames_of
from cutpath.lay.placing import laid_pieces
from tests.lay.laying import ROLL, rectangle


def framed(spans: list[tuple[float, float]], reach: float) -> tuple[Frame, ...]:
    pieces = [rectangle(f"p{i}", high - low, 10) for i, (low, high) in enumerate(spans)]
    places = tuple(Place(f"p{i}", 0, 0.0, low, 20.0 * i) for i, (low, _) in enumerate(spans))
    lay = Lay("acrylic", 0.0, (ROLL,), places)
    return frames_of(lay, laid_pieces(lay, {piece.name: piece for piece in pieces}), reach)


def test_a_short_lay_is_one_frame() -> None:
    (frame,) = framed([(0, 500), (500, 1000)], 1000)
    assert (frame.start, frame.advance, len(frame.pieces)) == (0.0, 0.0, 2)


def test_the_cloth_advances_to_the_first_piece_left() -> None:
    first, second = framed([(0, 500), (300, 1100), (900, 1300)], 1000)
    assert [piece.name for piece in first.pieces] == ["p0"]
    assert (second.start, second.advance) == (300.0, 300.0)


@st.composite
def intervals(draw: st.DrawFn) -> list[tuple[float, float]]:
    spans = draw(
        st.lists(st.tuples(st.integers(0, 50), st.integers(1, 10)), min_size=1, max_size=7)
    )
    return [(low * 100.0, (low + size) * 100.0) for low, size in spans]


@given(intervals())
def test_frames_hold_every_piece_and_are_fewest(spans: list[tuple[float, float]]) -> None:
    """Against trying all sets of frames that begin at a piece's start."""
    reach = 1000.0
    frames = framed(spans, reach)
    seen = [piece.name for frame in frames for piece in frame.pieces]
    assert sorted(seen) == sorted(f"p{i}" for i in range(len(spans)))
    for frame in frames:
        for piece in frame.pieces:
            low, _, high, _ = bounds(piece.cut)
            assert frame.start - 1e-6 <= low
            assert high <= frame.start + reach + 1e-6
    starts = sorted({0.0, *(low for low, _ in spans)})
    for count in range(1, len(frames)):
        for some in itertools.combinations(starts, count):
            held = [any(s <= low and high <= s + reach for s in some) for low, high in spans]
            assert not all(held)


def test_a_piece_longer_than_the_bed_is_parted_where_that_is_allowed() -> None:
    spans = [(0.0, 300.0), (200.0, 2900.0), (2600.0, 3000.0)]
    pieces = [rectangle(f"p{i}", high - low, 10) for i, (low, high) in enumerate(spans)]
    places = tuple(Place(f"p{i}", 0, 0.0, low, 20.0 * i) for i, (low, _) in enumerate(spans))
    lay = Lay("acrylic", 0.0, (ROLL,), places)
    laid = laid_pieces(lay, {piece.name: piece for piece in pieces})
    frames = frames_of(lay, laid, 1000.0, 20.0)
    parts = [frame.spans["p1"] for frame in frames if "p1" in frame.spans]
    assert math.isinf(parts[0][0])
    assert math.isinf(parts[-1][1])
    for (_, done), (begin, _) in itertools.pairwise(parts):
        assert begin == done
    for frame in frames:
        for low, high in frame.spans.values():
            # What is cut, with what is cut twice, lies in the frame.
            assert max(low - 20.0, 200.0) >= frame.start - 1e-9
            assert min(high, 2900.0) <= frame.end + 1e-9
    whole = [
        piece.name for frame in frames for piece in frame.pieces if piece.name not in frame.spans
    ]
    assert sorted(whole) == ["p0", "p2"]
