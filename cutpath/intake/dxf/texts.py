"""The words of a DXF text, without its formatting."""

from __future__ import annotations

from ezdxf.entities import MText
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.tools.text import plain_text

Place = tuple[float, float]


def plain_words(entity: DXFGraphic) -> tuple[str, Place, float]:
    """Give words, insertion point (in the entity's own coordinates) and height of a text."""
    if isinstance(entity, MText):
        at = entity.dxf.insert
        words = " ".join(str(entity.plain_text()).split())
        return words, (at.x, at.y), float(entity.dxf.get("char_height", 0.0))
    at = entity.dxf.insert
    aligned = entity.dxf.get("align_point")
    is_aligned = entity.dxf.get("halign", 0) or entity.dxf.get("valign", 0)
    if aligned is not None and is_aligned:
        at = aligned
    words = plain_text(entity.dxf.get("text", "")).strip()
    return words, (at.x, at.y), float(entity.dxf.get("height", 0.0))
