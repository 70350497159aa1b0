"""A piece moved as a whole: every line, point and direction of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from cutpath.geometry.chain import Chain
from cutpath.geometry.transform import Matrix, moved_angle, moved_points, transformed
from cutpath.model import Piece


def moved_piece(piece: Piece, matrix: Matrix) -> Piece:
    """Give the piece with every line and point moved by ``matrix``."""

    def moved(chains: Iterable[Chain]) -> tuple[Chain, ...]:
        return tuple(transformed(chain, matrix) for chain in chains)

    return replace(
        piece,
        cut=transformed(piece.cut, matrix),
        net=transformed(piece.net, matrix),
        notches=moved(piece.notches),
        inner_cuts=moved(piece.inner_cuts),
        pen=moved(piece.pen),
        lettering=moved(piece.lettering),
        drills=tuple(moved_points(xy[None], matrix)[0] for xy in piece.drills),
        grain=None if piece.grain is None else moved_angle(piece.grain, matrix),
        sealed=moved(piece.sealed),
        level=None if piece.level is None else moved_points(piece.level[None], matrix)[0],
    )
