"""What a drawing shows: layers that are off or frozen, and entities that are invisible."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from ezdxf.document import Drawing as Document

from cutpath.intake.dxf.entities import Entity


@dataclass(slots=True)
class Visible:
    """Tells what is shown, and counts what is not."""

    document: Document
    hidden: Counter[str] = field(default_factory=Counter)
    invisible: int = 0
    _known: dict[str, tuple[bool, bool]] = field(default_factory=dict)

    def shows(self, entity: Entity, kind: str, layer: str) -> bool:
        """Tell whether ``entity``, drawn on ``layer``, is shown; count it when it is not.

        Freezing a layer hides a block inserted on it whole; a layer that is off hides only what
        lies on it itself, so that a block's other layers are still shown.
        """
        off, frozen = self._state(layer)
        if frozen or (off and kind != "INSERT"):
            self.hidden[layer] += 1
            return False
        if entity.dxf.get("invisible", 0):
            self.invisible += 1
            return False
        return True

    def _state(self, layer: str) -> tuple[bool, bool]:
        known = self._known.get(layer)
        if known is None:
            layers = self.document.layers
            known = False, False
            if layers.has_entry(layer):
                found = layers.get(layer)
                known = found.is_off(), found.is_frozen()
            self._known[layer] = known
        return known
