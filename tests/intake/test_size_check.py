"""A drawing of an odd size is asked about, with the units that would explain it."""

from __future__ import annotations

import pytest

from cutpath.errors import Source
from cutpath.geometry.chain import line
from cutpath.intake.size_check import drawing_size, question_size
from cutpath.model import Curve, Drawing


def drawn(width: float, height: float, unit: str = "mm") -> Drawing:
    curves = (Curve(line((5, 7), (5 + width, 7 + height)), Source()),)
    return Drawing("panel.dxf", unit, curves, (), (), {})


def test_the_size_is_that_of_all_curves_together() -> None:
    assert drawing_size(drawn(400, 300)) == pytest.approx((400, 300))
    assert drawing_size(Drawing("empty.dxf", "mm", (), (), (), {})) == (0, 0)


@pytest.mark.parametrize(("width", "height"), [(150, 10), (400, 300), (12_000, 1)])
def test_a_sensible_size_is_not_asked_about(width: float, height: float) -> None:
    assert question_size(drawn(width, height)) == ()


@pytest.mark.parametrize(
    ("width", "unit", "sensible", "flag"),
    [
        (16, "mm", "406 ×", "--units in"),  # inches read as mm: × 25.4
        (400 * 25.4 * 2, "in", "800 ×", "--units mm"),  # mm read as inches
        (40, "mm", "400 ×", "--units cm"),
        (800_000, "m", "800 ×", "--units mm"),
        (120, "px of 1/96 in", "160 ×", "--units px72"),  # × 96/72
        (145, "px of 1/96 in", "155 ×", "--units px90"),  # × 96/90
    ],
)
def test_slips_with_units_are_named(width: float, unit: str, sensible: str, flag: str) -> None:
    (finding,) = question_size(drawn(width, 1, unit))
    assert f"read in {unit}; is that right?" in finding.message
    assert sensible in finding.message
    assert flag in finding.remedy
    assert finding.source.file == "panel.dxf"


def test_units_that_explain_nothing_are_not_offered() -> None:
    (finding,) = question_size(drawn(16, 1))
    assert "px" not in finding.message
    assert "--units cm" in finding.remedy
    (finding,) = question_size(drawn(1e9, 1))
    assert "If it is" not in finding.message
    assert finding.remedy == "Check the scale of the drawing."
