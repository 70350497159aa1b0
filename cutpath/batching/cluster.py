"""Jobs prepared by the workers of a Dask cluster.

Nothing is shared with the workers but the network: the bytes of a job go there with its task, the
bytes of its files come back. ``distributed`` is an extra, imported here only when it is asked for.
"""

from __future__ import annotations

import logging
import pickle
import time
import warnings
from collections.abc import Generator, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from itertools import islice
from typing import TYPE_CHECKING

from cutpath.batching.program import differences, program_mark
from cutpath.batching.task import Failure, Outcome, Task, prepare_packed
from cutpath.errors import InputError, Source

if TYPE_CHECKING:
    from distributed import Client, Future

_ANSWER_S = 10
_LOOK_EVERY_S = 5
_WAIT_FOR_WORKERS_S = 60


def on_cluster(tasks: Iterable[Task], address: str) -> Generator[tuple[str, Outcome]]:
    """Prepare ``tasks`` on the cluster at ``address`` (``tcp://host:8786``); give them as done.

    Raises InputError when nobody answers there, when a worker runs another program than this one,
    and when all workers go away for a minute.
    """
    with _client(address) as client:
        workers = _require_same_program(client, address)
        yield from _worked_off(client, iter(tasks), 2 * workers, address)


@contextmanager
def _client(address: str) -> Iterator[Client]:
    try:
        from distributed import Client  # noqa: PLC0415 (an extra)
    except ImportError as error:
        raise InputError(
            "--cluster needs the package 'distributed'",
            remedy="Install it with: pip install 'cutpath[cluster]'",
        ) from error
    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of versions: ours are compared, in words, below
        try:
            client = Client(address, timeout=_ANSWER_S)
        except (OSError, TimeoutError, ValueError) as error:
            raise InputError(
                "no cluster answers here",
                Source(file=address),
                "Start one with: dask scheduler; and on each machine: dask worker ADDRESS",
            ) from error
        try:
            yield client
        finally:
            client.close(timeout=2)


def _require_same_program(client: Client, address: str) -> int:
    """Give how many tasks the workers take at once, if all run the program that we are."""
    marks = client.run(program_mark, on_error="return")
    if not marks:
        raise InputError(
            "the cluster has no workers",
            Source(file=address),
            f"Start one on each machine: dask worker {address}",
        )
    here = program_mark()
    for worker, mark in sorted(marks.items()):
        if not isinstance(mark, str):
            raise InputError(
                f"cutpath cannot be started there ({type(mark).__name__}: {mark})",
                Source(file=worker),
                "Install cutpath on every worker, in the environment that runs it.",
            )
        if mark != here:
            raise InputError(
                f"this worker runs another program: {differences(here, mark)}",
                Source(file=worker),
                "Install the same versions on all workers, so that all give the same bytes.",
            )
    return int(sum(client.nthreads().values()))


def _worked_off(
    client: Client, tasks: Iterator[Task], at_once: int, address: str
) -> Generator[tuple[str, Outcome]]:
    """Keep ``at_once`` tasks going; those whose workers died go once more at the end, one by one.

    The scheduler blames every task that was with a worker that died: alone it is clear which it is.
    """
    running: dict[Future, Task] = {}
    suspects: list[Task] = []
    try:
        for task in islice(tasks, at_once):
            running[_submitted(client, task)] = task
        while running:
            for future in _done(client, running, address):
                task = running.pop(future)
                if _died(future):
                    suspects.append(task)
                else:
                    yield task.name, _outcome(future)
                if (following := next(tasks, None)) is not None:
                    running[_submitted(client, following)] = following
        for task in suspects:
            running = {_submitted(client, task): task}
            future = _done(client, running, address)[0]
            yield task.name, _outcome(future)
    finally:
        for future in running:
            future.release()


def _submitted(client: Client, task: Task) -> Future:
    return client.submit(prepare_packed, program_mark(), pickle.dumps(task), pure=False)


def _done(client: Client, running: Mapping[Future, Task], address: str) -> list[Future]:
    """Wait until some are done. Raises InputError when the cluster goes away.

    What a worker had done when it died is lost and done again by another: that is waited for.
    """
    from distributed import wait  # noqa: PLC0415 (an extra)

    alone_since = None
    while True:
        with suppress(TimeoutError):
            wait([*running], timeout=_LOOK_EVERY_S, return_when="FIRST_COMPLETED")
        done = [future for future in running if future.status in {"finished", "error"}]
        if done:
            return done
        has_workers = client.status == "running" and bool(client.nthreads())
        now = time.monotonic()
        alone_since = None if has_workers else alone_since or now
        is_alone = alone_since is not None and now - alone_since >= _WAIT_FOR_WORKERS_S
        is_cut_off = client.status not in {"running", "connecting"}
        is_cancelled = any(future.status == "cancelled" for future in running)
        if is_cut_off or is_cancelled or is_alone:
            raise _gone(address)
        time.sleep(0.1)  # lost ones count as done for ``wait``


def _died(future: Future) -> bool:
    return (
        future.status == "error"
        and type(future.exception(timeout=_ANSWER_S)).__name__ == "KilledWorker"
    )


def _outcome(future: Future) -> Outcome:
    if _died(future):
        words = "the workers that prepared this job died, one after the other"
        remedy = "Often the memory did not suffice: give the workers more, or prepare it alone."
        return Outcome(failure=Failure(words, "", remedy))
    try:
        outcome: Outcome = pickle.loads(future.result(timeout=_WAIT_FOR_WORKERS_S))
    except Exception as error:
        words = f"the cluster could not do it ({type(error).__name__}: {error})"
        return Outcome(failure=Failure(words))
    return outcome


def _gone(address: str) -> InputError:
    return InputError(
        "the cluster went away",
        Source(file=address),
        "What was done is kept: start the cluster and run the same command again.",
    )
