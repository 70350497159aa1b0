"""Exchanging neighbouring runs here and there, and keeping what ends up shorter.

What cannot be mended to something no dearer is put back (iterated local search: H. R. Lourenço,
O. C. Martin and T. Stützle, 2003). The places come from a generator with a fixed seed, so that the
same work gives the same route.
"""

from __future__ import annotations

import random
from collections.abc import Callable

from cutpath.path.order.improving import GAIN, Improver

_WITHIN = 50
"""Stops among which one exchange is made."""

Extra = Callable[[Improver], float]
"""What a whole route costs besides its ways: waits, for example."""


def kick(route: Improver, trials: int, seed: int, extra: Extra | None = None) -> None:
    """Try ``trials`` exchanges. With ``extra`` a route is judged with that on top."""
    count = len(route.order) - 2
    if count < 3:
        return
    random_ = random.Random(seed).random
    besides = extra(route) if extra else 0.0
    route.journal.clear()
    for _ in range(trials):
        within = min(_WITHIN, count)
        low = 1 + int(random_() * (count - within + 1))
        first, middle, end = sorted(low + int(random_() * (within + 1)) for _ in range(3))
        if middle in (first, end) or not route.may_exchange(first, middle, end):
            continue
        gain = _exchange(route, first, middle, end)
        now = extra(route) if extra and gain + besides >= -GAIN else besides
        if gain + besides - now < -GAIN:
            route.undo()
        else:
            besides = now
        route.journal.clear()


def _exchange(route: Improver, first: int, middle: int, end: int) -> float:
    """Let the runs first … middle − 1 and middle … end − 1 change places; mend; give the gain."""
    order, taken, rows = route.order, route.taken, route.rows
    touched = [order[place] for place in
               (first - 1, first, middle - 1, middle, end - 1, end)]  # fmt: skip
    a, b, c, d, e, f = (taken[stop] for stop in touched)
    gain = rows[a][b] + rows[c][d] + rows[e][f] - rows[a][d] - rows[e][b] - rows[c][f]
    route.place(first, order[middle:end] + order[first:middle])
    return gain + route.settle(touched)
