"""Loose segments to closed outlines: what was mended is counted and told."""

from cutpath.intake.healing.gaps import require_closed
from cutpath.intake.healing.healing import Healed, heal

__all__ = ["Healed", "heal", "require_closed"]
