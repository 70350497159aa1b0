"""Pieces for tests, made without the stages before."""

from collections.abc import Sequence

import numpy as np

from cutpath.errors import Source
from cutpath.geometry.chain import Chain, line, polyline, reversed_chain
from cutpath.model import Piece


def box(x: float, y: float, width: float, height: float) -> Chain:
    return polyline([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], closed=True)


def piece(
    name: str,
    cut: Chain,
    *,
    cloth: str = "acrylic",
    inner: Sequence[Chain] = (),
    notches: Sequence[Chain] = (),
    pen: Sequence[Chain] = (),
    drills: Sequence[tuple[float, float]] = (),
) -> Piece:
    return Piece(
        name=name,
        panel=name,
        cloth=cloth,
        mirrored=False,
        cut=cut,
        net=cut,
        notches=tuple(notches),
        inner_cuts=tuple(reversed_chain(loop) for loop in inner),
        pen=tuple(pen),
        lettering=(line((0, 0), (5, 0)), line((5, 1), (9, 1))),
        drills=tuple(np.array(xy, dtype=float) for xy in drills),
        source=Source(file="drawing.dxf", entity=name),
    )


def busy(name: str, x: float, y: float, width: float, height: float) -> Piece:
    """A rectangle with something of everything on it, in bed coordinates."""
    return piece(
        name,
        box(x, y, width, height),
        inner=[box(x + width * 0.3, y + height * 0.3, width * 0.2, height * 0.2)],
        notches=[
            line((x + width / 2, y), (x + width / 2, y + 5)),
            line((x, y + 9), (x + 5, y + 9)),
        ],
        pen=[line((x + 9, y + 9), (x + 9, y + height - 9))],
        drills=[(x + width * 0.7, y + height * 0.7)],
    )
