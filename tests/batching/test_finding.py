"""Which jobs a folder holds, and what their folders are called."""

from pathlib import Path

import pytest

from cutpath.batching.finding import find_jobs
from cutpath.errors import InputError
from tests.batching.jobs import DRAWING, write_job


def found(folder: Path, *, with_drawings: bool = False) -> dict[str, str]:
    jobs = find_jobs(folder, folder / "out", with_drawings=with_drawings).jobs
    return {job.name: job.folder for job in jobs}


def test_jobs_of_all_depths_in_order_each_with_its_folder(tmp_path: Path) -> None:
    for name in ("b/hood", "a", "b/Über zelt"):
        write_job(tmp_path / name, name)
    (tmp_path / "b" / "hood" / "whole.toml").write_text('drawing = "sheet.svg"')
    (tmp_path / "my-table.toml").write_text('extends = "flatbed-hpgl"')
    write_job(tmp_path / ".hidden", "hidden")
    assert found(tmp_path) == {
        "a/job.toml": "a",
        "b/hood/job.toml": "b-hood",
        "b/hood/whole.toml": "b-hood-whole",
        "b/Über zelt/job.toml": "b-über-zelt",
    }


def test_folders_that_would_be_the_same_are_told_apart(tmp_path: Path) -> None:
    for name in ("a/b-c", "a-b/c", "A_B/c", "d"):
        write_job(tmp_path / name, name)
    names = found(tmp_path)
    assert len(set(names.values())) == 4
    assert names["d/job.toml"] == "d"
    assert all(
        folder.startswith("a-b-c-") for name, folder in names.items() if name != "d/job.toml"
    )
    (tmp_path / "d" / "job.toml").unlink()
    fewer = found(tmp_path)
    assert fewer == {name: names[name] for name in fewer}, "a job more or less renames no other"


def test_a_job_at_the_top_is_named_by_the_folder(tmp_path: Path) -> None:
    write_job(tmp_path / "orders", "x")
    assert found(tmp_path / "orders") == {"job.toml": "orders"}


def test_a_job_with_a_slip_is_still_a_job(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_text('drawing = "a.dxf"\nname = = 3')
    assert found(tmp_path) == {"x.toml": "x"}


def test_bare_drawings_only_where_they_are_wanted(tmp_path: Path) -> None:
    write_job(tmp_path / "a", "a")
    (tmp_path / "alone.svg").write_text(DRAWING.format(width=200))
    assert found(tmp_path) == {"a/job.toml": "a"}
    assert find_jobs(tmp_path, tmp_path / "out", with_drawings=False).left == ("alone.svg",)
    assert found(tmp_path, with_drawings=True) == {"a/job.toml": "a", "alone.svg": "alone"}


def test_what_cutpath_made_is_no_input(tmp_path: Path) -> None:
    write_job(tmp_path / "a", "a")
    write_job(tmp_path / "out", "never")
    (tmp_path / "a-cut").mkdir()
    (tmp_path / "a-cut" / "proof.json").write_text("{}")
    (tmp_path / "a-cut" / "a.svg").write_text(DRAWING.format(width=200))
    assert found(tmp_path, with_drawings=True) == {"a/job.toml": "a"}


@pytest.mark.parametrize("name", ["none", "file", "same"])
def test_a_folder_that_is_none_is_told(tmp_path: Path, name: str) -> None:
    (tmp_path / "file").write_text("")
    (tmp_path / "same").mkdir()
    with pytest.raises(InputError) as told:
        find_jobs(tmp_path / name, tmp_path / "same", with_drawings=False)
    assert name in str(told.value)
    assert told.value.remedy
