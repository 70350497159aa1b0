"""The sender of a lane, over a wire in memory and with a clock that only tests move."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from cutpath.errors import InputError
from cutpath.model import Feature
from cutpath.run_model import Run, Wish
from cutpath.send.channel import LinkError
from cutpath.send.queue.account import Account
from cutpath.send.queue.lock import sole_sender
from cutpath.send.queue.mark import Mark, MarkFile, read_mark
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.reading import lock_path, mark_path
from cutpath.send.queue.recovery import Open, doubt_about
from cutpath.send.queue.sender import Sender
from cutpath.send.queue.values import Doing, Event, State
from tests.send.queue.ticking import Ticking, run_of_strokes
from tests.send.queue.wires import Heard, Wire, Wires

LANE = "table"
PROFILE = """
extends = "flatbed-hpgl"
name = "table"
[link]
way = "tcp"
address = "127.0.0.1:9"
flow = "plain"
buffer = 64
block = 16
"""


class Waiting(Ticking):
    """Does something each time that anybody waits."""

    def __init__(self) -> None:
        super().__init__()
        self.meanwhile: Callable[[], None] = lambda: None

    def sleep(self, seconds: float) -> None:
        super().sleep(seconds)
        assert self.seconds < 1000, "nobody ends this"
        self.meanwhile()


@pytest.fixture(name="clock")
def ticking() -> Waiting:
    return Waiting()


@pytest.fixture(name="queue")
def opened(tmp_path: Path, clock: Waiting) -> Iterator[Queue]:
    (tmp_path / "table.toml").write_text(PROFILE, encoding="utf-8")
    with Queue(tmp_path / "queue", clock) as queue:
        queue.add_lane(LANE, tmp_path / "table.toml", asks=False)
        yield queue


def sender(queue: Queue, *wires: Wire) -> tuple[Sender, Heard, Wires]:
    heard, opening = Heard(queue), Wires(*wires)
    return Sender(queue, LANE, heard, opening), heard, opening


def wishing(queue: Queue, clock: Waiting, wish: Wish) -> Callable[[], None]:
    def act() -> None:
        clock.sleep(1)  # a wish may be a moment late
        queue.wish(LANE, wish)

    return act


def test_jobs_go_in_their_order_copy_by_copy(queue: Queue) -> None:
    first, second = run_of_strokes(4), run_of_strokes(6)
    queue.add(first, LANE)
    queue.add(second, LANE, copies=2, priority=1)
    queue.add(first, LANE, held=True)
    work, _, wires = sender(queue, Wire(), Wire(), Wire())
    assert work.work() is None
    assert [wire.took for wire in wires.opened] == [second.data, second.data, first.data]
    assert all(wire.is_closed for wire in wires.opened)
    assert [(job.state, job.made) for job in queue.jobs()] == [
        (State.HELD, 0), (State.DONE, 1), (State.DONE, 2),
    ]  # fmt: skip
    assert queue.lane(LANE).doing is Doing.NO_SENDER
    finished = [entry for entry in queue.journal(2) if entry.event is Event.FINISHED]
    assert [entry.facts["strokes_done"] for entry in finished] == [6, 6]


def test_a_lane_that_asks_begins_nothing_before_the_word(queue: Queue, clock: Waiting) -> None:
    queue.add_lane(LANE, queue.lane(LANE).machine, asks=True)
    queue.add(run_of_strokes(), LANE)
    other = queue.add(run_of_strokes(6), LANE)
    work, heard, wires = sender(queue, Wire(), Wire())
    seen: list[Doing] = []

    def decide() -> None:
        seen.append(queue.lane(LANE).doing)
        assert len(wires.opened) < len(heard.told)
        if len(seen) == 3:
            queue.move(other.number, first=True)  # then the sender asks for that one
        if len(seen) in {6, 9}:
            queue.wish(LANE, Wish.GO_ON)

    clock.meanwhile = decide
    assert work.work() is None
    assert set(seen) == {Doing.ASKS}
    assert [wire.took for wire in wires.opened] == [run_of_strokes(6).data, run_of_strokes().data]
    asked = [words for words in heard.told if words.startswith("asks")]
    assert asked == ["asks 1", "asks 2", "asks 1"]


def test_a_pause_takes_effect_where_the_tool_is_up(queue: Queue, clock: Waiting) -> None:
    run = run_of_strokes(4)
    queue.add(run, LANE)
    work, heard, wires = sender(queue, Wire(portion=3))
    heard.at[run.strokes[1].first + 5] = wishing(queue, clock, Wish.PAUSE)

    def look() -> None:
        if queue.lane(LANE).doing is Doing.PAUSED:
            assert wires.opened[0].took == run.data[: run.strokes[1].last]
            if clock.seconds > 50:
                queue.wish(LANE, Wish.GO_ON)

    clock.meanwhile = look
    assert work.work() is None
    assert heard.told[1] == f"paused 1 at {run.strokes[1].last}"
    assert wires.opened[0].took == run.data
    row = next(entry for entry in queue.journal(1) if entry.event is Event.FINISHED)
    paused = row.facts["paused_s"]
    assert isinstance(paused, float)
    assert paused > 48


def test_what_is_stopped_blocks_its_lane_until_somebody_decides(
    queue: Queue, clock: Waiting
) -> None:
    run = run_of_strokes(4)
    queue.add(run, LANE)
    queue.add(run, LANE)
    work, heard, wires = sender(queue, Wire(portion=3), Wire())
    heard.at[run.strokes[2].first + 5] = wishing(queue, clock, Wish.STOP)
    doubt = work.work()
    assert doubt is not None
    assert (doubt.first, doubt.last, doubt.tool_up) == (0, 3, True)  # 64 bytes may be in its buffer
    took = wires.opened[0].took
    assert took.endswith(b"PU;\nPU0,0;\nSP0;\n")
    assert queue.job(1).state is State.INTERRUPTED
    assert work.work() is None  # nothing is sent
    assert len(wires.opened) == 1
    queue.again(1)
    queue.wish(LANE, Wish.GO_ON)
    wires.coming.append(Wire())
    assert work.work() is None
    assert [wire.took for wire in wires.opened[1:]] == [run.data, run.data]


@pytest.mark.parametrize("byte", range(1, 96, 3))
def test_a_loose_cable_leaves_every_byte_accounted_for(queue: Queue, byte: int) -> None:
    run = run_of_strokes(4)
    queue.add(run, LANE)
    work, _, wires = sender(queue, Wire(breaks_at=byte, portion=2))
    try:
        doubt = work.work()
    except LinkError:
        assert byte < 2
        assert queue.job(1).state is State.WAITING
        return
    took = wires.opened[0].took
    assert run.data.startswith(took)
    assert doubt is not None
    assert "the cable is loose" in doubt.words
    begun = sum(stroke.first < len(took) for stroke in run.strokes)
    assert begun <= doubt.last
    # What the machine's buffer of 64 bytes may still hold is not taken as done.
    assert all(stroke.last <= max(0, len(took) - 60) for stroke in run.strokes[: doubt.first])


def test_a_machine_that_does_not_answer_leaves_the_job_waiting(queue: Queue) -> None:
    queue.add(run_of_strokes(), LANE)
    work, _, _ = sender(queue)
    with pytest.raises(LinkError, match="does not answer"):
        work.work()
    assert queue.job(1).state is State.WAITING
    assert [entry.event for entry in queue.journal()] == [Event.ADDED]


def test_there_is_one_sender(queue: Queue) -> None:
    work, _, _ = sender(queue)
    told = pytest.raises(InputError, match="a sender works")
    with sole_sender(lock_path(queue.folder, queue.lane(LANE).number), LANE), told:
        work.work()


def begun(queue: Queue, run: Run, stroke: int) -> Account:
    """A sending whose sender died while it sent ``stroke``."""
    job = queue.add(run, LANE)
    account = Account(queue.storage, queue.folder, queue.clock, job, run)
    assert account.begin(queue.profile(LANE).link, 0)
    for each in run.strokes[:stroke]:
        account.about_to_send(each.first, each.last)
        account.sent(each.last)
        account.confirmed(each.last)
    each = run.strokes[stroke]
    account.about_to_send(each.first, each.last)
    account.sent(each.first + 5)
    account.close()
    return account


def test_a_killed_sender_leaves_one_stroke_in_doubt(queue: Queue) -> None:
    run = run_of_strokes(8)
    begun(queue, run, 5)
    assert [job.number for job in queue.recover()] == [1]
    doubt = queue.doubt(1)
    assert doubt is not None
    assert (doubt.first, doubt.last) == (5, 6)
    assert doubt.done(run) == ("part 1", "part 2")
    assert doubt.doubtful(run) == ("part 3",)
    assert "in doubt: outline of part 3 (stroke 6)" in doubt.told(run)
    assert queue.recover() == ()


@pytest.mark.parametrize("answers", [0, 1])
def test_a_killed_sender_says_where_done_is_only_handed_over(answers: int) -> None:
    run = run_of_strokes(10, each=2.0)
    opened = Open(1, 1, 1, "first", 64, answers, len(run.data), 0)
    mark = Mark(1, len(run.data), len(run.data), 0)
    doubt = doubt_about(opened, mark, run, "first")
    assert ("was handed over" in doubt.words) is not bool(answers)


def test_after_a_loss_of_power_the_window_is_in_doubt(queue: Queue, clock: Waiting) -> None:
    run = run_of_strokes(40, each=2.0)
    begun(queue, run, 20)
    clock.boot_name = "second"
    queue.recover()
    doubt = queue.doubt(1)
    assert doubt is not None
    # 64 bytes of buffer are three strokes; the window is ten seconds, five strokes.
    assert 20 - 4 <= doubt.first <= 20
    assert 21 <= doubt.last <= 20 + 7
    assert "started anew" in doubt.words


def test_a_mark_that_the_power_took_is_made_good_by_the_database(
    queue: Queue, clock: Waiting
) -> None:
    run = run_of_strokes(40, each=2.0)
    begun(queue, run, 20)
    path = mark_path(queue.folder, queue.lane(LANE).number)
    for damaged in (b"", path.read_bytes()[:-1] + b"?", b"\0" * 44):
        path.write_bytes(damaged)
        assert read_mark(path) is None
    clock.boot_name = "second"
    queue.recover()
    doubt = queue.doubt(1)
    assert doubt is not None
    assert 20 - 4 - 6 <= doubt.first <= 20
    assert 21 <= doubt.last <= 20 + 7


def test_bytes_leave_only_after_they_are_announced_for_good(
    queue: Queue, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At each byte that leaves, the database and the mark on disk already know of it."""
    run = run_of_strokes(12, each=3.0)
    queue.add(run, LANE)
    path = mark_path(queue.folder, queue.lane(LANE).number)
    seen = 0

    class Watched(Wire):
        def write(self, data: bytes | memoryview, timeout: float) -> int:
            nonlocal seen
            with Queue(queue.folder) as other:
                may = other.storage.rows("SELECT may FROM sendings")[0][0]
            mark = read_mark(path)
            assert mark is not None
            count = super().write(data, timeout)
            assert len(self.took) <= mark.may <= may
            seen += 1
            return count

    work, _, _ = sender(queue, Watched(portion=11))
    assert work.work() is None
    assert seen > 12


def test_a_mark_stays_readable_while_it_is_written(tmp_path: Path) -> None:
    file = MarkFile(tmp_path / "mark")
    assert read_mark(tmp_path / "mark") is None
    from cutpath.send.queue.mark import Mark

    for number in (1, 2**40):
        file.write(Mark(number, 3, 2, 1))
        assert read_mark(tmp_path / "mark") == Mark(number, 3, 2, 1)
    file.close()


def test_after_a_check_mark_it_waits_until_somebody_has_looked(
    queue: Queue, clock: Waiting
) -> None:
    run = run_of_strokes(4)
    marks = [
        replace(stroke, toolpath=replace(stroke.toolpath, feature=Feature.CHECK, piece=""))
        for stroke in run.strokes[:2]
    ]
    run = replace(run, strokes=(*marks, *run.strokes[2:]), pieces=("part 2",))
    queue.add(run, LANE)
    work, heard, wires = sender(queue, Wire(portion=3))
    looks = 0

    def look() -> None:
        nonlocal looks
        looks += 1
        assert queue.lane(LANE).doing is Doing.PAUSED
        assert "has the cloth stayed" in queue.lane(LANE).words
        assert wires.opened[0].took == run.data[: run.strokes[1].last]
        if looks == 5:
            queue.wish(LANE, Wish.GO_ON)

    clock.meanwhile = look
    assert work.work() is None
    assert heard.told == ["begins 1", f"paused 1 at {run.strokes[1].last}: look", "ended 1"]
    assert wires.opened[0].took == run.data
