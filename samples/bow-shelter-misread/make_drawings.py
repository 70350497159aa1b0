"""Draw misread.dxf and scaled.dxf: the bow shelter's panels with mistakes planted in them.

    python samples/bow-shelter-misread/make_drawings.py [FOLDER]

The sound drawing is read from the folder beside this one. Each mistake is one that hands make.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import ezdxf
from ezdxf.bbox import extents
from ezdxf.entities import DXFGraphic, Text
from ezdxf.layouts import Modelspace
from ezdxf.math import Matrix44, Vec3

HERE = Path(__file__).parent
SOUND = HERE.parent / "bow-shelter" / "shelter.dxf"
FRONT = ((60.0, 0.0), (2140.0, 1250.0))
STARBOARD = ((2230.0, 1255.0), (3170.0, 2060.0))
"""The parts of the sheet that hold a panel: two corners, mm."""

MISREAD_MARK = 5.0  # mm, mark S2 on the top
MOVED_CORNER = 6.0  # mm, the port side's upper aft corner, along the seam
SCALE = 1.016  # 25.4 / 25: an inch taken for 25 mm


Room = tuple[tuple[float, float], tuple[float, float]]


def within(sheet: Modelspace, room: Room) -> Iterator[DXFGraphic]:
    """Give the entities that lie inside ``room``."""
    (left, low), (right, high) = room
    for entity in sheet:
        box = extents([entity])
        (x0, y0, _), (x1, y1, _) = box.extmin, box.extmax
        if left < x0 and x1 < right and low < y0 and y1 < high:
            yield entity


def moved(entities: Sequence[DXFGraphic], motion: Matrix44, *, turn_texts: bool = False) -> None:
    """Apply ``motion``; with ``turn_texts`` texts only change place, so that they still read."""
    for entity in entities:
        if turn_texts and isinstance(entity, Text):
            middle = extents([entity]).center
            entity.translate(*(motion.transform(middle) - middle))
        else:
            entity.transform(motion)


def misread_a_mark(sheet: Modelspace) -> None:
    """Shift mark S2 and its name on the top."""
    for entity in sheet.query("POINT TEXT[layer=='MARKS']"):
        if extents([entity]).center.distance(Vec3(1565, 2245)) < 9:
            entity.translate(MISREAD_MARK, 0.6, 0)


def move_a_corner(sheet: Modelspace) -> None:
    """Stretch the port side: its upper aft corner goes too far aft along the seam."""
    corner = Vec3(3145, 825)
    along = (corner - Vec3(2292, 753)).normalize(MOVED_CORNER)
    for line in sheet.query("LINE[layer=='OUTLINE']"):
        for end in ("start", "end"):
            place = line.dxf.get(end)
            if place.distance(corner) < 8:
                line.dxf.set(end, place + along)


def swap_two_names(sheet: Modelspace) -> None:
    """Swap the names P4 and P5 on the port side."""
    for text in sheet.query("TEXT[layer=='MARKS']"):
        if extents([text]).center.x > 2200 and text.dxf.text in {"P4", "P5"}:
            text.dxf.text = "P5" if text.dxf.text == "P4" else "P4"


def lay_wrong_side_up(sheet: Modelspace) -> None:
    """Turn the starboard side over, as if it was traced with its inside up."""
    panel = list(within(sheet, STARBOARD))
    axis = (STARBOARD[0][0] + STARBOARD[1][0]) / 2
    moved(panel, Matrix44.scale(-1, 1, 1) @ Matrix44.translate(2 * axis, 0, 0), turn_texts=True)


def scale_the_front(sheet: Modelspace) -> None:
    """Make the front larger, as from a table set to another unit."""
    panel = list(within(sheet, FRONT))
    (left, low), _ = FRONT
    back = Matrix44.translate(-left, -low, 0)
    moved(panel, back @ Matrix44.scale(SCALE, SCALE, SCALE) @ Matrix44.translate(left, low, 0))


def make_drawings(folder: Path) -> None:
    """Write both drawings; the same bytes every time."""
    ezdxf.options.write_fixed_meta_data_for_testing = True
    plants = {
        "misread.dxf": (misread_a_mark, move_a_corner, swap_two_names, lay_wrong_side_up),
        "scaled.dxf": (scale_the_front,),
    }
    for name, mistakes in plants.items():
        document = ezdxf.readfile(SOUND)
        for mistake in mistakes:
            mistake(document.modelspace())
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        document.saveas(folder / name)


if __name__ == "__main__":
    make_drawings(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
