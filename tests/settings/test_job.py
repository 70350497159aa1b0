from importlib.resources import files

import pytest

from cutpath.settings.job import default_job, job_schema
from cutpath.settings.job_file import Finishes


def test_the_shipped_schema_is_up_to_date() -> None:
    # Mend it with: python -c "from cutpath.settings.job import job_schema; print(job_schema())"
    shipped = files("cutpath.settings").joinpath("job.schema.json").read_text(encoding="utf-8")
    assert shipped == job_schema()


def test_default_widths() -> None:
    # Plain and zip: common practice, no source. Hem: US Army FM 10-16, chapter 8.
    finishes = Finishes()
    assert finishes.plain.width == 12.7
    assert finishes.zip.width == 25.4
    assert finishes.hem.width + finishes.hem.turn_under == pytest.approx(38.1)
    assert finishes.bound.width == finishes.raw.width == 0


def test_a_bare_drawing_gets_its_allowance() -> None:
    assert default_job(9.0).said.finishes.plain.width == 9.0
