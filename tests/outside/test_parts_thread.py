"""Thread against published worked examples and rules of thumb."""

import pytest

from cutpath.parts.thread import stitches, thread_for, thread_ratio
from cutpath.settings.part_tables.webbing import ThreadEntry

INCH = 25.4


def test_lockstitch_by_the_published_example() -> None:
    # 10 stitches an inch through 0.01 in: C = 2 + 2 · 0.01 · 10 = 2.2 (textilecalculations.com).
    assert thread_ratio("301", 0.01 * INCH, INCH / 10, 5.0) == pytest.approx(2.2)
    # p 4 mm, T 2 mm: 3.0.
    assert thread_ratio("301", 2.0, 4.0, 5.0) == pytest.approx(3.0)


def test_chain_stitch_by_the_published_example() -> None:
    # 9 stitches an inch through 0.005 in: C = 3 + 2 · 0.005 · 9 = 3.09 (textilecalculations.com).
    assert thread_ratio("101", 0.005 * INCH, INCH / 9, 5.0) == pytest.approx(3.09)


def test_zigzag_by_plane_geometry_and_the_published_ratio() -> None:
    # p 2.5, W 5, T 1.5: 2 (√31.25 + 1.5) / 2.5 = 5.672, near the 5.5 of apparelscience.com.
    assert thread_ratio("304", 1.5, 2.5, 5.0) == pytest.approx(5.672, abs=5e-4)
    assert thread_ratio("304", 1.5, 2.5, 5.0) == pytest.approx(stitches()["304"].ratio, rel=0.04)


def test_needle_and_bobbin_of_the_published_example() -> None:
    # 220 cm of lockstitch by the ratio: 550 cm, 275 of the needle and 275 of the bobbin
    # (apparelscience.com, stitch classes 300 to 400).
    lock = stitches()["301"]
    assert 220 * lock.ratio == pytest.approx(550)
    assert 220 * lock.ratio * lock.shares["needle"] == pytest.approx(275)


def test_two_thread_chain_stitch_as_it_was_measured() -> None:
    # 15 cm of seam took 19.5 cm of needle and 62.0 cm of looper thread (apparelscience.com, actual
    # consumption): 5.43 to 1, a quarter of it the needle's.
    chain = stitches()["401"]
    assert chain.ratio == pytest.approx((19.5 + 62.0) / 15, rel=0.02)
    assert chain.shares["needle"] == pytest.approx(19.5 / (19.5 + 62.0), abs=0.02)


def test_a_whole_job_by_hand() -> None:
    # 12.4 m in two rows at C = 3.0 and 15 % waste: 12.4 · 2 · 3.0 · 1.15 = 85.56 m.
    entry = ThreadEntry(stitch_length=4.0, ply=1.0, waste=0.15)
    needed = thread_for(2 * 12_400, "301", 2, entry)
    assert needed * (1 + entry.waste) == pytest.approx(85_560)


def test_shares_make_a_whole_and_each_number_has_its_source() -> None:
    for number, stitch in stitches().items():
        assert sum(stitch.shares.values()) == pytest.approx(1.0), number
        assert stitch.source
        assert stitch.ratio_source
