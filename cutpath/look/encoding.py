"""A scene as the JSON that the page's script reads: long lists of numbers packed in base64."""

from __future__ import annotations

import base64
import json
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cutpath.look.scene import Layer, Scene, Timeline, View


def scene_json(scene: Scene) -> str:
    """Give ``scene`` as JSON text that may stand inside a script element."""
    plain = {
        "title": scene.title,
        "notes": list(scene.notes),
        "views": [_view(view) for view in scene.views],
    }
    text = json.dumps(plain, ensure_ascii=False, separators=(",", ":"))
    # Inside a script element only "</" and "<!--" could end it early.
    return text.replace("<", "\\u003c")


def _view(view: View) -> dict[str, Any]:
    return {
        "name": view.name,
        "facts": [list(fact) for fact in view.facts],
        "layers": [_layer(layer) for layer in view.layers],
        "spots": [
            {
                "name": spot.name,
                "words": spot.words,
                "at": [round(float(value), 3) for value in spot.at],
                "bad": spot.is_bad,
            }
            for spot in view.spots
        ],
        "names": [
            [name.text, *(round(float(value), 2) for value in name.at), name.is_ringed]
            for name in view.names
        ],
        "timeline": None if view.timeline is None else _timeline(view.timeline),
    }


def _layer(layer: Layer) -> dict[str, Any]:
    counts = np.array([len(line) for line in layer.lines], dtype=np.uint32)
    points = np.concatenate([np.zeros((0, 2)), *layer.lines])
    return {
        "name": layer.name,
        "style": layer.style.value,
        "on": layer.is_on,
        "counts": _packed(counts, np.uint32),
        "points": _packed(points, np.float32),
        "words": list(layer.words),
    }


def _timeline(timeline: Timeline) -> dict[str, Any]:
    return {
        "points": _packed(timeline.places, np.float32),
        "seconds": _packed(timeline.seconds, np.float32),
        "down": _packed(timeline.down, np.uint8),
        "tool": _packed(timeline.tool, np.uint8),
        "stroke": _packed(timeline.stroke, np.int32),
        "tools": list(timeline.tools),
        "strokes": list(timeline.strokes),
    }


def _packed(values: NDArray[Any], kind: type) -> str:
    little = np.ascontiguousarray(values).astype(np.dtype(kind).newbyteorder("<"))
    return base64.b64encode(little.tobytes()).decode("ascii")
