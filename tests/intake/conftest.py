"""What the tests of drawings share."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutpath.intake.svg import read_svg
from cutpath.model import Drawing, Finding
from tests.intake.svg_drawing import MM_PAGE, Read


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def reader(
        inside: str, page: str = MM_PAGE, units: str | None = None, head: str = ""
    ) -> tuple[Drawing, tuple[Finding, ...]]:
        path = tmp_path / "wall.svg"
        path.write_text(f'{head}<svg xmlns="http://www.w3.org/2000/svg" {page}>{inside}</svg>')
        return read_svg(path, units)

    return reader
