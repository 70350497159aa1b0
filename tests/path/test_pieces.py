import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from cutpath.errors import Source
from cutpath.geometry.chain import Chain, circle, line, reversed_chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import length, signed_area
from cutpath.geometry.nearest import nearest
from cutpath.geometry.transform import scaling, transformed
from cutpath.model import (
    Allowance,
    Corner,
    Drill,
    Edge,
    Inner,
    InnerLoop,
    Mark,
    NotchShape,
    Panel,
    Piece,
)
from cutpath.path.piece_making import Marking, make_pieces
from cutpath.settings.panel_plan import PanelPlan

MARKING = Marking(NotchShape.SLIT, 5.0, can_drill=True)
HERE = Source(file="shelter.dxf")
PLAIN = Allowance("plain", 12.7, 0.0, Corner.MITRE)
HEM = Allowance("hem", 38.1, 12.7, Corner.FOLD)

# A leaning panel, so that its mirror image is another shape.
CORNERS = [(0.0, 0.0), (600.0, 0.0), (700.0, 400.0), (0.0, 300.0)]


def plan(count: int = 1, mirrored: int = 0, use: Inner = Inner.CUT) -> PanelPlan:
    ends = [*CORNERS[1:], CORNERS[0]]
    panel = Panel(
        name="side",
        edges=tuple(
            Edge(name, line(a, b))
            for name, a, b in zip(("bottom", "fore", "top", "aft"), CORNERS, ends, strict=True)
        ),
        marks=(Mark("m1", "bottom", 200.0, HERE), Mark("m2", "top", 100.0, HERE)),
        inner=(InnerLoop("window", reversed_chain(circle((420, 150), 90)), use),),
        drills=(Drill("eye", np.array([60.0, 60.0])),),
        drawn=(line((10, 200), (200, 260)),),
        grain=math.radians(20),
        count=count,
        mirrored=mirrored,
        material="",
        source=HERE,
    )
    return PanelPlan(
        job="shelter",
        panel=panel,
        allowances=(HEM, PLAIN, PLAIN, PLAIN),
        corners=(None,) * 4,
        mitre_limit=2.5,
        cloth="acrylic",
        cloth_name="woven acrylic",
        faces_differ=True,
        face="up",
        notch_shape=None,
        notch_depth=None,
        label_height=8.0,
        pen_folds=True,
        pen_stitch=False,
        pen_grain=True,
    )


def made(plan_: PanelPlan, marking: Marking = MARKING) -> tuple[Piece, ...]:
    return make_pieces(plan_, marking)[0]


def polygon(chain: Chain) -> shapely.Polygon:
    return shapely.Polygon(flatten(chain, 0.01).points)


def test_a_panel_becomes_a_piece_with_all_that_was_asked() -> None:
    (side,) = made(plan())
    assert (side.name, side.panel, side.cloth, side.mirrored) == ("side", "side", "acrylic", False)
    assert signed_area(side.cut) > signed_area(side.net) > 0
    assert len(side.notches) == 2
    assert len(side.inner_cuts) == 1
    np.testing.assert_allclose(side.drills, [(60, 60)])
    assert side.lettering
    # The drawn line is there, and the hem's two folds: on the stitch line and 25.4 mm out.
    for at in ((105.0, 230.0), (300.0, 0.0), (300.0, -25.4)):
        gaps = [nearest(chain, np.array([at])).distance[0] for chain in side.pen]
        assert min(gaps) < 0.01


def test_counts_are_cut_in_both_hands_each_with_a_name_of_its_own() -> None:
    pieces = made(plan(count=2, mirrored=1))
    assert [piece.mirrored for piece in pieces] == [False, False, True]
    assert len({piece.name for piece in pieces}) == 3


def test_a_mirrored_piece_is_the_mirror_image_and_still_runs_counter_clockwise() -> None:
    right, left = made(plan(count=1, mirrored=1))
    assert signed_area(left.cut) == pytest.approx(signed_area(right.cut))
    assert signed_area(left.net) > 0
    assert signed_area(left.inner_cuts[0]) == pytest.approx(signed_area(right.inner_cuts[0]))
    flip = scaling(-1, 1)
    for mine, theirs in ((left.cut, right.cut), (left.notches[1], right.notches[1])):
        image = transformed(theirs, flip)
        assert nearest(image, mine.points).distance.max() < 1e-9
        assert length(mine) == pytest.approx(length(image))
    np.testing.assert_allclose(left.drills[0], right.drills[0] * (-1, 1))


def test_words_are_never_mirrored() -> None:
    right, left = made(replace(plan(count=1, mirrored=1), job="F", label_height=8.0))
    # The first letter's first stroke is the same stroke, moved, on either hand.
    shapes = [piece.lettering[1].points - piece.lettering[1].points[0] for piece in (right, left)]
    sizes = [np.hypot(*shape[-1]) for shape in shapes]
    np.testing.assert_allclose(shapes[0] / sizes[0], shapes[1] / sizes[1], atol=1e-9)


def test_all_writing_lies_on_the_finished_piece_and_not_in_its_window() -> None:
    for use in Inner:
        for piece in made(plan(count=1, mirrored=1, use=use)):
            net = polygon(piece.net)
            window = shapely.Point(-420 if piece.mirrored else 420, 150).buffer(90)
            for chain in piece.lettering:
                stroke = shapely.LineString(chain.points)
                assert net.contains(stroke)
                assert not window.intersects(stroke)


def test_a_drawn_window_is_a_pen_line_and_not_cut() -> None:
    (side,) = made(plan(use=Inner.DRAW))
    assert not side.inner_cuts
    on_window = [chain for chain in side.pen if chain.closed]
    assert len(on_window) == 1
    assert length(on_window[0]) == pytest.approx(2 * math.pi * 90)


def test_without_a_drill_a_cross_is_drawn() -> None:
    (side,) = made(plan(), replace(MARKING, can_drill=False))
    (drilled,) = made(plan())
    assert not len(side.drills)
    crosses = [
        chain
        for chain in side.pen
        if length(chain) < 20 and nearest(chain, np.array([[60.0, 60.0]])).distance[0] < 1e-9
    ]
    assert len(crosses) == 2
    assert len(side.pen) == len(drilled.pen) + 2


def test_folds_are_drawn_only_where_asked_and_never_beyond_the_cloth() -> None:
    (with_folds,) = made(plan())
    (without,) = made(replace(plan(), pen_folds=False))
    assert len(with_folds.pen) > len(without.pen)
    cloth = polygon(with_folds.cut).buffer(0.02)
    for chain in with_folds.pen:
        assert cloth.contains(shapely.LineString(chain.points))


def test_the_jobs_notches_come_before_the_machines() -> None:
    (side,) = made(replace(plan(), notch_shape=NotchShape.VEE, notch_depth=3.0))
    on_top = side.notches[1]
    assert len(on_top) == 2
    assert nearest(side.cut, on_top.points[1:2]).distance[0] == pytest.approx(3.0, abs=0.05)


def test_no_label_is_written_where_none_is_wanted_and_too_small_a_piece_is_told() -> None:
    unlabelled = replace(plan(), label_height=0.0, pen_grain=False)
    pieces, findings = make_pieces(unlabelled, MARKING)
    assert not pieces[0].lettering
    assert not findings
    tiny = plan()
    points = [(0.0, 0.0), (12.0, 0.0), (12.0, 12.0), (0.0, 12.0)]
    edges = tuple(
        Edge(f"e{i}", line(a, b))
        for i, (a, b) in enumerate(zip(points, [*points[1:], points[0]], strict=True))
    )
    panel = replace(tiny.panel, edges=edges, marks=(), inner=(), drills=(), drawn=())
    pieces, findings = make_pieces(replace(tiny, panel=panel), MARKING)
    assert not pieces[0].lettering
    assert any("'side'" in finding.message and "label" in finding.message for finding in findings)


def test_a_count_of_0_gives_nothing() -> None:
    assert made(plan(count=0)) == ()
