"""In what order a job is sewn, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class StepKind(StrEnum):
    """What is done in a step, in the order in which steps that may all be done now are taken."""

    PATCH = "patch"
    FILM = "film"
    MAKE_UP = "make up"
    JOIN = "join"
    TOP_STITCH = "top-stitch"
    POCKET = "pocket"
    ZIP = "zip"
    ROPE = "edge rope"
    HEM = "hem"
    STRAP = "strap"
    BIND = "bind"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class Step:
    """One step at the sewing machine.

    ``name`` is unique in a job ("join A"); ``words`` say what is done; ``panels`` are the panels in
    hand, ``needs`` the names of steps that come before.
    """

    name: str
    kind: StepKind
    words: str
    panels: tuple[str, ...]
    needs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SewingPlan:
    """Steps in an order that works.

    ``handled`` is, for each, the area in mm² of all that hangs together in hand after it;
    ``is_best`` tells that no other order of joins handles less (tried exactly, for few joins).
    """

    steps: tuple[Step, ...]
    handled: tuple[float, ...]
    is_best: bool
