"""The queue against a plain model: any order of wishes and crashes, and always the same answers."""

import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import settings, strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
)

from cutpath.errors import CutpathError
from cutpath.send.queue.account import Account
from cutpath.send.queue.lanes import next_job
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.storage import FILE
from cutpath.send.queue.values import State
from tests.send.queue.ticking import Ticking, run_of_strokes

LANES = ("left", "right")
RUN = run_of_strokes(6)
REST = run_of_strokes(2)
PICK = st.integers(0, 99)


@dataclass
class Known:
    """What the model knows of a job."""

    number: int
    lane: str
    state: State
    copies: int
    made: int
    priority: int


class QueueAgainstModel(RuleBasedStateMachine):
    """The model is a list of jobs for each lane, in their order."""

    @initialize()
    def open_queue(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="cutpath-states-"))
        self.clock = Ticking()
        self.queue = Queue(self.folder, self.clock)
        self.lines: dict[str, list[Known]] = {lane: [] for lane in LANES}
        self.open: dict[str, tuple[Account, Known, int]] = {}
        self.entries = 0
        for lane in LANES:
            self.queue.add_lane(lane, "flatbed-hpgl", asks=False)
            for number in range(4):
                self.add(lane, copies=1 + number % 2, priority=0, held=False)

    def teardown(self) -> None:
        if hasattr(self, "queue"):
            for account, _, _ in self.open.values():
                account.close()
            self.queue.close()
            shutil.rmtree(self.folder)

    # What people do

    @rule(
        lane=st.sampled_from(LANES),
        copies=st.integers(1, 3),
        priority=st.integers(-1, 1),
        held=st.booleans(),
    )
    def add(self, lane: str, copies: int, priority: int, held: bool) -> None:
        number = self.queue.add(RUN, lane, copies, priority, held=held).number
        state = State.HELD if held else State.WAITING
        self.lines[lane].append(Known(number, lane, state, copies, 0, priority))

    @rule(pick=PICK)
    def hold(self, pick: int) -> None:
        job = self._picked(pick)
        if self._refused(job, {State.WAITING}, lambda: self.queue.hold(job.number)):
            return
        job.state = State.HELD

    @rule(pick=PICK)
    def release(self, pick: int) -> None:
        job = self._picked(pick)
        if self._refused(job, {State.HELD}, lambda: self.queue.release(job.number)):
            return
        job.state = State.WAITING

    @rule(pick=PICK, pick_other=PICK)
    def move_before(self, pick: int, pick_other: int) -> None:
        job, other = self._picked(pick), self._picked(pick_other)
        to_come = {State.WAITING, State.HELD}
        if job.lane != other.lane or job is other or other.state not in to_come:
            return
        if self._refused(job, to_come, lambda: self.queue.move(job.number, other.number)):
            return
        line = self.lines[job.lane]
        line.remove(job)
        line.insert(line.index(other), job)
        job.priority = other.priority

    @rule(pick=PICK, first=st.booleans())
    def move_to_an_end(self, pick: int, first: bool) -> None:
        job = self._picked(pick)
        to_come = {State.WAITING, State.HELD}
        if self._refused(job, to_come, lambda: self.queue.move(job.number, first=first)):
            return
        line = self.lines[job.lane]
        coming = [each.priority for each in line if each.state in to_come]
        job.priority = max(coming) if first else min(coming)
        line.remove(job)
        line.insert(0 if first else len(line), job)

    @rule(pick=PICK, copies=st.integers(1, 4), priority=st.integers(-2, 2))
    def change(self, pick: int, copies: int, priority: int) -> None:
        job = self._picked(pick)
        if job.state is State.DONE or copies <= job.made:
            with pytest.raises(CutpathError):
                self.queue.change(job.number, copies=copies, priority=priority)
            return
        self.queue.change(job.number, copies=copies, priority=priority)
        job.copies, job.priority = copies, priority

    @rule(pick=PICK)
    def remove(self, pick: int) -> None:
        job = self._picked(pick)
        states = set(State) - {State.SENDING}
        if not self._refused(job, states, lambda: self.queue.remove(job.number)):
            self.lines[job.lane].remove(job)

    # What senders do

    @rule(lane=st.sampled_from(LANES), strokes=st.integers(0, len(RUN.strokes) + 1))
    def send(self, lane: str, strokes: int) -> None:
        """Begin the next job where none is at work, and send some strokes of it, or all."""
        if lane not in self.open and not self._begin(lane):
            return
        account, job, stroke = self.open[lane]
        size = len(self.queue.run(job.number).strokes)
        for each in RUN.strokes[stroke : min(stroke + strokes, size)]:
            account.about_to_send(each.first, each.last)
            account.sent(each.last)
            account.confirmed(each.last)
        self.open[lane] = (account, job, min(stroke + strokes, size))
        if stroke + strokes > size:
            account.finish(is_done=True)
            account.close()
            del self.open[lane]
            self._made(job)

    @rule(lane=st.sampled_from(LANES), strokes=st.integers(1, 7), is_power=st.booleans())
    def send_and_crash(self, lane: str, strokes: int, is_power: bool) -> None:
        """Crash amid a job: what happens most between two crashes is sending."""
        self.send(lane, strokes)
        self.crash_and_open_again(is_power)

    def _begin(self, lane: str) -> bool:
        coming = next_job(self.queue.storage, self.queue.lane(lane).number)
        expected = self._next(lane)
        number = None if expected is None else expected.number
        assert (None if coming is None else coming.number) == number
        if coming is None or expected is None:
            return False
        run = self.queue.run(coming.number)
        account = Account(self.queue.storage, self.folder, self.clock, coming, run)
        assert account.begin(self.queue.profile(lane).link, 0)
        expected.state = State.SENDING
        self.open[lane] = (account, expected, 0)
        return True

    @rule(is_power=st.booleans())
    def crash_and_open_again(self, is_power: bool) -> None:
        """Every process dies; what was told is all that is left."""
        self.queue.close()
        if is_power:
            self.clock.boot_name += "'"
        self.queue = Queue(self.folder, self.clock)
        found = self.queue.recover()
        assert sorted(job.number for job in found) == sorted(
            job.number for _, job, _ in self.open.values()
        )
        for account, job, stroke in self.open.values():
            account.close()
            job.state = State.INTERRUPTED
            doubt = self.queue.doubt(job.number)
            assert doubt is not None
            assert doubt.first <= stroke
            assert doubt.last >= stroke or is_power
            if not is_power:
                assert (doubt.first, doubt.last) == (stroke, stroke)
        self.open = {}

    @rule(pick=PICK)
    def take_as_done(self, pick: int) -> None:
        job = self._picked(pick)
        interrupted = {State.INTERRUPTED}
        if self._refused(job, interrupted, lambda: self.queue.take_as_done(job.number)):
            return
        self._made(job)

    @rule(pick=PICK)
    def again(self, pick: int) -> None:
        job = self._picked(pick)
        if self._refused(job, {State.INTERRUPTED}, lambda: self.queue.again(job.number)):
            return
        job.state = State.WAITING

    @rule(pick=PICK)
    def go_on(self, pick: int) -> None:
        job = self._picked(pick)
        if job.state is not State.INTERRUPTED:
            with pytest.raises(CutpathError):
                self.queue.go_on_with(job.number, REST)
            return
        added = self.queue.go_on_with(job.number, REST)
        self._made(job)
        line = self.lines[job.lane]
        coming = [each.priority for each in line if each.state in {State.WAITING, State.HELD}]
        rest = Known(added.number, job.lane, State.WAITING, 1, 0, max([job.priority, *coming]))
        line.insert(0, rest)

    # What must hold

    @invariant()
    def all_jobs_are_as_the_model_says(self) -> None:
        if not hasattr(self, "queue"):
            return
        for lane, line in self.lines.items():
            told = [
                (job.number, job.state, job.copies, job.made, job.priority)
                for job in self.queue.jobs(lane)
            ]
            assert told == [
                (job.number, job.state, job.copies, job.made, job.priority)
                for job in self._listed(line)
            ]
            at_work = [job for job in line if job.state in {State.SENDING, State.INTERRUPTED}]
            assert len(at_work) <= 1

    @invariant()
    def the_journal_only_grows(self) -> None:
        if hasattr(self, "queue"):
            count = len(self.queue.journal())
            assert count >= self.entries
            self.entries = count

    @invariant()
    def the_database_is_sound(self) -> None:
        if hasattr(self, "queue"):
            assert self.queue.storage.rows("PRAGMA foreign_key_check") == []
            assert (self.folder / FILE).is_file()

    def _picked(self, pick: int) -> Known:
        jobs = [job for line in self.lines.values() for job in line]
        if not jobs:
            self.add(LANES[pick % 2], copies=1, priority=0, held=False)
            return self._picked(pick)
        return jobs[pick % len(jobs)]

    def _refused(self, job: Known, states: set[State], act: object) -> bool:
        if job.state in states:
            act()  # type: ignore[operator]
            return False
        with pytest.raises(CutpathError):
            act()  # type: ignore[operator]
        return True

    def _made(self, job: Known) -> None:
        job.made += 1
        job.state = State.DONE if job.made == job.copies else State.WAITING

    @staticmethod
    def _listed(line: list[Known]) -> list[Known]:
        at_work = [job for job in line if job.state in {State.SENDING, State.INTERRUPTED}]
        coming = [job for job in line if job.state in {State.WAITING, State.HELD}]
        done = [job for job in line if job.state is State.DONE]
        coming.sort(key=lambda job: -job.priority)  # stable: the line's order decides between
        return [*at_work, *coming, *sorted(done, key=lambda job: job.number)]

    def _next(self, lane: str) -> Known | None:
        line = self._listed(self.lines[lane])
        if any(job.state in {State.SENDING, State.INTERRUPTED} for job in line):
            return None
        return next((job for job in line if job.state is State.WAITING), None)


TestQueueAgainstModel = QueueAgainstModel.TestCase
TestQueueAgainstModel.settings = settings(max_examples=15, stateful_step_count=30)
