import pytest

from cutpath.errors import Source
from cutpath.geometry.chain import line
from cutpath.geometry.points import as_point
from cutpath.intake.sorting import sort_by_layer, sort_of_layer
from cutpath.model import Curve, Drawing, Sort, Spot, Text


@pytest.mark.parametrize(
    ("name", "sort"),
    [
        ("CUT", Sort.OUTLINE),
        ("Outline", Sort.OUTLINE),
        ("panels", Sort.OUTLINE),
        ("cut_lines 2", Sort.OUTLINE),
        ("CutLines", Sort.OUTLINE),
        ("CUTLINES", Sort.OUTLINE),
        ("1-BOUNDARIES", Sort.UNSAID),
        ("cut-out", Sort.CUTOUT),
        ("CUTOUTS", Sort.CUTOUT),
        ("openings", Sort.CUTOUT),
        ("inner cuts", Sort.CUTOUT),
        ("NOTCHES", Sort.NOTCH),
        ("panel marks", Sort.NOTCH),
        ("opening-marks", Sort.NOTCH),
        ("ticks", Sort.NOTCH),
        ("drill marks", Sort.DRILL),
        ("hole punch", Sort.DRILL),
        ("punch-holes", Sort.DRILL),
        ("DRILLHOLES", Sort.DRILL),
        ("holes", Sort.UNSAID),
        ("grainline", Sort.GRAIN),
        ("WARP", Sort.GRAIN),
        ("pen", Sort.DRAWN),
        ("foldlines", Sort.DRAWN),
        ("stitching", Sort.SEW),
        ("sew", Sort.SEW),
        ("Turn points", Sort.TURN),
        ("corners", Sort.TURN),
        ("cutting notes", Sort.NOTE),
        ("0", Sort.UNSAID),
        ("", Sort.UNSAID),
        ("Layer 1", Sort.UNSAID),
        ("shortcut", Sort.UNSAID),
        ("open", Sort.UNSAID),
        ("carpenter", Sort.UNSAID),
    ],
)
def test_words_in_a_layer_name_say_what_it_is_for(name: str, sort: Sort) -> None:
    assert sort_of_layer(name) is sort


def drawing(*layers: str) -> Drawing:
    sources = [Source(layer=layer) for layer in layers]
    return Drawing(
        "x.dxf",
        "mm",
        tuple(Curve(line((0, 0), (1, 0)), source) for source in sources),
        tuple(Spot(as_point((0, 0)), source) for source in sources),
        tuple(Text("A", as_point((0, 0)), 5.0, source) for source in sources),
        {},
    )


def test_curves_spots_and_texts_are_sorted_alike() -> None:
    found = sort_by_layer(drawing("CUT", "0"))
    for things in (found.curves, found.spots, found.texts):
        assert [thing.sort for thing in things] == [Sort.OUTLINE, Sort.UNSAID]


def test_the_job_s_own_layers_win_by_exact_name() -> None:
    found = sort_by_layer(drawing("KNIP", "knip", "CUT"), {"KNIP": Sort.NOTCH, "CUT": Sort.DRAWN})
    assert [c.sort for c in found.curves] == [Sort.NOTCH, Sort.UNSAID, Sort.DRAWN]


def test_what_the_reader_already_knows_stays() -> None:
    known = Curve(line((0, 0), (1, 0)), Source(layer="CUT"), Sort.GRAIN)
    plain = drawing()
    both = Drawing("x.dxf", "mm", (known,), plain.spots, plain.texts, {})
    assert sort_by_layer(both, {"CUT": Sort.NOTCH}).curves[0].sort is Sort.GRAIN
