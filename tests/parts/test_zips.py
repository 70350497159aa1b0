"""Zips along edges: their length, where their tape is snipped, and when they are questioned."""

import math

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.errors import InputError
from cutpath.geometry.chain import arc, line
from cutpath.parts.zips import STRAIN, zip_snips, zips
from tests.parts.laid_along import in_pair, job_of, number, panel_with, plan_of


@settings(deadline=None)
@given(st.floats(20, 5000), st.floats(10, 60))
def test_snips_leave_tape_that_follows_and_never_reach_beyond_half(
    radius: float, tape: float
) -> None:
    stations = np.linspace(0, 1000, 2001)
    snips = zip_snips((stations, np.full(2001, 1 / radius)), tape)
    if tape / radius <= STRAIN:
        assert snips.stations == ()
        return
    assert 0 < snips.depth <= tape / 2
    rest = tape - snips.depth
    assert rest / radius <= STRAIN * (1 + 1e-9) or snips.depth == tape / 2
    # Between two snips the tape lies straight: never more than 0.5 mm beside the curve.
    apart = np.diff(snips.stations)
    assert (apart**2 / (8 * radius) <= 0.5 + apart.max() * 0.5 / radius).all()


def test_only_the_bend_is_snipped() -> None:
    stations = np.linspace(0, 1000, 1001)
    bends = np.where((stations > 400) & (stations < 600), -1 / 200, 0.0)
    snips = zip_snips((stations, bends), 30.0)
    assert 400 < snips.stations[0] <= 402
    assert snips.stations[-1] < 600


def test_length_and_sliders_count_for_every_panel() -> None:
    panel = in_pair(panel_with(line((0, 0), (800, 0))))
    (part,) = zips((plan_of(panel),), job_of("zip", {"along": ["p/bottom"], "sliders": 2}))
    assert number(part, "zip length") == pytest.approx(850)
    assert [supply.amount for supply in part.supplies] == pytest.approx([1700, 4])
    assert not any(reason.what == "snips in the tape" for reason in part.reasons)


def test_an_easy_bend_is_not_questioned() -> None:
    panel = panel_with(arc((0, 0), 400, -math.pi * 0.7, math.pi * 0.4))
    (part,) = zips((plan_of(panel),), job_of("zip", {"along": ["p/bottom"]}))
    assert part.findings == ()
    assert number(part, "snips in the tape") > 5


def test_an_edge_that_is_not_there_is_told() -> None:
    with pytest.raises(InputError, match="no edge 'botom'"):
        zips((plan_of(panel_with(line((0, 0), (800, 0)))),), job_of("zip", {"along": ["p/botom"]}))
