"""The words of a DXF text, without its formatting."""

from __future__ import annotations

from ezdxf.entities import MText
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.tools.text import plain_text

Place = tuple[float, float]

_HIDDEN = 1


def plain_words(entity: DXFGraphic) -> tuple[str, Place, float]:
    """Give words, insertion point (in the entity's own coordinates) and height of a text.

    Lines stay lines, with runs of blanks made one. Hidden attributes have no words.
    """
    at = entity.dxf.insert
    if isinstance(entity, MText):
        lines = str(entity.plain_text()).splitlines()
        words = "\n".join(" ".join(line.split()) for line in lines).strip()
        return words, (at.x, at.y), float(entity.dxf.get("char_height", 0.0))
    if entity.dxftype() == "ATTRIB" and entity.dxf.get("flags", 0) & _HIDDEN:
        return "", (at.x, at.y), 0.0
    aligned = entity.dxf.get("align_point")
    is_aligned = entity.dxf.get("halign", 0) or entity.dxf.get("valign", 0)
    if aligned is not None and is_aligned:
        at = aligned
    words = plain_text(entity.dxf.get("text", "")).strip()
    return words, (at.x, at.y), float(entity.dxf.get("height", 0.0))
