"""What was told is kept: with a log cut off anywhere, and with many at once."""

import shutil
import threading
from pathlib import Path

import pytest

from cutpath.send.queue.queue import Queue
from cutpath.send.queue.storage import FILE
from cutpath.send.queue.values import Job
from tests.send.queue.ticking import Ticking, run_of_strokes


@pytest.mark.parametrize("share", [0.0, 0.1, 0.31, 0.5, 0.77, 0.9, 0.999, 1.0])
def test_a_log_cut_off_anywhere_gives_an_earlier_state_whole(tmp_path: Path, share: float) -> None:
    """Power may go while the log is written: what opens then is one of the states that were."""
    folder = tmp_path / "queue"
    states: list[tuple[Job, ...]] = [()]
    with Queue(folder, Ticking()) as queue:
        queue.add_lane("table", "flatbed-hpgl")
        for step in range(6):
            queue.add(run_of_strokes(4 + step), "table", priority=step % 2)
            states.append(queue.jobs())
        queue.hold(2)
        states.append(queue.jobs())
        queue.move(3, first=True)
        states.append(queue.jobs())
        queue.remove(1)
        states.append(queue.jobs())
        after = tmp_path / "after"
        after.mkdir()
        shutil.copy(folder / FILE, after / FILE)
        log = (folder / f"{FILE}-wal").read_bytes()
    (after / f"{FILE}-wal").write_bytes(log[: round(share * len(log))])
    with Queue(after, Ticking()) as found:
        assert found.jobs() in states
        assert share < 1 or found.jobs() == states[-1]
        for job in found.jobs():
            assert len(found.run(job.number).strokes) == job.strokes
            assert found.journal(job.number)


def test_many_at_once_lose_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "queue"
    with Queue(folder) as queue:
        queue.add_lane("table", "flatbed-hpgl")

    def add() -> None:
        with Queue(folder) as mine:
            for _ in range(10):
                mine.move(mine.add(run_of_strokes(), "table").number, first=True)

    threads = [threading.Thread(target=add) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with Queue(folder) as queue:
        assert sorted(job.number for job in queue.jobs()) == list(range(1, 41))
        places = queue.storage.rows("SELECT DISTINCT place FROM jobs")
        assert len(places) == 40
