"""From shapes and stocks to places: the quick layer first, then for as long as is wanted."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from cutpath.laid import Place, Stock
from cutpath.lay.filling import NoFits
from cutpath.lay.ordering import Search, is_shortest, quick_search
from cutpath.lay.searching import Task, is_there, processors, search
from cutpath.lay.shapes import Shape

Told = Callable[[float, float, int], None]
"""Told mm to buy, the share of that cloth that is used, and the second."""

_PLACEMENTS = 4000
"""Effort of the quick layer: pieces placed in all where a job has twenty."""
_FEW, _SHORT = 20, 4
"""Up to so many pieces, runs of at least so many seconds are made from several seeds."""
_OWN_SHARE = 0.4
"""Of the time, where the library can only lay a part of the pieces."""


@dataclass(frozen=True, slots=True, eq=False)
class Seeking:
    """What is sought: places for ``shapes`` on ``stocks``, ``gap`` mm apart.

    ``fine`` are the same shapes nearer to their true lines, for the library.
    """

    shapes: Sequence[Shape]
    fine: Sequence[Shape]
    stocks: Sequence[Stock]
    gap: float
    repeat: float | None = None


def seek(seeking: Seeking, seconds: int, told: Told) -> list[list[Place | None]]:
    """Give lays, the best last: a place for each shape, None for those that found none.

    With 0 seconds the same places every time; the seconds are those after the quick layer.
    KeyboardInterrupt during the long search ends it and is not passed on.
    """
    own = Search(seeking.shapes, seeking.stocks, seeking.repeat, NoFits())
    quick_search(own, _PLACEMENTS)
    if not seconds or is_shortest(own):
        return [own.places()]
    began = time.monotonic()
    clock = _Clock(seeking, began, told)
    alone = len(seeking.stocks) == 1 and _is_free(seeking.shapes)
    with_library = is_there() and bool(_for_library(seeking, own.places())[1])
    share = 0.0 if alone and with_library else _OWN_SHARE if with_library else 1.0
    try:
        for _ in own.steps(seed=1):
            if time.monotonic() - began >= share * seconds:
                break
            clock.tell(own.bought)
    except KeyboardInterrupt:
        return [own.places()]
    places = own.places()
    stock, numbers = _for_library(seeking, places) if with_library else (0, [])
    left = max(math.floor(began + seconds - time.monotonic() + 0.5), 0)
    if not numbers or left < 1:
        return [places]
    shapes = [seeking.fine[number] for number in numbers]
    end = _end(shapes, [place for place in places if place is not None and place.stock == stock])
    task = Task(shapes, seeking.stocks[stock], stock, seeking.gap)
    found = _searched(task, left, clock, end)
    if found is None or _end(shapes, found) >= end:
        return [places]
    better = list(places)
    for number, place in zip(numbers, found, strict=True):
        better[number] = place
    return [places, better]


def _searched(task: Task, seconds: int, clock: _Clock, before: float) -> tuple[Place, ...] | None:
    """Search with the library; for few pieces several times, from different seeds.

    Few pieces are soon as good as one run will make them, and the next may be better.
    """
    is_few = len(task.shapes) <= _FEW
    runs = max(min(4, seconds // _SHORT), 1) if is_few else 1
    beside = processors() if is_few else 1
    best: tuple[Place, ...] | None = None
    end = before
    for run in range(runs):
        share = seconds // runs + (seconds % runs if run == runs - 1 else 0)
        ended: list[bool] = []

        def told(length: float, end: float = end, ended: list[bool] = ended) -> None:
            if math.isnan(length):
                ended.append(True)
            else:
                clock.tell(min(length, end))

        found = search(task, share, told, range(run * beside, (run + 1) * beside))
        if found is not None and _end(task.shapes, found) < end:
            best, end = found, _end(task.shapes, found)
        if ended:
            break
    return best


@dataclass(slots=True)
class _Clock:
    """Tells how far the search is."""

    seeking: Seeking
    began: float
    told: Told

    def tell(self, bought: float) -> None:
        width = self.seeking.stocks[-1].width
        area = sum(shape.area for shape in self.seeking.shapes)
        on_hand = len(self.seeking.stocks) > 1
        use = math.nan if on_hand or not bought else area / (bought * width)
        self.told(bought, use, int(time.monotonic() - self.began))


def _is_free(shapes: Sequence[Shape]) -> bool:
    """Tell whether nothing has to lie level, which the library does not know."""
    return all(pose.level is None for shape in shapes for pose in shape.poses)


def _for_library(seeking: Seeking, places: Sequence[Place | None]) -> tuple[int, list[int]]:
    """Give the stock that the library may lay anew, and the numbers of the shapes on it.

    It knows no flaws and nothing that lies level. The new roll comes first, then the roll on hand
    with the most pieces.
    """
    on: dict[int, list[int]] = {}
    for number, place in enumerate(places):
        if place is not None:
            on.setdefault(place.stock, []).append(number)
    fit = [
        stock
        for stock, numbers in on.items()
        if not seeking.stocks[stock].flaws and _is_free([seeking.shapes[i] for i in numbers])
    ]
    if not fit:
        return 0, []
    best = max(fit, key=lambda stock: (seeking.stocks[stock].length is None, len(on[stock])))
    return best, on[best]


def _end(shapes: Sequence[Shape], places: Sequence[Place]) -> float:
    """Give how far a lay reaches along the roll, mm."""
    return max(
        place.x + next(pose.length for pose in shape.poses if pose.turn == place.turn)
        for shape, place in zip(shapes, places, strict=True)
    )
