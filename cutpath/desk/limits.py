"""How much one device may ask of the desk: so many requests at once, so many a second."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

_MOST_DEVICES = 512


@dataclass(slots=True)
class _Bucket:
    left: float
    at: float


class RateLimit:
    """A bucket for each address that fills at ``a_second`` up to ``at_once``; a request takes one.

    Few addresses are remembered, so that many cannot fill the memory.
    """

    def __init__(
        self, a_second: float, at_once: int, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._rate = a_second
        self._most = at_once
        self._clock = clock
        self._buckets: OrderedDict[str, _Bucket] = OrderedDict()

    def allows(self, address: str) -> bool:
        """Take one from the address's bucket, if there is one."""
        now = self._clock()
        bucket = self._buckets.setdefault(address, _Bucket(self._most, now))
        self._buckets.move_to_end(address)
        if len(self._buckets) > _MOST_DEVICES:
            self._buckets.popitem(last=False)
        bucket.left = min(self._most, bucket.left + (now - bucket.at) * self._rate)
        bucket.at = now
        if bucket.left < 1:
            return False
        bucket.left -= 1
        return True
