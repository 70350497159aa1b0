"""The queue that people and programs use: lanes, jobs, their order, and what is wanted of senders.

Each call is one transaction: durable when it returns. Any number of processes may have the same
folder open.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Mapping
from pathlib import Path

from cutpath.errors import InputError
from cutpath.run_model import Run, Wish
from cutpath.send.queue.fitting import require_between, require_same_machine, wrong_state
from cutpath.send.queue.inserting import NewJob, insert_job
from cutpath.send.queue.journal import Happening, write_down
from cutpath.send.queue.order import place_before, place_first, place_last
from cutpath.send.queue.recovery import recover
from cutpath.send.queue.values import Event, Job, Kind, Lane, State
from cutpath.send.queue.view import QueueView
from cutpath.settings.profile import Profile, load_profile

_LANE = re.compile(r"[\w][\w .()-]{0,59}")
MOST_COPIES = 10_000
MOST_PRIORITY = 1_000


class Queue(QueueView):
    """One folder's queue: all of ``QueueView``, and what people want of it."""

    def recover(self) -> tuple[Job, ...]:
        """Give the jobs whose senders are found gone; they are interrupted now."""
        return tuple(self.job(number) for number in recover(self.storage, self.folder, self.clock))

    def add_lane(self, name: str, machine: str | Path, *, asks: bool = True) -> Lane:
        """Make a lane for the profile called ``machine``, or say anew what its profile is.

        Raises InputError for a name that cannot be one, or a profile that is not there.
        """
        if not _LANE.fullmatch(name):
            raise InputError(
                f"'{name}' is no name for a machine",
                remedy="Use up to 60 letters, digits, spaces, hyphens and dots.",
            )
        load_profile(machine)
        path = Path(machine)
        place = str(path.resolve()) if path.suffix == ".toml" and path.is_file() else str(machine)
        with self.storage.writing() as base:
            base.execute(
                "INSERT INTO lanes(name, machine, asks) VALUES (?, ?, ?) ON CONFLICT(name) "
                "DO UPDATE SET machine = excluded.machine, asks = excluded.asks",
                (name, place, int(asks)),
            )
        return self.lane(name)

    def profile(self, lane: str) -> Profile:
        """Read the lane's profile, as it is now."""
        machine = self.lane(lane).machine
        return load_profile(Path(machine) if machine.endswith(".toml") else machine)

    def add(
        self, run: Run, lane: str, copies: int = 1, priority: int = 0, *, held: bool = False
    ) -> Job:
        """Add a job at the end of its priority; all that it needs is copied into the queue.

        Raises InputError where the lane's machine is another than the run was written for.
        """
        require_between(copies, 1, MOST_COPIES, "copies")
        require_between(priority, -MOST_PRIORITY, MOST_PRIORITY, "priority")
        require_same_machine(run, self.profile(lane), lane)
        number, state = self.lane(lane).number, State.HELD if held else State.WAITING
        with self.storage.writing() as base:
            job = insert_job(base, number, run, NewJob(copies, priority, state), self.clock.now())
            facts = {"file": run.name, "sha256": run.sha256, "copies": copies, "held": held}
            self._tell(base, lane, job, Event.ADDED, facts | {"priority": priority})
        return self.job(job)

    def move(self, number: int, before: int | None = None, *, first: bool = False) -> Job:
        """Move a waiting or held job before another of its lane, to the first place, or the last.

        It takes the priority of its new neighbour. Raises InputError for jobs that do not wait.
        """
        job = self._waiting(number)
        other = None if before is None else self._waiting(before)
        if other is not None and other.lane != job.lane:
            raise InputError(
                f"job {before} is on '{other.lane}', job {number} on '{job.lane}'",
                remedy="Each machine has a line of its own.",
            )
        with self.storage.writing() as base:
            if other is not None:
                place_before(base, number, other.number)
            elif first:
                place_first(base, number)
            else:
                place_last(base, number)
            self._tell(base, job.lane, number, Event.MOVED, {"before": before, "first": first})
        return self.job(number)

    def change(self, number: int, *, copies: int | None = None, priority: int | None = None) -> Job:
        """Change how often a job is made in all, or how soon. Raises InputError when done."""
        job = self.job(number)
        if job.state is State.DONE:
            raise wrong_state(job, "is done", "Add it anew for more copies.")
        new = {
            "copies": job.copies if copies is None else copies,
            "priority": job.priority if priority is None else priority,
        }
        least = job.made + 1  # the one that is being made counts
        require_between(new["copies"], least, MOST_COPIES, "copies")
        require_between(new["priority"], -MOST_PRIORITY, MOST_PRIORITY, "priority")
        with self.storage.writing() as base:
            done = base.execute(
                "UPDATE jobs SET copies = :copies, priority = :priority WHERE number = :number "
                "AND state <> 'done' AND made < :copies",
                new | {"number": number},
            )
            if not done.rowcount:
                raise wrong_state(job, "was finished meanwhile", "Add it anew for more copies.")
            self._tell(base, job.lane, number, Event.CHANGED, new)
        return self.job(number)

    def hold(self, number: int) -> Job:
        """Keep a waiting job from being sent. Raises InputError for one that does not wait."""
        return self._set(number, State.WAITING, State.HELD, Event.HELD)

    def release(self, number: int) -> Job:
        """Let a held job wait its turn. Raises InputError for one that is not held."""
        return self._set(number, State.HELD, State.WAITING, Event.RELEASED)

    def again(self, number: int) -> Job:
        """Let an interrupted job wait again, from its start, for fresh cloth."""
        return self._set(number, State.INTERRUPTED, State.WAITING, Event.AGAIN)

    def take_as_done(self, number: int) -> Job:
        """Count an interrupted copy as made: the operator looked, or finished it by hand."""
        job = self.job(number)
        with self.storage.writing() as base:
            self._count_copy(base, job)
            self._tell(base, job.lane, number, Event.TAKEN_AS_DONE, {"copy": job.made + 1})
        return self.job(number)

    def go_on_with(self, number: int, rest: Run, check: Run | None = None) -> Job:
        """Let ``rest``, made of what is left of an interrupted job, be the lane's next job.

        The interrupted copy is taken off its job. With ``check``, a file of a check mark, that is
        sent first, and the rest is held until the operator has looked.
        """
        job = self.job(number)
        require_same_machine(rest, self.profile(job.lane), job.lane)
        with self.storage.writing() as base:
            self._count_copy(base, job)
            added = self._put_first(base, job, rest, Kind.REST, held=check is not None)
            if check is not None:
                self._put_first(base, job, check, Kind.CHECK)
            facts = {"by": added, "strokes": len(rest.strokes)}
            self._tell(base, job.lane, number, Event.CONTINUED, facts)
        return self.job(added)

    def cut_again(self, number: int, some: Run) -> Job:
        """Let ``some`` pieces of a job, made into a run of their own, be the lane's next job."""
        job = self.job(number)
        require_same_machine(some, self.profile(job.lane), job.lane)
        with self.storage.writing() as base:
            added = self._put_first(base, job, some, Kind.RECUT)
        return self.job(added)

    def remove(self, number: int) -> None:
        """Take a job out of the queue. Raises InputError while it is being sent."""
        job = self.job(number)
        with self.storage.writing() as base:
            done = base.execute(
                "DELETE FROM jobs WHERE number = ? AND state <> 'sending'", (number,)
            )
            if not done.rowcount:
                raise wrong_state(job, "is being sent", "Stop its sender first.")
            base.execute(
                "DELETE FROM runs WHERE NOT EXISTS (SELECT 1 FROM jobs WHERE run = digest)"
            )
            self._tell(base, job.lane, number, Event.REMOVED, {"state": job.state.value})

    def clear(self, lane: str | None = None) -> int:
        """Take all jobs that are done out of the queue, of one lane or all; give how many."""
        done = [job for job in self.jobs(lane) if job.state is State.DONE]
        for job in done:
            self.remove(job.number)
        return len(done)

    def note(self, number: int, words: str) -> None:
        """Write the operator's note on a job into the journal."""
        if not words.strip():
            raise InputError("the note is empty", remedy="Say in words what you saw.")
        known = self.storage.rows("SELECT lane FROM journal WHERE job = ? LIMIT 1", (number,))
        if not known:
            self.job(number)
        with self.storage.writing() as base:
            self._tell(base, str(known[0][0]), number, Event.NOTE, {"words": words.strip()})

    def wish(self, lane: str, wish: Wish) -> None:
        """Tell the lane's sender what is wanted: go on (also: the bed is ready), pause, stop."""
        number = self.lane(lane).number
        with self.storage.writing() as base:
            base.execute("UPDATE lanes SET wish = ? WHERE number = ?", (wish.value, number))

    def _waiting(self, number: int) -> Job:
        job = self.job(number)
        if job.state not in {State.WAITING, State.HELD}:
            raise wrong_state(job, f"is {job.state.value}", "Only jobs to come have an order.")
        return job

    def _set(self, number: int, was: State, becomes: State, event: Event) -> Job:
        job = self.job(number)
        with self.storage.writing() as base:
            done = base.execute(
                "UPDATE jobs SET state = ? WHERE number = ? AND state = ?",
                (becomes.value, number, was.value),
            )
            if not done.rowcount:
                raise wrong_state(job, f"is {job.state.value}", f"It must be {was.value} for that.")
            self._tell(base, job.lane, number, event, {})
        return self.job(number)

    def _count_copy(self, base: sqlite3.Connection, job: Job) -> None:
        """Take one copy of an interrupted job as made."""
        done = base.execute(
            "UPDATE jobs SET made = made + 1, state = CASE made + 1 WHEN copies THEN 'done' "
            "ELSE 'waiting' END WHERE number = ? AND state = 'interrupted'",
            (job.number,),
        )
        if not done.rowcount:
            raise wrong_state(
                job, f"is {job.state.value}, not interrupted", "There is nothing to go on with."
            )

    def _put_first(
        self, base: sqlite3.Connection, job: Job, run: Run, kind: Kind, *, held: bool = False
    ) -> int:
        state = State.HELD if held else State.WAITING
        new = NewJob(1, job.priority, state, kind, job.number)
        added = insert_job(base, self.lane(job.lane).number, run, new, self.clock.now())
        place_first(base, added)
        facts = {"file": run.name, "sha256": run.sha256, "kind": kind.value, "origin": job.number}
        self._tell(base, job.lane, added, Event.ADDED, facts)
        return added

    def _tell(
        self,
        base: sqlite3.Connection,
        lane: str,
        job: int,
        event: Event,
        facts: Mapping[str, object],
    ) -> None:
        write_down(base, Happening(self.clock.now(), lane, job, event, facts))
