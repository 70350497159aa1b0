"""From places to pieces in cloth coordinates, and how a cloth's rules become numbers."""

from __future__ import annotations

from collections.abc import Mapping

from cutpath.geometry.measure import bounds
from cutpath.geometry.transform import compose, transformed, translation
from cutpath.laid import Lay, Place
from cutpath.lay.shapes import warp_turn
from cutpath.model import Piece
from cutpath.moving import moved_piece


def laid_piece(piece: Piece, place: Place) -> Piece:
    """Give ``piece`` where ``place`` says, in the stock's coordinates."""
    matrix = warp_turn(piece, place.turn)
    low_x, low_y, _, _ = bounds(transformed(piece.cut, matrix))
    return moved_piece(piece, compose(translation(place.x - low_x, place.y - low_y), matrix))


def laid_pieces(lay: Lay, pieces: Mapping[str, Piece]) -> tuple[Piece, ...]:
    """Give every piece of the lay in its place, in the order of ``lay.places``."""
    return tuple(laid_piece(pieces[place.piece], place) for place in lay.places)
