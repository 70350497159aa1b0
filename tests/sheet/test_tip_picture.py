"""The magnified picture of the tip."""

import re

import numpy as np

from cutpath.geometry.chain import circle, line
from cutpath.sheet.tip_picture import TipPicture, draw_tip_picture


def picture(deviation: float = 0.2) -> TipPicture:
    return TipPicture(
        title="Bag: knife",
        asked=[line((0, 0), (500, 0)), circle((900, 900), 50)],
        tip=[line((0, deviation), (500, deviation))],
        holder=[line((0.5, deviation), (500.5, deviation))],
        offset=0.5,
        at=np.array([250.0, deviation]),
        deviation=deviation,
        tolerance=0.1,
    )


def test_only_what_is_near_the_worst_place_is_drawn_to_one_scale() -> None:
    svg = draw_tip_picture(picture())
    # 12 × 0.2 mm are 160 mm of paper: 67 times as large.
    assert "67 times as large" in svg
    paths = re.findall(r'd="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"', svg)
    assert len(paths) == 3  # the far circle is left out
    asked, _, tip = (np.array(path, dtype=float) for path in paths)
    assert asked[[0, 2]].tolist() == [10, 170]
    assert abs((asked[1] - tip[1]) - 0.2 * 160 / 2.4) < 0.02


def test_the_same_input_gives_the_same_picture() -> None:
    assert draw_tip_picture(picture()) == draw_tip_picture(picture())


def test_a_perfect_cut_still_has_a_picture() -> None:
    assert "0.000 mm" in draw_tip_picture(picture(0.0))
