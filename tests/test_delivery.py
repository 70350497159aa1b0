from collections.abc import Iterator
from pathlib import Path

import pytest

from cutpath.delivery import deliver
from cutpath.errors import InputError


def test_all_files_appear_and_nothing_else(tmp_path: Path) -> None:
    deliver(tmp_path / "out", {"a.plt": b"IN;", "proof.json": b"{}"})
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["a.plt", "proof.json"]
    assert (tmp_path / "out" / "a.plt").read_bytes() == b"IN;"


def test_stale_files_go_with_the_new_ones(tmp_path: Path) -> None:
    (tmp_path / "old.plt").write_bytes(b"old")
    deliver(tmp_path, {"proof.json": b"{}"}, stale=["old.plt", "never-there"])
    assert [path.name for path in tmp_path.iterdir()] == ["proof.json"]


def test_an_interruption_leaves_no_debris(tmp_path: Path) -> None:
    (tmp_path / "b.plt").write_bytes(b"before")

    class Late(dict[str, bytes]):
        def items(self) -> Iterator[tuple[str, bytes]]:  # type: ignore[override]
            yield "b.plt", b"after"
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        deliver(tmp_path, Late())
    assert [path.name for path in tmp_path.iterdir()] == ["b.plt"]
    assert (tmp_path / "b.plt").read_bytes() == b"before"


def test_a_file_in_the_way_is_told_with_its_mend(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("not a folder", encoding="utf-8")
    with pytest.raises(InputError, match="--out"):
        deliver(tmp_path / "out", {"a": b""})
