"""Pieces and stocks for tests of laying."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cutpath.geometry.chain import polyline
from cutpath.laid import Lay, Place, Stock
from cutpath.lay.filling import NoFits
from cutpath.lay.ordering import Search, quick_search
from cutpath.lay.shapes import shapes_of
from cutpath.model import Piece
from tests.path.placed import box, piece

TURNS = (0.0, math.pi)
ROLL = Stock("new roll", None, 1000.0, 0.0, 1000.0)


def rectangle(name: str, length: float, width: float, grain: float | None = None) -> Piece:
    return replace(piece(name, box(0, 0, length, width)), grain=grain)


def triangle(name: str, length: float, width: float) -> Piece:
    return piece(name, polyline([(0, 0), (length, 0), (0, width)], closed=True))


def levelled(name: str, length: float, width: float, at: float) -> Piece:
    """A rectangle with a mark ``at`` mm along it that is kept level."""
    return replace(rectangle(name, length, width), level=np.array([at, 0.0]))


def laid(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock] = (ROLL,),
    *,
    gap: float = 4.0,
    turns: Sequence[float] = TURNS,
    repeat: float | None = None,
    placements: int = 200,
) -> Lay:
    """Lay pieces by the quick layer; all must find a place."""
    search = Search(shapes_of(pieces, turns, gap), stocks, repeat, NoFits())
    quick_search(search, placements)
    places = [place for place in search.places() if place is not None]
    assert len(places) == len(pieces)
    return Lay("acrylic", gap, tuple(stocks), tuple(places))


def moved(lay: Lay, name: str, dx: float = 0.0, dy: float = 0.0, turn: float = 0.0) -> Lay:
    """Give the lay with one piece moved by hand."""
    places = tuple(
        replace(place, x=place.x + dx, y=place.y + dy, turn=place.turn + turn)
        if place.piece == name
        else place
        for place in lay.places
    )
    return replace(lay, places=places)


def places_of(lay: Lay) -> dict[str, Place]:
    return {place.piece: place for place in lay.places}
