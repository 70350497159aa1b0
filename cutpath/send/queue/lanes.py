"""A lane's state in the database, as its sender sees and sets it."""

from __future__ import annotations

from cutpath.run_model import Wish
from cutpath.send.queue.reading import JOB_COLUMNS, job_of
from cutpath.send.queue.storage import Storage
from cutpath.send.queue.values import Doing, Job

_NEXT = f"""
SELECT {JOB_COLUMNS} FROM jobs JOIN lanes ON lanes.number = lane
WHERE lane = :lane AND state = 'waiting' AND NOT EXISTS
(SELECT 1 FROM jobs WHERE lane = :lane AND state IN ('sending', 'interrupted'))
ORDER BY priority DESC, place LIMIT 1
"""


def next_job(storage: Storage, lane: int) -> Job | None:
    """Give the job that is sent next; None where none waits, or one is interrupted."""
    found = storage.rows(_NEXT, {"lane": lane})
    return job_of(found[0]) if found else None


class LaneState:
    """What one lane does and what is wanted of it."""

    def __init__(self, storage: Storage, number: int) -> None:
        self.storage = storage
        self.number = number

    def doing(self, what: Doing, words: str = "") -> None:
        """Tell everyone what the sender does, and why it stands."""
        with self.storage.writing() as base:
            base.execute(
                "UPDATE lanes SET doing = ?, words = ? WHERE number = ?",
                (what.value, words, self.number),
            )

    def wanted(self) -> Wish:
        """Give what is wanted now."""
        return Wish(
            self.storage.rows("SELECT wish FROM lanes WHERE number = ?", (self.number,))[0][0]
        )

    def wish(self, wish: Wish) -> None:
        """Want something in the operator's place: nothing goes on by itself."""
        with self.storage.writing() as base:
            base.execute("UPDATE lanes SET wish = ? WHERE number = ?", (wish.value, self.number))
