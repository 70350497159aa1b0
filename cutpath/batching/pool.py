"""Jobs prepared by processes of this machine, each with a pipe of its own.

One pipe a process tells exactly whose job it was when a process dies, so that no other job pays for
it. A process is replaced after some jobs, so that what libraries keep does not add up.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import pickle
import signal
import tempfile
import threading
from collections import deque
from collections.abc import Generator, Iterable, Iterator
from multiprocessing.connection import Connection, wait

from cutpath.batching.task import Failure, Outcome, Task, prepare

_JOBS_A_PROCESS = 50
_TRIES = 2
"""A process may be killed for what others did (memory): its job is tried once more."""


def in_processes(tasks: Iterable[Task], workers: int) -> Generator[tuple[str, Outcome]]:
    """Prepare ``tasks`` with ``workers`` processes; give (name, outcome) of each as it is done.

    A process that dies costs its own job only. Closing the iterator, or any error, ends the
    processes at once and takes away their temporary files.
    """
    with tempfile.TemporaryDirectory(prefix="cutpath-", ignore_cleanup_errors=True) as scratch:
        crew: list[_Worker] = []
        try:
            yield from _worked_off(deque(), iter(tasks), crew, workers, scratch)
        finally:
            for worker in crew:
                worker.end()


class _Worker:
    """One process, the job it is at, and how many it has done."""

    def __init__(self, scratch: str) -> None:
        context = multiprocessing.get_context("spawn")
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs, scratch), daemon=True)
        with _interrupts_are_ours():
            self._process.start()
        theirs.close()
        self.task: Task | None = None
        self.tries = 0
        self.done = 0

    @property
    def pipe(self) -> Connection:
        """What becomes readable when the job is done, or the process is gone."""
        return self._pipe

    def begin(self, task: Task, tries: int) -> None:
        """Give it a job; if it is gone already, ``finish`` will tell."""
        self.task, self.tries = task, tries
        with contextlib.suppress(OSError):
            self._pipe.send_bytes(pickle.dumps(task))

    def finish(self) -> Outcome | None:
        """Take the outcome of its job; None when the process died of it."""
        try:
            outcome: Outcome = pickle.loads(self._pipe.recv_bytes())
        except (EOFError, OSError):
            return None
        self.task = None
        self.done += 1
        return outcome

    def end(self) -> str:
        """End the process, whatever it does, and tell how it had ended before that."""
        self._pipe.close()
        if self.task is None:
            self._process.join(1.0)
        else:
            self._process.join(0.2)
        code = self._process.exitcode
        if code is None:
            self._process.kill()
            self._process.join()
        return _how_it_ended(code)


def _worked_off(
    again: deque[tuple[Task, int]],
    tasks: Iterator[Task],
    crew: list[_Worker],
    workers: int,
    scratch: str,
) -> Generator[tuple[str, Outcome]]:
    while True:
        _hand_out(again, tasks, crew, workers, scratch)
        busy = {worker.pipe: worker for worker in crew if worker.task is not None}
        if not busy:
            return
        for pipe in wait(list(busy)):
            worker = busy[pipe]  # type: ignore[index]
            task, tries = worker.task, worker.tries
            if task is None:
                continue
            outcome = worker.finish()
            if outcome is not None:
                yield task.name, outcome
            if outcome is None or worker.done >= _JOBS_A_PROCESS:
                crew.remove(worker)
                ended = worker.end()
                if outcome is None and tries < _TRIES:
                    again.append((task, tries + 1))
                elif outcome is None:
                    yield task.name, Outcome(failure=_died(ended))


def _hand_out(
    again: deque[tuple[Task, int]],
    tasks: Iterator[Task],
    crew: list[_Worker],
    workers: int,
    scratch: str,
) -> None:
    """Give every idle process a job, and start processes as long as there are jobs for them."""
    idle = [worker for worker in crew if worker.task is None]
    while idle or len(crew) < workers:
        task, tries = again.popleft() if again else (next(tasks, None), 1)
        if task is None:
            return
        if not idle:
            crew.append(_Worker(scratch))
            idle.append(crew[-1])
        idle.pop().begin(task, tries)


def _serve(pipe: Connection, scratch: str) -> None:
    """Prepare what comes through ``pipe`` until it is closed."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the parent, who ends us
    with contextlib.suppress(EOFError, OSError):
        while True:
            task = pickle.loads(pipe.recv_bytes())
            pipe.send_bytes(pickle.dumps(prepare(task, scratch)))


@contextlib.contextmanager
def _interrupts_are_ours() -> Iterator[None]:
    """Let a process that is started inside never see Ctrl-C, not even while it loads."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _how_it_ended(code: int | None) -> str:
    if code is None or code >= 0:
        return "it went away" if code is None else f"exit code {code}"
    with contextlib.suppress(ValueError):
        return f"ended by {signal.Signals(-code).name}"
    return f"ended by signal {-code}"


def _died(ended: str) -> Failure:
    return Failure(
        f"the process that prepared this job died twice ({ended})",
        "",
        "Often the memory did not suffice: use fewer --workers, or close other programs.",
    )


def usual_workers() -> int:
    """Give how many processes this machine's cores that we may use are good for."""
    ours = getattr(os, "sched_getaffinity", None)  # not on every system
    return len(ours(0)) if ours is not None else os.cpu_count() or 1
