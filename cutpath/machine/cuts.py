"""One line into the cuts that make it: each is one time that the tool is down."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain, joined, opened, reversed_chain, started_at
from cutpath.geometry.measure import joint_stations, signed_area
from cutpath.geometry.nearest import nearest
from cutpath.geometry.offset import strip
from cutpath.geometry.region import difference, union
from cutpath.geometry.splitting import with_joints_at
from cutpath.machine.blade import overrun, parted_at_corners
from cutpath.machine.leading import clear_lead_in, run_past, straight_parts, waste_side
from cutpath.model import Feature
from cutpath.settings.profile import Tool

_NEAR = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """An open ``chain`` to follow, and the ``lead`` in the waste that comes before it."""

    chain: Chain
    lead: Chain | None = None


def cuts_of(chain: Chain, feature: Feature, tool: Tool) -> list[Cut]:
    """Give the cuts that make ``chain``, machine coordinates, with ``tool``."""
    side = waste_side(chain, feature)
    if tool.kerf and side:
        chain = beside(chain, tool.kerf / 2, side)
    run = overrun(chain, tool.overcut)
    parts = [run]
    if tool.least_radius:
        parts = straight_parts(run, tool.least_radius, tool.tolerance)
    if tool.lift_angle is not None:
        angle = tool.lift_angle
        parts = [part for whole in parts for part in parted_at_corners(whole, angle)]
    parts = run_past(parts, tool.overlap, side)
    lead = clear_lead_in(parts[0], tool.lead_in, side, chain) if tool.lead_in and side else None
    if lead is not None and (tool.turned or tool.lead_speed is None):
        # At one speed it is one way; and a turned blade goes all of it in one go.
        parts[0], lead = joined([lead, parts[0]]), None
    return [Cut(part, lead if index == 0 else None) for index, part in enumerate(parts)]


def beside(chain: Chain, distance: float, side: int) -> Chain:
    """Give the closed line ``distance`` mm from a closed ``chain``, left of travel (+1) or right.

    It runs the same way and begins beside the same place. Raises ValueError where the distance
    leaves nothing of an opening.
    """
    is_left_inside = signed_area(chain) > 0
    loop = _begun_amid(chain if is_left_inside else reversed_chain(chain))
    if (side > 0) == is_left_inside:
        loops = difference([loop], [strip(opened(reversed_chain(loop)), distance)])
    else:
        loops = union([loop, strip(opened(loop), distance)])
    if not loops:
        raise ValueError("the kerf leaves nothing of the opening")
    found = max(loops, key=signed_area)
    if not is_left_inside:
        found = reversed_chain(found)
    station = float(nearest(found, chain.first[None]).station[0])
    stations = joint_stations(found)
    if np.abs(stations - station).min() > _NEAR:
        found = with_joints_at(found, np.array([station]))
        stations = joint_stations(found)
    return started_at(found, int(np.abs(stations - station).argmin()) % len(found))


def _begun_amid(loop: Chain) -> Chain:
    """Begin ``loop`` amid its first segment: a strip beside it then goes round every corner."""
    amid = float(joint_stations(loop)[1]) / 2
    return started_at(with_joints_at(loop, np.array([amid])), 1)
