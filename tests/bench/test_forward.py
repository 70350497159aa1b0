"""What is measured on a machine that is as its profile says, and on one that is not."""

import math

import pytest
from hypothesis import given
from hypothesis.strategies import floats

from cutpath.bench.fit.forward import Forward
from cutpath.bench.fit.tractrix import corner_distance

SCALES = floats(0.95, 1.05)
SKEWS = floats(-0.05, 0.05)
PLAYS = floats(0.0, 1.0)


def _values(x: float, y: float, skew: float, play: float, trail: float) -> dict[str, float]:
    return {
        "x_scale": x,
        "y_scale": y,
        "skew": skew,
        "x_backlash": play,
        "y_backlash": play / 2,
        "advance_scale": x,
        "pen.offset_x": 0.3,
        "pen.offset_y": -0.2,
        "knife.offset_x": 4.0,
        "knife.offset_y": 1.0,
        "knife.blade_offset": trail,
    }


@given(SCALES, SCALES, SKEWS, PLAYS, floats(0.1, 2.0))
def test_a_machine_as_the_profile_says_does_what_is_asked(
    x: float, y: float, skew: float, play: float, trail: float
) -> None:
    told = _values(x, y, skew, play, trail)
    forward = Forward(told)
    assert forward.step(told, (600, -400)) == pytest.approx((600, -400))
    assert forward.play(told, "x") == 0
    assert forward.beside(told, "knife", "pen") == pytest.approx((0, 0), abs=1e-9)
    assert forward.advanced(told, "y", 1000) == pytest.approx(0, abs=1e-9)
    assert forward.slit_gap(told, "knife", "y") == pytest.approx(2 * trail)
    assert forward.circle(told, "knife", 20) == pytest.approx(2 * math.sqrt(100 - trail**2))
    wanted = corner_distance((0, 0), (math.cos(2), math.sin(2)), trail)
    assert forward.corner(told, "knife", 2.0) == pytest.approx(wanted)


@given(SCALES, SCALES, SKEWS, SCALES, SCALES)
def test_residuals_compose(a: float, b: float, skew: float, c: float, d: float) -> None:
    # What is left after one tune, tuned again, is what one tune from nothing tells.
    nothing = _values(1, 1, 0, 0, 0.5)
    first, true = _values(a, b, skew, 0, 0.5), _values(c, d, -skew, 0, 0.5)
    once = Forward(nothing).step(first, (600, 400))
    asked = Forward(first).step(true, once)
    assert asked == pytest.approx(Forward(nothing).step(true, (600, 400)))


@given(floats(0.2, 2.9), floats(0.1, 3.0), floats(1.1, 2.0))
def test_sharper_corners_are_cut_shorter(turn: float, trail: float, more: float) -> None:
    out = math.cos(turn), math.sin(turn)
    here = corner_distance((0, 0), out, trail)
    assert corner_distance((0, 0), out, more * trail) == pytest.approx(more * here)
    sharper = turn + 0.1
    beyond = corner_distance((0, 0), (math.cos(sharper), math.sin(sharper)), trail)
    assert beyond > here > 0
