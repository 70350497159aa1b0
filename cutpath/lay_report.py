"""What a lay comes to, for programs, for people and as a picture."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from cutpath.cloth_lay import LaidCloth
from cutpath.delivery import file_names
from cutpath.geometry.measure import bounds
from cutpath.laying import LaidOut, lay_file_of
from cutpath.settings.job import Job
from cutpath.sheet.lay_picture import LayPicture, StockPicture, draw_lay
from cutpath.units import format_length


def lay_words(laid: LaidCloth) -> str:
    """Give the lay in a line: what to buy and how well cloth is used."""
    measures = laid.measures
    used = [
        f"{format_length(use.used)} of {stock.name}"
        for stock, use in zip(laid.lay.stocks, measures.stocks, strict=True)
        if use.used and stock.length is not None
    ]
    parts = [f"{format_length(measures.to_buy)} to buy" if measures.to_buy else "nothing to buy"]
    return ", ".join([*used, *parts, f"{measures.use:.1%} used", laid.origin])


def remnant_words(laid: LaidCloth) -> tuple[str, ...]:
    """Give the largest rectangles that remain, a line for each stock that has any."""
    return tuple(
        f"{stock.name} leaves "
        + ", ".join(f"{length:.0f} × {width:.0f} mm" for _, _, length, width in use.remnants)
        for stock, use in zip(laid.lay.stocks, laid.measures.stocks, strict=True)
        if use.remnants
    )


def draw_laid(laid: LaidCloth, job: str) -> str:
    """Give the lay's picture as SVG text."""
    stocks = []
    for number, (stock, use) in enumerate(zip(laid.lay.stocks, laid.measures.stocks, strict=True)):
        if not use.used and stock.length is None:
            continue
        pieces = tuple(
            piece
            for place, piece in zip(laid.lay.places, laid.pieces, strict=True)
            if place.stock == number
        )
        frames = tuple(
            (
                frame.start,
                min(max(bounds(piece.cut)[2] for piece in frame.pieces), frame.end),
                f"{'frame' if laid.by_machine else 'load'} {load}"
                + (f", {format_length(frame.advance)} on" if frame.advance else ""),
            )
            for load, frame in enumerate(laid.frames, start=1)
            if frame.stock == number
        )
        far = use.used if stock.length is None else stock.length
        size = f"{format_length(far)} × {format_length(stock.width)}"
        words = f"{stock.name}, {size}, {use.use:.1%} of what is used"
        stocks.append(StockPicture(stock, far, use.used, pieces, frames, use.remnants, words))
    name = laid.cloth.name or laid.lay.cloth
    notes = (f"{lay_words(laid)}; gap {laid.lay.gap:g} mm", *remnant_words(laid))
    return draw_lay(LayPicture(f"{job}: {name}, laid", notes, tuple(stocks)))


def lay_pictures(lays: Sequence[LaidCloth], job: str) -> dict[str, str]:
    """Give the picture of each lay by its file's name, in order."""
    names = file_names(f"{job} lay", [(each.lay.cloth, 1) for each in lays])
    return {f"{name}.svg": draw_laid(each, job) for each, name in zip(lays, names, strict=True)}


def lay_to_keep(laid: LaidOut, job: Job) -> tuple[Path, bytes] | None:
    """Give what is to be kept beside the job after a long search, and where."""
    if not laid.is_found or job.folder is None:
        return None
    return lay_file_of(job.folder / job.file), laid.text.encode("utf-8")


def lay_facts(laid: LaidCloth) -> dict[str, Any]:
    """Give a lay's numbers for programs."""
    stocks = [
        {
            "name": stock.name,
            "length_mm": stock.length,
            "width_mm": round(stock.width, 3),
            "used_mm": round(use.used, 3),
            "use": round(use.use, 4),
            "pieces": [place.piece for place in laid.lay.places if place.stock == number],
            "remnants_mm": [[round(value, 1) for value in box] for box in use.remnants],
        }
        for number, (stock, use) in enumerate(
            zip(laid.lay.stocks, laid.measures.stocks, strict=True)
        )
        if use.used or stock.length is not None
    ]
    frames = [
        {
            "stock": laid.lay.stocks[frame.stock].name,
            "start_mm": round(frame.start, 3),
            "advance_mm": round(frame.advance, 3),
            "pieces": [piece.name for piece in frame.pieces],
        }
        for frame in laid.frames
    ]
    return {
        "cloth": laid.lay.cloth,
        "origin": laid.origin,
        "gap_mm": round(laid.lay.gap, 3),
        "to_buy_mm": round(laid.measures.to_buy, 3),
        "use": round(laid.measures.use, 4),
        "stocks": stocks,
        "frames": frames,
    }
