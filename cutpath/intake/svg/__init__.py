"""SVG (SVG 1.1 and SVG 2) to a Drawing, with exact arcs."""

from cutpath.intake.svg.reader import read_svg

__all__ = ["read_svg"]
