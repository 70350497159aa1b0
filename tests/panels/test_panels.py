import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain, circle, line, polyline
from cutpath.geometry.measure import length
from cutpath.model import Corner, Curve, Drawing, Inner, Panel, Sort, Spot, Text
from cutpath.panels.finding import find_panels
from cutpath.panels.planning import plan_panels
from cutpath.settings.job import Job, default_job, read_job
from cutpath.settings.panel_plan import PanelPlan


def box(x: float, y: float, width: float, height: float) -> Chain:
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    return polyline(corners, closed=True)


def curve(chain: Chain, sort: Sort = Sort.UNSAID, group: str = "") -> Curve:
    return Curve(chain, Source(file="a.dxf", layer="0"), sort, group)


def spot(x: float, y: float, sort: Sort = Sort.UNSAID, group: str = "") -> Spot:
    return Spot(np.array([x, y]), Source(file="a.dxf"), sort, group)


def text(
    words: str, x: float, y: float, height: float = 10, layer: str = "", group: str = ""
) -> Text:
    return Text(words, np.array([x, y]), height, Source(file="a.dxf", layer=layer), group=group)


def drawn(
    curves: Sequence[Curve],
    spots: Sequence[Spot] = (),
    texts: Sequence[Text] = (),
    *,
    job: Job | None = None,
    is_exchange: bool = False,
) -> tuple[Panel, ...]:
    drawing = Drawing("a.dxf", "mm", tuple(curves), tuple(spots), tuple(texts), {}, is_exchange)
    loops = [one for one in curves if one.chain.closed]
    opens = [one for one in curves if not one.chain.closed]
    return find_panels(drawing, loops, opens, job or default_job(12.7))[0]


def job(folder: Path, body: str) -> Job:
    (folder / "a.dxf").touch()
    (folder / "job.toml").write_text(f'drawing = "a.dxf"\n{body}')
    return read_job(folder / "job.toml")


SHEET = [curve(box(0, 0, 400, 200))]
NAMED = [text("FRONT", 200, 100)]


def test_a_box_has_four_edges_named_by_their_sides() -> None:
    (panel,) = drawn(SHEET, texts=NAMED)
    assert panel.name == "FRONT"
    assert [edge.name for edge in panel.edges] == ["bottom", "right", "top", "left"]
    for edge, after in zip(panel.edges, (*panel.edges[1:], panel.edges[0]), strict=True):
        assert edge.chain.last == pytest.approx(after.chain.first)


def test_a_circle_has_one_edge_of_its_whole_length() -> None:
    (panel,) = drawn([curve(circle((0, 0), 100))])
    assert [edge.name for edge in panel.edges] == ["rim"]
    assert length(panel.edges[0].chain) == pytest.approx(2 * math.pi * 100)


def test_turn_points_win_over_tangent_breaks() -> None:
    turns = [spot(0, 0.4, Sort.TURN), spot(400, 200, Sort.TURN)]
    (panel,) = drawn(SHEET, turns, NAMED)
    assert [length(edge.chain) for edge in panel.edges] == pytest.approx([600, 600])


def test_inner_loops_are_cut_clockwise_and_panels_in_reading_order() -> None:
    curves = [
        curve(box(500, 0, 100, 100)),
        curve(box(0, 0, 400, 200)),
        curve(box(50, 50, 60, 60)),
        curve(box(0, 300, 50, 50)),
    ]
    panels = drawn(curves)
    assert [panel.name for panel in panels] == ["panel-1", "panel-2", "panel-3"]
    assert [len(panel.inner) for panel in panels] == [0, 1, 0]
    assert panels[1].inner[0].use is Inner.CUT


def test_dots_ticks_and_points_become_marks_at_stations_along_the_edge() -> None:
    curves = [
        *SHEET,
        curve(circle((150, 1), 3)),
        curve(line((397, 50), (404, 50)), Sort.NOTCH),
        curve(circle((100, 100), 3)),
    ]
    (panel,) = drawn(
        curves, [spot(90, 201), spot(200, 60, Sort.DRILL)], [*NAMED, text("P4", 90, 190)]
    )
    found = {mark.name: (mark.edge, round(mark.station, 3)) for mark in panel.marks}
    assert found == {"m1": ("bottom", 150), "m2": ("right", 50), "P4": ("top", 310)}
    assert sorted(drill.xy.tolist() for drill in panel.drills) == [[100, 100], [200, 60]]


def test_texts_name_edges_beside_the_panels_name() -> None:
    texts = [*NAMED, text("foot", 200, 12, 6), text("luff", 30, 90, 6, "EDGE NAMES")]
    (panel,) = drawn(SHEET, texts=texts)
    assert [edge.name for edge in panel.edges] == ["foot", "right", "top", "luff"]


def test_equal_names_are_numbered() -> None:
    curves = [curve(box(x, 0, 100, 50)) for x in (0, 200)]
    texts = [text("TIE", 50, 25), text("TIE", 250, 25)]
    assert [panel.name for panel in drawn(curves, texts=texts)] == ["TIE-1", "TIE-2"]


def test_a_stray_open_line_is_an_error_and_a_drawn_one_is_not() -> None:
    with pytest.raises(InputError, match=r"stray open line 100\.0 mm"):
        drawn([*SHEET, curve(line((100, 100), (200, 100)))])
    curves = [*SHEET, curve(line((100, 100), (200, 100)), Sort.SEW)]
    assert len(drawn(curves, texts=NAMED)[0].drawn) == 1


def test_grain_is_the_direction_of_its_line() -> None:
    curves = [*SHEET, curve(line((100, 50), (100, 150)), Sort.GRAIN)]
    assert drawn(curves)[0].grain == pytest.approx(math.pi / 2)


def test_a_piece_of_an_exchange_drawing_says_its_name_and_count() -> None:
    # A4: QUANTITY: 1,1 is two pieces, one mirrored (from memory).
    curves = [curve(box(0, 0, 100, 50), Sort.OUTLINE, block) for block in ("A", "B")]
    texts = [
        text("Piece Name : YOKE", 0, 0, group="A"),
        text("QUANTITY: 1,1", 0, 0, group="A"),
        text("MATERIAL: duck", 0, 0, group="A"),
    ]
    yoke, other = drawn(curves, texts=texts, is_exchange=True)
    assert (yoke.name, yoke.count, yoke.mirrored, yoke.material) == ("YOKE", 1, 1, "duck")
    assert (other.name, other.count) == ("B", 1)


def plan(folder: Path, body: str, spots: Sequence[Spot] = ()) -> PanelPlan:
    the_job = job(folder, body)
    return plan_panels(drawn(SHEET, spots, NAMED, job=the_job), the_job)[0][0]


def test_the_job_sets_finishes_widths_and_corners(tmp_path: Path) -> None:
    made = plan(
        tmp_path,
        """[panels.front]
        finish = "zip"
        count = 2
        [panels.front.edges]
        foot = { is = "bottom", finish = "hem" }
        right = "bound"
        top = { width = "1/2 in" }
        [panels.front.meet]
        "left/foot" = "square"
        """,
    )
    assert [edge.name for edge in made.panel.edges] == ["foot", "right", "top", "left"]
    assert [one.width for one in made.allowances] == pytest.approx([38.1, 0, 12.7, 25.4])
    assert made.allowances[0].end is Corner.FOLD
    assert made.corners == (Corner.SQUARE, None, None, None)
    assert made.panel.count == 2


def test_a_mark_can_be_made_a_corner(tmp_path: Path) -> None:
    made = plan(tmp_path, '[panels.FRONT]\ncorners = ["m1"]', [spot(150, 0), spot(250, 0)])
    assert [edge.name for edge in made.panel.edges] == [
        "bottom-1", "bottom-2", "right", "top", "left",
    ]  # fmt: skip
    assert [(mark.name, mark.edge) for mark in made.panel.marks] == [("m2", "bottom-2")]
    assert made.panel.marks[0].station == pytest.approx(100)


@pytest.mark.parametrize(
    ("body", "line_number", "says"),
    [
        ("[panels.frnt]", 2, "Did you mean 'FRONT'?"),
        ("[panels.front.edges]\ntopp = 'zip'", 3, "Did you mean 'top'?"),
        ("[panels.front.edges]\na = { is = 'q' }", 3, "Known here: bottom, right, top, left."),
        ("[panels.front]\ncorners = ['m7']", 3, "no mark 'm7'"),
        ("[panels.front.meet]\n'top/bottom' = 'square'", 3, "do not meet"),
        ("cloth = 'akryl'\n[cloths.acrylic]", 2, "Did you mean 'acrylic'?"),
        ("[panels.front.edges]\ntop = 'zipp'", 3, "Did you mean 'zip'?"),
        ("[finishes]\nplane = 3", 3, "Did you mean 'plain'?"),
    ],
)
def test_what_the_drawing_has_not_is_told_with_its_line(
    tmp_path: Path, body: str, line_number: int, says: str
) -> None:
    with pytest.raises(InputError) as caught:
        plan(tmp_path, body)
    assert caught.value.source.line == line_number
    assert says in str(caught.value)
