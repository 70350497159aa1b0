"""The picture of an edge laid fair, read back."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from cutpath.geometry.chain import polyline
from cutpath.model import EdgeName
from cutpath.revise.fairing import fair, told_of
from cutpath.revision import Faired
from cutpath.sheet.fair_picture import draw_fair

SVG = "{http://www.w3.org/2000/svg}"


def faired(within: float = 1.0) -> Faired:
    rng = np.random.default_rng(5)
    x = np.linspace(0, 2000, 60)
    points = np.stack([x, 100 * np.sin(np.pi * x / 2000) + rng.uniform(-0.5, 0.5, 60)], axis=1)
    edge = polyline(points)
    return told_of(EdgeName("a<b", 'aft & "co"'), within, edge, fair(edge, within), 0.0)


def layer(picture: str, name: str) -> ET.Element:
    root = ET.fromstring(picture)
    return next(group for group in root.iter(f"{SVG}g") if group.get("id") == name)


def test_teeth_stand_on_the_outside_and_are_as_long_as_the_bend_is_sharp() -> None:
    comb = layer(draw_fair(faired()), "comb")
    teeth = [
        (float(line.get("y1", "")) - float(line.get("y2", ""))) for line in comb.iter(f"{SVG}line")
    ]
    # The hump bends right: its outside is up, and it bends most in the middle (a half sine wave).
    assert teeth[len(teeth) // 2] > 10
    assert max(teeth) < 1.4 * teeth[len(teeth) // 2]
    assert abs(teeth[0]) < 3
    assert abs(teeth[-1]) < 3


def test_every_digitised_point_is_shown_within_the_dotted_limits() -> None:
    moves = layer(draw_fair(faired()), "moves")
    heights = [float(ring.get("cy", "")) for ring in moves.iter(f"{SVG}circle")]
    dotted = [
        float(line.get("y1", ""))
        for line in moves.iter(f"{SVG}line")
        if line.get("stroke-dasharray")
    ]
    assert len(heights) == 60
    assert min(dotted) - 0.02 <= min(heights)
    assert max(heights) <= max(dotted) + 0.02


def test_it_says_the_numbers_and_survives_odd_names() -> None:
    told = faired()
    picture = draw_fair(told, "Job")
    words = " ".join(text.text or "" for text in ET.fromstring(picture).iter(f"{SVG}text"))
    assert 'a<b/aft & "co"' in words
    assert f"inflections {told.inflections_before} before, {told.inflections} now" in words
    radius = re.search(r"smallest radius ([\d,]+) mm", words)
    assert radius is not None
    assert float(radius[1].replace(",", "")) == pytest.approx(told.smallest_radius, abs=1)
    assert picture == draw_fair(told, "Job")
