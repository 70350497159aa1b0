"""The queue as people use it: order, states, several machines, and what it refuses."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from cutpath.errors import CutpathError, InputError, MachineError
from cutpath.run_model import Wish
from cutpath.send.queue.lock import sole_sender
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.reading import lock_path
from cutpath.send.queue.storage import FILE
from cutpath.send.queue.values import Doing, Event, Kind, State
from cutpath.settings.profile import load_profile
from cutpath.settings.run_file import run_text
from tests.send.queue.ticking import Ticking, run_of_strokes

LANE = "table"


@pytest.fixture(name="queue")
def opened(tmp_path: Path) -> Iterator[Queue]:
    with Queue(tmp_path / "queue", Ticking()) as queue:
        queue.add_lane(LANE, "flatbed-hpgl")
        yield queue


def to_come(queue: Queue, lane: str = LANE) -> list[int]:
    return [job.number for job in queue.jobs(lane) if job.state is not State.DONE]


def test_what_is_added_is_there_for_everyone_and_for_good(queue: Queue) -> None:
    run = run_of_strokes()
    job = queue.add(run, LANE, copies=3, priority=2)
    with Queue(queue.folder) as other:
        assert other.jobs() == (job,)
        back = other.run(job.number)
    assert (job.state, job.copies, job.made, job.strokes, job.pieces) == (State.WAITING, 3, 0, 4, 2)
    assert run_text(back) == run_text(run)
    assert back.data == run.data
    assert queue.lane(LANE).doing is Doing.NO_SENDER


def test_higher_priority_goes_first_then_who_came_first(queue: Queue) -> None:
    for priority in (0, 5, 0, 5, -1):
        queue.add(run_of_strokes(), LANE, priority=priority)
    assert to_come(queue) == [2, 4, 1, 3, 5]


def test_jobs_are_moved_and_take_the_priority_of_their_new_place(queue: Queue) -> None:
    for priority in (5, 0, 0, 0):
        queue.add(run_of_strokes(), LANE, priority=priority)
    queue.move(4, before=2)
    assert to_come(queue) == [1, 4, 2, 3]
    queue.move(3, first=True)
    assert to_come(queue) == [3, 1, 4, 2]
    assert queue.job(3).priority == 5
    queue.move(1)
    assert to_come(queue) == [3, 4, 2, 1]
    queue.move(2, before=2)
    assert to_come(queue) == [3, 4, 2, 1]
    assert queue.add(run_of_strokes(), LANE).number == to_come(queue)[-1] == 5


def test_each_machine_has_its_own_line(queue: Queue) -> None:
    queue.add_lane("gantry", "gantry-rs274")
    queue.add(run_of_strokes(), LANE)
    other = queue.add(run_of_strokes(profile=load_profile("gantry-rs274")), "gantry")
    assert [job.number for job in queue.jobs("gantry")] == [other.number]
    with pytest.raises(InputError, match="on 'gantry'"):
        queue.move(1, before=2)
    with pytest.raises(MachineError, match="was written for"):
        queue.add(run_of_strokes(), "gantry")


def test_a_held_job_keeps_its_place(queue: Queue) -> None:
    for _ in range(3):
        queue.add(run_of_strokes(), LANE)
    assert queue.hold(1).state is State.HELD
    assert to_come(queue) == [1, 2, 3]
    with pytest.raises(InputError, match="is held"):
        queue.hold(1)
    assert queue.release(1).state is State.WAITING
    with pytest.raises(InputError, match="is waiting"):
        queue.release(1)


def test_bytes_are_kept_once_and_go_with_their_last_job(queue: Queue) -> None:
    for _ in range(3):
        queue.add(run_of_strokes(), LANE)
    queue.add(run_of_strokes(6), LANE)
    count = "SELECT COUNT(*) FROM runs"
    assert queue.storage.rows(count) == [(2,)]
    for number in (1, 2, 4):
        queue.remove(number)
    assert queue.storage.rows(count) == [(1,)]
    queue.remove(3)
    assert queue.storage.rows(count) == [(0,)]
    with pytest.raises(InputError, match="no job 3"):
        queue.job(3)
    assert queue.add(run_of_strokes(), LANE).number == 5  # a number is never used twice


def test_changes_are_seen_by_others(queue: Queue) -> None:
    with Queue(queue.folder) as other:
        before, mine = other.changes(), queue.changes()
        assert (other.changes(), queue.changes()) == (before, mine)
        queue.add(run_of_strokes(), LANE)
        assert queue.changes() > mine
        assert other.changes() > before
        after = other.changes()
        other.wish(LANE, Wish.PAUSE)
        assert other.changes() > after
        assert queue.lane(LANE).wish is Wish.PAUSE


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        (lambda queue: queue.add(run_of_strokes(), LANE, copies=0), "copies is 0"),
        (lambda queue: queue.add(run_of_strokes(), LANE, priority=10**9), "priority"),
        (lambda queue: queue.add(run_of_strokes(), "tabel"), "table"),
        (lambda queue: queue.add_lane("../x", "flatbed-hpgl"), "no name"),
        (lambda queue: queue.add_lane("x", "flatbed"), "no profile"),
        (lambda queue: queue.move(9), "no job 9"),
        (lambda queue: queue.note(1, "  "), "empty"),
        (lambda queue: queue.note(7, "seen"), "no job 7"),
        (lambda queue: queue.take_as_done(1), "not interrupted"),
        (lambda queue: queue.again(1), "is waiting"),
        (lambda queue: queue.go_on_with(1, run_of_strokes(2)), "not interrupted"),
        (lambda queue: queue.change(1, copies=0), "copies is 0"),
    ],
)
def test_what_cannot_be_is_told(queue: Queue, wish: object, words: str) -> None:
    queue.add(run_of_strokes(), LANE)
    before = queue.jobs(), queue.journal()
    with pytest.raises(CutpathError) as caught:
        wish(queue)  # type: ignore[operator]
    assert words in str(caught.value)
    assert caught.value.remedy
    assert (queue.jobs(), queue.journal()) == before


def test_the_journal_tells_all_and_forgets_nothing(queue: Queue) -> None:
    queue.add(run_of_strokes(), LANE)
    queue.hold(1)
    queue.note(1, "the selvedge is torn")
    queue.remove(1)
    queue.note(1, "taken out: wrong cloth")
    entries = queue.journal(1)
    events = [Event.ADDED, Event.HELD, Event.NOTE, Event.REMOVED, Event.NOTE]
    assert [entry.event for entry in entries] == events
    assert entries[0].facts["sha256"] == run_of_strokes().sha256
    for forgery in ("DELETE FROM journal", "UPDATE journal SET at = ''"):
        with pytest.raises(sqlite3.IntegrityError), queue.storage.writing() as base:
            base.execute(forgery)
    assert queue.journal(1) == entries


def test_a_lane_has_one_sender(queue: Queue) -> None:
    path = lock_path(queue.folder, queue.lane(LANE).number)
    told = pytest.raises(InputError, match="works on 'table' already")
    with sole_sender(path, LANE), told, sole_sender(path, LANE):
        pass
    with sole_sender(path, LANE):
        pass


def test_a_damaged_or_foreign_database_is_told(tmp_path: Path) -> None:
    (tmp_path / FILE).write_bytes(b"these are no pages of a database" * 200)
    with pytest.raises(InputError, match="no queue, or it is damaged") as caught:
        Queue(tmp_path)
    assert caught.value.source.file == str(tmp_path / FILE)
    assert caught.value.remedy
    later = tmp_path / "later"
    Queue(later).close()
    base = sqlite3.connect(later / FILE)
    base.execute("PRAGMA user_version = 99")
    base.close()
    with pytest.raises(InputError, match="a later cutpath"):
        Queue(later)
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(InputError, match="cannot be made"):
        Queue(tmp_path / "file")


def test_damage_found_later_is_told_too(tmp_path: Path) -> None:
    with Queue(tmp_path, Ticking()) as queue:
        queue.add_lane(LANE, "flatbed-hpgl")
        for _ in range(50):
            queue.add(run_of_strokes(), LANE)
    path = tmp_path / FILE
    data = bytearray(path.read_bytes())
    data[4096:] = b"\xff" * (len(data) - 4096)
    path.write_bytes(bytes(data))
    with Queue(tmp_path) as queue, pytest.raises(InputError, match="damaged"):
        queue.jobs()


def test_kinds_and_origins(queue: Queue) -> None:
    queue.add(run_of_strokes(), LANE)
    queue.add(run_of_strokes(), LANE, priority=3)
    again = queue.cut_again(1, run_of_strokes(2))
    assert (again.kind, again.origin, again.priority) == (Kind.RECUT, 1, 3)
    assert to_come(queue) == [3, 2, 1]
