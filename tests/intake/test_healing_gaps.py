"""An outline that stays open is told with the gap, both ends and the mend."""

from itertools import pairwise

import pytest

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import line, polyline
from cutpath.intake.healing import heal, require_closed
from cutpath.model import Curve, Sort


def sides(gap: float, sort: Sort = Sort.OUTLINE) -> list[Curve]:
    ends = [((0, 0), (100, 0)), ((100 + gap, 0), (100, 100)), ((100, 100), (0, 100)),
            ((0, 100), (0, 0))]  # fmt: skip
    return [
        Curve(line(a, b), Source("sheet.dxf", "CUT", f"LINE {k}"), sort)
        for k, (a, b) in enumerate(ends)
    ]


def complaint(curves: list[Curve], tolerance: float = 0.1) -> InputError:
    found, _ = heal(curves, tolerance)
    with pytest.raises(InputError) as caught:
        require_closed(found, tolerance)
    return caught.value


def test_a_near_miss_tells_both_lines_both_ends_the_gap_and_the_join_that_closes_it() -> None:
    error = complaint(sides(0.6))
    text = str(error)
    assert "sheet.dxf" in text
    assert "layer CUT" in text
    assert {"LINE 0", "LINE 1"} <= {word.strip(",") for word in _entities(text)}
    assert "(100.00, 0.00)" in text
    assert "(100.60, 0.00)" in text
    assert "0.60 mm" in text
    assert "--join" in error.remedy


def _entities(text: str) -> set[str]:
    words = text.replace("\n", " ").split()
    return {f"{a} {b}" for a, b in pairwise(words) if a == "LINE"}


def test_the_join_that_is_proposed_closes_it() -> None:
    for gap in (0.11, 0.333, 0.6, 1.999):
        remedy = complaint(sides(gap)).remedy
        proposed = float(remedy.split("--join ")[1].split("mm")[0])
        found, _ = heal(sides(gap), proposed)
        require_closed(found, proposed)
        assert len(found.loops) == 1


def test_a_wide_gap_proposes_no_join() -> None:
    assert "--join" not in complaint(sides(7)).remedy


def test_an_open_polyline_is_told_with_its_own_other_end() -> None:
    open_one = polyline([(0, 0), (100, 0), (100, 100), (0.5, 0.0)])
    error = complaint([Curve(open_one, Source(entity="LWPOLYLINE 2F"))])
    assert "its own other end" in str(error)


def test_several_near_misses_are_counted() -> None:
    twice = [
        Curve(line(a, b), Source(entity=f"LINE {k}"))
        for k, (a, b) in enumerate(
            [((0, 0), (100, 0)), ((100.5, 0), (50, 90)), ((50.4, 90), (0, 0))]
        )
    ]
    assert "one more gap" in str(complaint(twice))


def test_the_two_lines_named_are_those_at_the_gap_however_they_were_drawn() -> None:
    for order in ((0, 1, 2, 3), (2, 3, 0, 1), (3, 1, 2, 0), (1, 0, 3, 2)):
        drawn = [sides(0.6)[k] for k in order]
        assert _entities(str(complaint(drawn))) >= {"LINE 0,", "LINE 1"} or _entities(
            str(complaint(drawn))
        ) >= {"LINE 1,", "LINE 0"}


def test_ticks_and_lines_that_bound_nothing_may_stay_open() -> None:
    loop = Curve(polyline([(0, 0), (100, 0), (50, 80)], closed=True), Source())
    tick = Curve(line((50, 0), (50, -8)), Source())
    drawn = Curve(line((10, 10), (90, 10)), Source(), Sort.DRAWN)
    found, _ = heal([loop, tick, drawn])
    require_closed(found, 0.1)
    assert len(found.open) == 2
