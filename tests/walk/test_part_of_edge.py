"""Seams that take only a part of the first edge: strips that stop short of its ends."""

import math

import pytest

from cutpath.errors import InputError
from cutpath.geometry.chain import arc, line
from cutpath.model import EdgeName, Panel, Seam
from cutpath.seam_report import Verdict
from cutpath.walk.walking import walk
from tests.walk.gores import panel_of, straight_panel, with_marks

HOST, STRIP = EdgeName("host", "fore"), EdgeName("strip", "fore")


def panels(strip: float, mark: float) -> dict[str, Panel]:
    host = straight_panel("host", [(0, 0), (1000, 0), (1000, 500), (0, 500)])
    short = straight_panel("strip", [(0, 0), (strip, 0), (strip, 90), (0, 90)])
    return {
        "host": with_marks(host, "fore", [("before", 20), ("end", 50), ("a", 300), ("after", 990)]),
        "strip": with_marks(short, "fore", [("a", mark)]),
    }


def test_only_what_is_sewn_is_walked() -> None:
    # Sewn from 50 to 900: 850 long; the mark at 300 lies 600 from the far end.
    (report,) = walk(panels(850, 600), [Seam("s", HOST, STRIP, span=(50, 900))])
    assert report.verdict is Verdict.FITS
    assert (report.first_length, report.second_length) == pytest.approx((850, 850))
    assert [mark.name for mark in report.marks] == ["a"]
    assert report.marks[0].first == pytest.approx(250)
    assert report.first_lone == ()


@pytest.mark.parametrize(("strip", "mark"), [(853, 603), (850, 604)])
def test_what_does_not_agree_there_is_found(strip: float, mark: float) -> None:
    (report,) = walk(panels(strip, mark), [Seam("s", HOST, STRIP, span=(50, 900))])
    assert report.verdict is Verdict.OUT


def test_a_part_of_an_arc_has_its_share_of_the_length() -> None:
    bow = arc((0, 0), 600, -math.pi * 3 / 4, math.pi / 2)
    host = panel_of("host", {"fore": bow, "back": line(bow.last, bow.first)})
    whole = 600 * math.pi / 2
    short = straight_panel("strip", [(0, 0), (whole - 150, 0), (500, 90), (0, 90)])
    seam = Seam("s", HOST, STRIP, span=(100, whole - 50))
    (report,) = walk({"host": host, "strip": short}, [seam])
    assert report.first_length == pytest.approx(whole - 150, abs=1e-6)
    assert report.difference == pytest.approx(0, abs=1e-6)


def test_a_part_beyond_the_edge_is_told() -> None:
    with pytest.raises(InputError, match="nothing of edge 'host/fore' is sewn"):
        walk(panels(850, 600), [Seam("s", HOST, STRIP, span=(1100, 1200))])
