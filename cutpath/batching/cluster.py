"""Jobs prepared by the workers of a Dask cluster.

Nothing is shared with the workers but the network: the bytes of a job go there with its task, the
bytes of its files come back. ``distributed`` is an extra, imported here only when it is asked for.
"""

from __future__ import annotations

import logging
import pickle
import warnings
from collections.abc import Generator, Iterable, Iterator
from contextlib import contextmanager
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
    from distributed import wait  # noqa: PLC0415 (an extra)

    mark = program_mark()
    running: dict[Future, str] = {}
    idle_s = 0
    try:
        while True:
            for task in islice(tasks, max(0, at_once - len(running))):
                future = client.submit(prepare_packed, mark, pickle.dumps(task), pure=False)
                running[future] = task.name
            if not running:
                return
            try:
                waited = wait([*running], timeout=_LOOK_EVERY_S, return_when="FIRST_COMPLETED")
            except TimeoutError:
                has_workers = client.status == "running" and bool(client.nthreads())
                idle_s = 0 if has_workers else idle_s + _LOOK_EVERY_S
                if client.status not in {"running", "connecting"} or idle_s >= _WAIT_FOR_WORKERS_S:
                    raise _gone(address) from None
                continue
            for future in waited.done:
                yield running.pop(future), _outcome(future, client, address)
    finally:
        for future in running:
            future.release()


def _outcome(future: Future, client: Client, address: str) -> Outcome:
    if future.status == "finished":
        outcome: Outcome = pickle.loads(future.result(timeout=_WAIT_FOR_WORKERS_S))
        return outcome
    if future.status in {"cancelled", "lost"}:
        raise _gone(address)
    error = future.exception(timeout=_WAIT_FOR_WORKERS_S)
    if type(error).__name__ == "KilledWorker":
        words = "the workers that prepared this job died, one after the other"
        remedy = "Often the memory did not suffice: give the workers more, or prepare it alone."
        return Outcome(failure=Failure(words, "", remedy))
    return Outcome(
        failure=Failure(f"the cluster could not do it ({type(error).__name__}: {error})")
    )


def _gone(address: str) -> InputError:
    return InputError(
        "the cluster went away",
        Source(file=address),
        "What was done is kept: start the cluster and run the same command again.",
    )
