"""``cutpath queue`` as it is typed, with a folder for a machine, and what it tells."""

import csv
import io
import json
import signal
from pathlib import Path
from queue import SimpleQueue
from typing import cast

import pytest

from cutpath.cli import queue_run
from cutpath.cli.main import run
from cutpath.geometry.chain import polyline
from cutpath.model import Feature, Role, Toolpath
from cutpath.proving import write_and_prove
from cutpath.run_making import RunTitle, make_run
from cutpath.run_model import Run, Wish
from cutpath.send.queue.account import Account
from cutpath.send.queue.queue import Queue
from cutpath.send.readiness import ready_run
from cutpath.settings.profile import Profile, load_profile
from cutpath.settings.run_file import read_run, run_file_name, run_text


class Shop:
    """A workshop: a queue, a watched folder for a table, and proved files."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder, self.capsys = folder, capsys
        self.table = folder / "table.toml"
        self.watched = folder / "watched"
        self.watched.mkdir()
        self.table.write_text(
            'extends = "flatbed-hpgl"\nname = "table"\n'
            f'[link]\nway = "folder"\nfolder = "{self.watched.as_posix()}"\nflow = "plain"\n',
            encoding="utf-8",
        )

    def type(self, *words: str) -> tuple[int, str, str]:
        code = run(["queue", *words, "--queue", str(self.folder / "queue")])
        told = self.capsys.readouterr()
        return code, told.out, told.err

    def profile(self) -> Profile:
        return load_profile(self.table)

    def file(self, name: str = "bag.plt", pieces: int = 3) -> Path:
        paths = []
        for number in range(pieces):
            x = 50 + 200 * number
            loop = polyline([(x, 50), (x + 120, 60), (x + 60, 150)], closed=True)
            notch = polyline([(x, 50), (x + 5, 55)])
            paths += [
                Toolpath(Role.KNIFE, Feature.NOTCH, f"panel {number + 1}", notch),
                Toolpath(Role.KNIFE, Feature.OUTLINE, f"panel {number + 1}", loop),
            ]
        profile = self.profile()
        written = write_and_prove(paths, profile)
        made = make_run(RunTitle(name, "bag", "table", "linen"), paths, written, profile)
        proof = {
            "sha256": {"profile": profile.digest()},
            "files": [{"file": name, "sha256": made.sha256, "passed": True}],
        }
        folder = self.folder / Path(name).stem
        folder.mkdir()
        (folder / name).write_bytes(made.data)
        (folder / run_file_name(name)).write_bytes(run_text(made))
        (folder / "proof.json").write_text(json.dumps(proof), encoding="utf-8")
        return folder / name

    def interrupt(self, job: int, stroke: int) -> Run:
        """Let a sender die while it sends ``stroke``."""
        with Queue(self.folder / "queue") as queue:
            sent = queue.run(job)
            account = Account(queue.storage, queue.folder, queue.clock, queue.job(job), sent)
            account.begin(queue.profile("table").link, 0)
            for each in sent.strokes[: stroke + 1]:
                account.about_to_send(each.first, each.last)
                account.sent(each.last - 3)
            account.close()
        return sent


@pytest.fixture(name="shop")
def workshop(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shop:
    return Shop(tmp_path, capsys)


def test_from_adding_to_the_journal(shop: Shop) -> None:
    file = shop.file()
    assert shop.type("list") == (0, "The queue is empty. Add a file: cutpath queue add FILE "
                                    "--on PROFILE\n", "")  # fmt: skip
    code, out, _ = shop.type("add", str(file), "--on", str(shop.table), "--copies", "2")
    assert code == 0
    assert "1  waiting      bag.plt, 3 pieces of linen" in out
    code, out, _ = shop.type("run", "table", "--yes")
    assert code == 0
    assert out.count("Job 1 is sent.") == 2
    assert out.count("caution:") == 6
    data = file.read_bytes()
    assert [path.read_bytes() for path in sorted(shop.watched.iterdir())] == [data, data]
    assert "1  done         bag.plt" in shop.type("list", "--done")[1]
    assert shop.type("clear")[1] == "1 job taken out.\n"
    assert "bag.plt" not in shop.type("list", "--done")[1]
    assert shop.type("note", "1", "edge", "is", "clean")[0] == 0
    rows = list(csv.DictReader(io.StringIO(shop.type("journal", "--csv")[1])))
    assert [(row["copy"], row["outcome"], row["notes"]) for row in rows] == [
        ("1", "finished", ""), ("2", "finished", "edge is clean"),
    ]  # fmt: skip
    assert rows[0]["pieces"] == "panel 1, panel 2, panel 3"
    told = json.loads(shop.type("journal", "1", "--json")[1])
    events = [entry["event"] for entry in told["entries"]]
    assert events == ["added", "begun", "finished", "begun", "finished", "removed", "note"]
    assert "note: edge is clean" in shop.type("journal")[1]
    assert shop.type("times")[1] == "No job was finished yet.\n"  # a folder tells no times


def test_order_hold_and_removal(shop: Shop) -> None:
    file = shop.file()
    shop.type("add", str(file), str(file), str(file), "--on", str(shop.table))
    assert shop.type("move", "3", "--first")[0] == 0
    assert shop.type("hold", "1", "2")[0] == 0
    assert shop.type("release", "2")[0] == 0
    assert shop.type("change", "2", "--copies", "4")[0] == 0
    facts = json.loads(shop.type("list", "--json")[1])
    told = [(job["number"], job["state"], job["copies"]) for job in facts["jobs"]]
    assert told == [(3, "waiting", 1), (1, "held", 1), (2, "waiting", 4)]
    assert facts["machines"][0]["doing"] == "no sender"
    assert shop.type("remove", "3", "1")[0] == 0
    assert shop.type("show", "3")[0] == 2
    assert shop.type("move", "2", "--first", "--last")[0] == 2
    assert shop.type("change", "2")[0] == 2


def test_an_interrupted_job_is_told_and_resumed_where_the_operator_says(shop: Shop) -> None:
    shop.type("add", str(shop.file()), "--on", str(shop.table))
    whole = shop.interrupt(1, 3)
    out = shop.type("list")[1]
    assert "1  interrupted  bag.plt" in out
    assert "3 of 6 strokes are done; in doubt: outline of panel 2 (stroke 4); 2 were not" in out
    assert "pieces done: panel 1\n" in out
    assert "pieces in doubt: panel 2\n" in out
    code, _, err = shop.type("run", "table", "--yes")
    assert code == 3
    assert "Job 1 is interrupted" in err
    assert list(shop.watched.iterdir()) == []
    rows = [row.split() for row in shop.type("show", "1", "--strokes")[1].splitlines()]
    assert ["4", "in", "doubt", "knife:", "outline", "of", "panel", "2,"] in [r[:8] for r in rows]
    code, out, _ = shop.type("resume", "1", "--from", "3", "--out", str(shop.folder / "rest"))
    assert code == 0
    assert "look: the new cross must lie on a corner of the outline of panel 1" in out
    rest = shop.folder / "rest/bag-rest.plt"
    assert ready_run(read_run(rest), shop.profile(), rest.parent).data == rest.read_bytes()
    # A folder cannot wait within a file: the mark goes first, the rest is held.
    assert [line.split()[1] for line in shop.type("list")[1].splitlines() if "bag" in line] == [
        "waiting", "held",
    ]  # fmt: skip
    assert shop.type("run", "table", "--yes")[0] == 0
    mark = (shop.watched / "bag-check.plt").read_bytes()
    assert mark.count(b"PD") == 4  # lowered and drawn, twice
    shop.type("release", "2")
    assert shop.type("run", "table", "--yes")[0] == 0
    assert (shop.watched / "bag-rest.plt").read_bytes() == rest.read_bytes()
    assert shop.type("resume", "1")[0] == 2
    assert whole.strokes[2].toolpath.feature is Feature.NOTCH


def test_one_piece_is_cut_again_by_one_command(shop: Shop) -> None:
    shop.type("add", str(shop.file()), "--on", str(shop.table))
    shop.type("run", "table", "--yes")
    code, out, _ = shop.type("recut", "1", "panel 2")
    assert code == 0
    assert "bag-again-panel-2.plt, again from job 1, 1 piece of linen" in out
    assert shop.type("recut", "1", "panel 9")[0] == 2
    # The proof of the whole job lies there: it is not lost to that of one piece.
    code, _, err = shop.type("recut", "1", "panel 1", "--out", str(shop.folder / "bag"))
    assert code == 2
    assert "Choose a folder of its own" in err
    assert shop.type("run", "table", "--yes")[0] == 0
    assert (shop.watched / "bag-again-panel-2.plt").is_file()


def test_what_was_interrupted_may_be_done_or_begin_again(shop: Shop) -> None:
    file = shop.file()
    shop.type("add", str(file), str(file), "--on", str(shop.table))
    shop.interrupt(1, 2)
    assert shop.type("again", "1")[0] == 0
    shop.interrupt(1, 2)
    assert shop.type("done", "1")[0] == 0
    facts = json.loads(shop.type("list", "--json", "--done")[1])
    assert [(job["number"], job["state"]) for job in facts["jobs"]] == [
        (2, "waiting"), (1, "done"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["add", "nowhere.plt"], 2, "no such file"),
        (["hold", "7"], 2, "there is no job 7"),
        (["run", "tabel"], 2, "no machine 'tabel'"),
        (["machine", "a/b", "--on", "flatbed-hpgl"], 2, "no name for a machine"),
        (["machine", "ab", "--on", "flatbed"], 2, "Did you mean"),
        (["pause", "tabel"], 2, "no machine"),
        (["resume", "0"], 2, ""),
    ],
)
def test_mistakes_are_told(shop: Shop, words: list[str], code: int, told: str) -> None:
    got, _, err = shop.type(*words)
    assert got == code
    assert told in err
    assert "Traceback" not in err


def test_only_what_is_proved_is_taken(shop: Shop) -> None:
    file = shop.file()
    proof = file.with_name("proof.json")
    text = proof.read_text(encoding="utf-8")
    proof.write_text(text.replace("true", "false"), encoding="utf-8")
    assert shop.type("add", str(file), "--on", str(shop.table))[0] == 1
    proof.unlink()
    code, _, err = shop.type("add", str(file), "--on", str(shop.table))
    assert code == 2
    assert "no proof" in err
    assert "bag" not in shop.type("list", "--done")[1]


def test_wishes_reach_the_lane(shop: Shop) -> None:
    assert shop.type("machine", "table", "--on", str(shop.table), "--no-ask")[0] == 0
    for word, wish in (("pause", Wish.PAUSE), ("stop", Wish.STOP), ("go", Wish.GO_ON)):
        assert shop.type(word, "table")[0] == 0
        with Queue(shop.folder / "queue") as queue:
            assert queue.lane("table").wish is wish
            assert not queue.lane("table").asks


class _Wishes:
    """A queue that keeps what it is asked for."""

    def __init__(self) -> None:
        self.heard: SimpleQueue[Wish] = SimpleQueue()

    def wish(self, _lane: str, wish: Wish) -> None:
        self.heard.put(wish)


def test_each_interrupt_of_a_sender_is_answered(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO())
    queue = _Wishes()
    teller = queue_run._Terminal(cast(Queue, queue), "table", yes=True)
    teller.is_sending = True
    teller.interrupted(signal.SIGINT, None)
    assert queue.heard.get(timeout=5) is Wish.PAUSE
    assert "Ctrl-C again ends the job" in capsys.readouterr().err
    teller.interrupted(signal.SIGINT, None)
    assert queue.heard.get(timeout=5) is Wish.STOP
    assert "lets go" in capsys.readouterr().err
    with pytest.raises(KeyboardInterrupt):  # a machine that takes nothing more holds nobody
        teller.interrupted(signal.SIGINT, None)


def test_the_journal_is_told_in_one_way_at_a_time(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["queue", "journal", "--csv", "--json", "--queue", str(tmp_path)]
    assert run(words) == 2
    assert "Give one of them" in capsys.readouterr().err
