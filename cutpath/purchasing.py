"""What a job takes, told in the units it is bought by, with waste apart and prices where known."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from cutpath.model import Piece
from cutpath.part_model import Measure, Supply, SupplyKind
from cutpath.parts.buying import Measured, shopping
from cutpath.parts.webbing_list import WebbingList, webbing_lists
from cutpath.planning import Planned
from cutpath.settings.part_tables.webbing import Prices

_METRE, _SQUARE = 1000.0, 1e6


@dataclass(frozen=True, slots=True)
class Purchase:
    """One line of what to buy: in words, with waste apart; ``cost`` is None without a price."""

    supply: Supply
    net: str
    waste: str
    total: str
    cost: float | None


@dataclass(frozen=True, slots=True)
class Purchases:
    """Everything to buy, and how webbing is cut from what is there."""

    lines: tuple[Purchase, ...]
    webbing: tuple[WebbingList, ...]
    currency: str

    @property
    def cost(self) -> float | None:
        """Give the cost of all that has a price; None when nothing has."""
        priced = [line.cost for line in self.lines if line.cost is not None]
        return sum(priced) if priced else None


def purchases(
    planned: Planned, pieces: Sequence[Piece], laid: Mapping[str, float] | None = None
) -> Purchases:
    """List what ``planned`` takes; ``laid`` are lengths of cloth to buy by cloth, mm, from a lay.

    Raises InputError for a strap longer than its roll and a stitch without a formula.
    """
    job = planned.job
    inside = sum(split.stitching for split in planned.splits.made)
    measured = Measured(laid or {}, inside)
    supplies = shopping(planned.plans, planned.parts, planned.seams, pieces, job, measured)
    lists = webbing_lists(planned.parts, job)
    prices = job.said.prices
    new = {each.name: each.cuts.bought for each in lists}
    lines = tuple(_purchase(supply, prices, new.get(supply.name)) for supply in supplies)
    return Purchases(lines, lists, prices.currency)


def _purchase(supply: Supply, prices: Prices, new: float | None) -> Purchase:
    """Price a supply; ``new`` is what of it remnants don't cover, where there are any."""
    whole = supply.amount * (1 + supply.waste) if new is None else new
    waste = f"{100 * supply.waste:.0f} %" if supply.waste else ""
    price = prices.of.get(supply.name)
    unit = {Measure.LENGTH: _METRE, Measure.AREA: _SQUARE, Measure.COUNT: 1.0}[supply.measure]
    cost = None if price is None else price * _rounded(whole, supply.measure) / unit
    return Purchase(
        supply,
        _words(supply.amount, supply.measure),
        waste,
        _words(_rounded(whole, supply.measure), supply.measure),
        cost,
    )


def _rounded(amount: float, measure: Measure) -> float:
    """Round up to what is sold: tenths of a metre, hundredths of a square metre, whole pieces."""
    step = {Measure.LENGTH: 100.0, Measure.AREA: 1e4, Measure.COUNT: 1.0}[measure]
    return math.ceil(amount / step - 1e-9) * step


def _words(amount: float, measure: Measure) -> str:
    if measure is Measure.LENGTH:
        return f"{amount / _METRE:.2f} m"
    if measure is Measure.AREA:
        return f"{amount / _SQUARE:.2f} m²"
    return f"{amount:.0f}"


def purchase_lines(bought: Purchases) -> Iterator[str]:
    """Give the list for people, a line each, and the cut list of each webbing."""
    if bought.lines:
        yield "To buy:"
    for line in bought.lines:
        waste = f" ({line.net} and {line.waste})" if line.waste else ""
        if line.supply.kind is SupplyKind.WEBBING and line.total != line.net:
            waste = f" ({line.net} in all, the rest from remnants)"
        cost = f", {line.cost:.2f} {bought.currency}".rstrip() if line.cost is not None else ""
        yield f"  {line.supply.kind.value}: {line.supply.name}, {line.total}{waste}{cost}"
    for each in bought.webbing:
        best = "" if each.cuts.is_best else "; a better way may exist"
        yield f"  {each.name}, longest first{best}:"
        for bar in each.cuts.bars:
            kind = "new roll" if bar.is_new else f"remnant of {bar.length / _METRE:.2f} m"
            told = ", ".join(f"{each.lengths[i]:.0f}" for i in bar.pieces)
            yield f"    {kind}: {told} mm; {bar.left:.0f} mm left"


def purchase_facts(bought: Purchases) -> dict[str, Any]:
    """Give the list as plain values; lengths in mm, areas in mm²."""
    return {
        "to_buy": [
            {
                "kind": line.supply.kind.value,
                "name": line.supply.name,
                "for": line.supply.part,
                "net": round(line.supply.amount, 1),
                "measure": line.supply.measure.value,
                "waste": line.supply.waste,
                "buy": line.total,
                "cost": None if line.cost is None else round(line.cost, 2),
            }
            for line in bought.lines
        ],
        "webbing": [
            {
                "name": each.name,
                "proven_best": each.cuts.is_best,
                "cut_from": [
                    {
                        "length_mm": round(bar.length, 1),
                        "new": bar.is_new,
                        "pieces_mm": [round(each.lengths[i], 1) for i in bar.pieces],
                        "straps": [each.names[i] for i in bar.pieces],
                        "left_mm": round(bar.left, 1),
                    }
                    for bar in each.cuts.bars
                ],
            }
            for each in bought.webbing
        ],
    }
