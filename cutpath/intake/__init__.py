"""Drawings in: DXF and SVG to a Drawing, what layers mean, healing of open outlines."""
