"""``lay.json``: where pieces lie on their cloths, as it was found or as a person wrote it."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from pydantic import Field

from cutpath.errors import InputError, Source
from cutpath.laid import Lay, Place, Stock
from cutpath.settings.json_lines import line_of_json
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.quantities import Angle, Length
from cutpath.settings.toml_file import Settings, checked, dotted, read_text

_ABOUT = (
    "Where each piece lies: x and y of the least corner of its cut line, in mm from the cloth's "
    "end and its near edge; turn in degrees from lying with its warp along the roll."
)


class LaidPiece(Settings):
    """One piece's place."""

    piece: str
    on: str = Field(description="the remnant or roll that it lies on")
    turn: Angle = 0.0
    x: Length
    y: Length


class LaidClothEntry(Settings):
    """One cloth's lay. ``made_for`` is the mark of the pieces and rules that it was made for."""

    made_for: str = ""
    places: tuple[LaidPiece, ...]


class LayFile(Settings):
    """All of ``lay.json``."""

    about: str = ""
    cloths: dict[str, LaidClothEntry]


@dataclass(frozen=True, slots=True, eq=False)
class SavedLay:
    """A lay file that was read. ``file`` is its name, ``text`` what stands in it."""

    said: LayFile
    file: str
    text: str

    def place(self, *path: str | int) -> Source:
        """Give where the key ``path`` stands in the file."""
        return Source(file=self.file, line=line_of_json(self.text, path), key=dotted(path))

    def mark_of(self, cloth: str) -> str:
        """Give what the cloth's lay was made for; empty when there is none or nobody said."""
        entry = self.said.cloths.get(cloth)
        return entry.made_for if entry else ""

    def lay_for(self, cloth: str, gap: float, stocks: tuple[Stock, ...]) -> Lay:
        """Give the lay of ``cloth`` on ``stocks``. Raises InputError for stocks not known."""
        entry = self.said.cloths.get(cloth)
        if entry is None:
            raise InputError(
                f"this lay has nothing on the cloth '{cloth}'",
                self.place("cloths"),
                nearest_word(cloth, self.said.cloths),
            )
        names = [stock.name for stock in stocks]
        places = []
        for number, piece in enumerate(entry.places):
            if piece.on not in names:
                raise InputError(
                    f"there is no '{piece.on}' to lay on",
                    self.place("cloths", cloth, "places", number, "on"),
                    nearest_word(piece.on, names),
                )
            places.append(Place(piece.piece, names.index(piece.on), piece.turn, piece.x, piece.y))
        return Lay(cloth, gap, stocks, tuple(places))

    def place_of(self, cloth: str, piece: str) -> Source:
        """Give where the last entry of ``piece`` stands."""
        entry = self.said.cloths[cloth]
        found = [number for number, each in enumerate(entry.places) if each.piece == piece]
        path: tuple[str | int, ...] = ("cloths", cloth, "places")
        return self.place(*path, found[-1]) if found else self.place(*path)


def read_lay(path: Path) -> SavedLay:
    """Read and check a lay file. Raises InputError for every mistake, with its line and key."""
    text = read_text(path)
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise InputError(
            f"this is not valid JSON: {error.msg[:1].lower()}{error.msg[1:]}",
            Source(file=path.name, line=error.lineno),
            "Each entry ends with a comma but the last; text stands in double quotes.",
        ) from error
    except RecursionError as error:
        raise InputError("lists are nested too deeply", Source(file=path.name)) from error
    if not isinstance(data, dict):
        raise InputError(
            "a lay file holds one table", Source(file=path.name, line=1), "Begin it with {."
        )
    return SavedLay(checked(data, text, path.name, LayFile, line_of_json), path.name, text)


def lay_text(lays: Mapping[str, tuple[str, Lay]]) -> str:
    """Give the text of a lay file; ``lays`` are (mark, lay) by cloth. One line a piece."""
    cloths = []
    for cloth, (mark, lay) in lays.items():
        rows = ",\n".join(
            "        " + json.dumps(_row(place, lay), ensure_ascii=False) for place in lay.places
        )
        cloths.append(
            f"    {json.dumps(cloth, ensure_ascii=False)}: {{\n"
            f'      "made_for": "{mark}",\n      "places": [\n{rows}\n      ]\n    }}'
        )
    body = ",\n".join(cloths)
    return f'{{\n  "about": {json.dumps(_ABOUT)},\n  "cloths": {{\n{body}\n  }}\n}}\n'


def _row(place: Place, lay: Lay) -> dict[str, object]:
    return {
        "piece": place.piece,
        "on": lay.stocks[place.stock].name,
        "turn": _plain(math.degrees(place.turn)),
        "x": _plain(place.x),
        "y": _plain(place.y),
    }


def _plain(value: float) -> float:
    """Give ``value`` to three decimals, without a sign before 0."""
    return round(value, 3) + 0.0
