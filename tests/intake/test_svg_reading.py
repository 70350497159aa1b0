"""SVG drawings as people and programs write them, to a Drawing in mm."""

from __future__ import annotations

import gzip
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from cutpath.errors import InputError
from cutpath.geometry.flatten import arc_geometry, flatten
from cutpath.geometry.measure import bounds, length
from cutpath.intake.svg import read_svg
from cutpath.model import Drawing, Finding

Read = Callable[..., tuple[Drawing, tuple[Finding, ...]]]
MM_PAGE = 'width="200mm" height="100mm" viewBox="0 0 200 100"'
XLINK = 'xmlns:xlink="http://www.w3.org/1999/xlink"'


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def reader(
        inside: str, page: str = MM_PAGE, units: str | None = None, head: str = ""
    ) -> tuple[Drawing, tuple[Finding, ...]]:
        path = tmp_path / "wall.svg"
        path.write_text(f'{head}<svg xmlns="http://www.w3.org/2000/svg" {page}>{inside}</svg>')
        return read_svg(path, units)

    return reader


def boxes(drawing: Drawing) -> list[list[float]]:
    return [[round(number, 6) for number in bounds(curve.chain)] for curve in drawing.curves]


# Size and place


def test_y_runs_up_from_the_pages_lower_edge(read: Read) -> None:
    drawing, findings = read('<rect x="10" y="20" width="30" height="5"/>')
    assert boxes(drawing) == [[10, 75, 40, 80]]
    assert (drawing.unit, findings) == ("mm", ())


@pytest.mark.parametrize(
    ("page", "units", "mm", "unit"),
    [
        ("", None, 25.4 / 96, "px of 1/96 in"),
        ("", "px", 25.4 / 96, "px of 1/96 in"),
        ("", "px72", 25.4 / 72, "px of 1/72 in"),
        ("", "px90", 25.4 / 90, "px of 1/90 in"),
        ("", "mm", 1, "mm"),
        ("", "inch", 25.4, "in"),
        ('viewBox="0 0 300 300"', "cm", 10, "cm"),
        ('width="600" height="600" viewBox="0 0 300 300"', None, 50.8 / 96, "0.529167 mm"),
        ('width="600" height="600" viewBox="0 0 300 300"', "mm", 1, "mm"),
        ('width="600" viewBox="0 0 300 300"', "px72", 50.8 / 72, "0.705556 mm"),
        ('width="100%" height="100%" viewBox="0 0 300 300"', "in", 25.4, "in"),
        ('width="30cm" height="30cm" viewBox="0 0 300 300"', None, 1, "mm"),
        ('width="30cm" height="30cm" viewBox="0 0 300 300"', "in", 1, "mm"),
        ('height="300in" viewBox="0 0 300 300"', None, 25.4, "in"),
        ('width="300mm" height="300mm"', None, 25.4 / 96, "px of 1/96 in"),
        ('style="width: 300mm" viewBox="0 0 300 300"', None, 1, "mm"),
        ('width="300" style="width: 30cm" viewBox="0 0 300 300"', None, 1, "mm"),
        ('width="300mm" style="width: 100%" viewBox="0 0 300 300"', None, 1, "mm"),
    ],
)
def test_what_one_unit_stands_for(
    read: Read, page: str, units: str | None, mm: float, unit: str
) -> None:
    drawing, _ = read('<path d="M0 0H100"/>', page, units)
    assert length(drawing.curves[0].chain) == pytest.approx(100 * mm, rel=1e-12)
    assert drawing.unit == unit


def test_a_size_that_is_not_said_is_told(read: Read) -> None:
    _, (finding,) = read('<path d="M0 0H100"/>', "")
    assert "1/96 in" in finding.message
    assert "--units" in finding.remedy
    _, (finding,) = read('<path d="M0 0H100"/>', units="in")
    assert "says its own size" in finding.message


@pytest.mark.parametrize(
    ("ratio", "box"),
    [
        ("", [50, 0, 150, 100]),
        ('preserveAspectRatio="xMinYMid meet"', [0, 0, 100, 100]),
        ('preserveAspectRatio="xMaxYMin"', [100, 0, 200, 100]),
        ('preserveAspectRatio="none"', [0, 0, 200, 100]),
        ('preserveAspectRatio="xMidYMin slice"', [0, -100, 200, 100]),
        ('preserveAspectRatio="xMidYMid slice"', [0, -50, 200, 150]),
    ],
)
def test_a_view_box_is_fitted(read: Read, ratio: str, box: list[float]) -> None:
    page = f'width="200mm" height="100mm" viewBox="-5 -5 10 10" {ratio}'
    drawing, _ = read('<rect x="-5" y="-5" width="10" height="10"/>', page)
    assert boxes(drawing) == [box]


def test_lengths_with_units_and_percentages_inside(read: Read) -> None:
    drawing, _ = read(
        '<rect x="1in" y="50%" width="25%" height="1cm"/>', 'width="960" height="480"'
    )
    x, y, width, height = 96, 240, 240, 96 / 2.54
    k = 25.4 / 96
    expected = [x * k, (480 - y - height) * k, (x + width) * k, (480 - y) * k]
    np.testing.assert_allclose(boxes(drawing)[0], expected, atol=1e-6)


def test_a_percentage_of_nothing_is_one_clear_error(read: Read) -> None:
    with pytest.raises(InputError, match=r"wall.svg:1.*rect number 1: width: '25%' is a share"):
        read('<rect width="25%" height="1"/>', "")


# Shapes


def test_round_shapes_keep_their_arcs(read: Read) -> None:
    drawing, _ = read(
        '<circle cx="50" cy="50" r="10"/><ellipse cx="50" cy="50" rx="20" ry="10"/>'
        '<rect x="1" y="1" width="40" height="30" rx="5"/><ellipse cx="9" cy="9" rx="3"/>'
    )
    circle, ellipse, rect, round_one = (curve.chain for curve in drawing.curves)
    assert circle.is_arc.all()
    assert length(circle) == pytest.approx(20 * math.pi, rel=1e-14)
    assert ellipse.is_cubic.all()
    assert sum(rect.is_arc) == 4
    assert length(rect) == pytest.approx(2 * (30 + 20) + 10 * math.pi, rel=1e-14)
    assert length(round_one) == pytest.approx(6 * math.pi, rel=1e-14)
    assert all(curve.chain.closed for curve in drawing.curves)


def test_an_ellipse_that_comes_out_round_is_an_arc(read: Read) -> None:
    drawing, _ = read('<ellipse rx="20" ry="10" transform="rotate(30) scale(1 2)"/>')
    (chain,) = (curve.chain for curve in drawing.curves)
    assert chain.is_arc.all()
    np.testing.assert_allclose(arc_geometry(chain)[1], 20)


@pytest.mark.parametrize(
    ("inside", "a", "b"),
    [
        ('<ellipse cx="100" cy="50" rx="90" ry="20"/>', 90, 20),
        ('<circle cx="10" cy="50" r="9" transform="scale(10 1)"/>', 90, 9),
        ('<path d="M40 50A60 40 0 1 1 160 50A60 40 0 0 1 40 50Z"/>', 60, 40),
    ],
)
def test_ellipses_are_off_by_less_than_a_hundred_thousandth(
    read: Read, inside: str, a: float, b: float
) -> None:
    drawing, _ = read(inside)
    points = flatten(drawing.curves[0].chain, 1e-7).points - [100, 50]
    level = np.hypot(points[:, 0] / a, points[:, 1] / b) - 1
    slope = np.hypot(points[:, 0] / a**2, points[:, 1] / b**2)
    assert np.abs(level / slope).max() < 1.1e-5  # the distance, to the first order


def test_rectangles_corners_are_limited_to_half_a_side(read: Read) -> None:
    drawing, _ = read('<rect width="40" height="30" rx="99" ry="15"/>')
    (chain,) = (curve.chain for curve in drawing.curves)
    assert boxes(drawing) == [[0, 70, 40, 100]]
    assert chain.is_cubic.all()  # nothing straight is left


def test_lines_and_polygons(read: Read) -> None:
    drawing, _ = read(
        '<line x1="0" y1="100" x2="3" y2="96"/><polyline points="0,0 10,0 10,10"/>'
        '<polygon points="0,0 10,0 10,10"/>'
    )
    line, polyline, polygon = (curve.chain for curve in drawing.curves)
    assert length(line) == pytest.approx(5)
    assert not line.closed
    assert (length(polyline), polyline.closed) == (20, False)
    assert length(polygon) == pytest.approx(20 + math.hypot(10, 10))
    assert polygon.closed


def test_shapes_of_no_size_draw_nothing_and_negative_ones_are_told(read: Read) -> None:
    drawing, findings = read(
        '<rect width="0" height="5"/><circle r="0"/><ellipse rx="0" ry="4"/>'
        '<rect width="-1" height="5"/><circle r="-2"/>'
    )
    assert drawing.curves == ()
    assert [finding.source.entity for finding in findings] == ["rect number 2", "circle number 2"]


# Transforms, reuse, nesting


def test_transforms_nest_and_the_rightmost_acts_first(read: Read) -> None:
    drawing, _ = read(
        '<g transform="translate(10,20)"><g transform="scale(2) rotate(90 1 1)">'
        '<path d="M0 0h3"/></g></g>'
    )
    # (0, 0) turns about (1, 1) to (2, 0), is doubled and shifted.
    np.testing.assert_allclose(drawing.curves[0].chain.points, [[14, 80], [14, 74]], atol=1e-12)


@pytest.mark.parametrize(
    ("transform", "to"),
    [
        ("matrix(1 2 3 4 5 6)", (3 + 3 * 4 + 5, 2 * 3 + 4 * 4 + 6)),
        ("translate(5)", (8, 4)),
        ("scale(2,3)", (6, 12)),
        ("skewX(45)", (7, 4)),
        ("skewY(45)", (3, 7)),
        ("rotate(90),translate(1,1)", (-5, 4)),
        ("translateX(5px) translateY(1) scaleX(2) rotate(0.5turn)", (-1, -3)),
    ],
)
def test_every_transform(read: Read, transform: str, to: tuple[float, float]) -> None:
    drawing, _ = read(f'<path d="M0 0L3 4" transform="{transform}"/>')
    x, y = drawing.curves[0].chain.last
    assert (x, 100 - y) == pytest.approx(to)


def test_a_transform_in_a_style_acts_about_its_origin(read: Read) -> None:
    drawing, _ = read(
        '<path d="M10 0H20" style="transform: rotate(180deg); transform-origin: 10px 0"/>'
    )
    assert boxes(drawing) == [[0, 100, 10, 100]]


@pytest.mark.parametrize(
    ("transform", "box"),
    [
        ("", [0, 80, 10, 85]),  # sweep 1, where y runs down, goes over the top
        ("translate(10 0) scale(-1 1)", [0, 80, 10, 85]),
        ("translate(0 40) scale(1 -1)", [0, 75, 10, 80]),
        ("rotate(180 5 20)", [0, 75, 10, 80]),
    ],
)
@pytest.mark.parametrize("radii", ["5 5", "5 4.999999999"])
def test_arcs_bend_to_their_own_side(
    read: Read, transform: str, box: list[float], radii: str
) -> None:
    drawing, _ = read(f'<path d="M0 20A{radii} 0 0 1 10 20" transform="{transform}"/>')
    np.testing.assert_allclose(boxes(drawing), [box], atol=1e-5)


@pytest.mark.parametrize(("factor", "box"), [("1 2", [0, 50, 10, 55]), ("1 -2", [0, 45, 10, 50])])
def test_an_elliptical_arc_that_comes_out_round_bends_to_its_side(
    read: Read, factor: str, box: list[float]
) -> None:
    drawing, _ = read(
        f'<path d="M0 0A5 2.5 0 0 1 10 0" transform="translate(0 50) scale({factor})"/>'
    )
    assert drawing.curves[0].chain.is_arc.all()
    np.testing.assert_allclose(boxes(drawing), [box], atol=1e-9)


def test_a_mirror_image_keeps_arcs_on_the_right_side(read: Read) -> None:
    drawing, _ = read('<path d="M0 0A5 5 0 0 1 10 0" transform="translate(50 50) scale(-1 1)"/>')
    (chain,) = (curve.chain for curve in drawing.curves)
    assert chain.is_arc.all()
    # Sweep 1 of y down bulges to smaller y, that is upwards; the mirror image as well.
    assert boxes(drawing) == [[40, 50, 50, 55]]


def test_uses_of_shapes_and_symbols(read: Read) -> None:
    drawing, _ = read(
        '<defs><rect id="a" width="10" height="10"/>'
        '<symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="5"/></symbol></defs>'
        '<use xlink:href="#a" x="20" y="30"/><use id="big" href="#s" x="50" '
        'width="40" height="20"/>',
        f"{MM_PAGE} {XLINK}",
    )
    assert boxes(drawing) == [[20, 60, 30, 70], [60, 80, 80, 100]]
    assert [curve.source.entity for curve in drawing.curves] == [
        "rect 'a' in use number 1",
        "circle number 1 in use 'big'",
    ]


def test_a_nested_svg_has_its_own_viewport(read: Read) -> None:
    drawing, _ = read(
        '<svg x="100" y="50" width="50%" height="50" viewBox="0 0 10 5">'
        '<rect width="100%" height="2"/></svg>'
    )
    assert boxes(drawing) == [[100, 30, 200, 50]]


def test_what_uses_itself_is_one_clear_error(read: Read) -> None:
    for inside in (
        '<g id="a"><use href="#a"/></g>',
        '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>',
    ):
        with pytest.raises(InputError, match="it uses itself"):
            read(inside)


def test_uses_that_multiply_are_refused(read: Read) -> None:
    levels = "".join(
        f'<g id="a{n}">' + f'<use href="#a{n - 1}"/>' * 10 + "</g>" for n in range(1, 9)
    )
    with pytest.raises(InputError, match="multiply"):
        read(f'<defs><path id="a0" d="M0 0"/>{levels}</defs><use href="#a8"/>')


def test_a_use_of_nothing_is_told(read: Read) -> None:
    drawing, (finding,) = read('<use href="other.svg#a"/>')
    assert drawing.curves == ()
    assert "'other.svg#a'" in finding.message


# What is shown


@pytest.mark.parametrize(
    "inside",
    [
        '<path d="M0 0H1" display="none"/>',
        '<g style="fill: none; display:none"><path d="M0 0H1"/></g>',
        '<style>.off { display: none }</style><g class="b off"><path d="M0 0H1"/></g>',
        '<style>g > .off, x { display: none }</style><g><path class="off" d="M0 0H1"/></g>',
        "<style>.off { display: none !important }</style>"
        '<path class="off" style="display: inline" d="M0 0H1"/>',
        '<g visibility="hidden"><path d="M0 0H1"/></g>',
    ],
)
def test_hidden_things_are_not_read_and_told(read: Read, inside: str) -> None:
    drawing, findings = read(inside)
    assert drawing.curves == ()
    assert [finding.message for finding in findings] == ["1 hidden element is not read"]


@pytest.mark.parametrize(
    "inside",
    [
        '<style>.a { display: none }</style><path class="a" style="display:inline" d="M0 0H1"/>',
        "<style>.a { display: none } #b { display: inline }</style>"
        '<path id="b" class="a" d="M0 0H1"/>',
        '<style>g .off { display: none }</style><path class="off" d="M0 0H1"/>',
        '<style>svg > .off { display: none }</style><g><path class="off" d="M0 0H1"/></g>',
        "<style>@media print { path { display: none } } /* path { display: none } */</style>"
        '<path d="M0 0H1"/>',
        '<g visibility="hidden"><path visibility="visible" d="M0 0H1"/></g>',
        '<style>path:hover { display: none }</style><path d="M0 0H1"/>',
    ],
)
def test_shown_things_are_read(read: Read, inside: str) -> None:
    drawing, _ = read(inside)
    assert len(drawing.curves) == 1


def test_the_stronger_rule_wins_whatever_it_is_found_by(read: Read) -> None:
    sheet = "#b {{display: {}}} path.a.c {{display: {}}} .a {{display: {}}} path {{display: {}}}"
    path = '<g><path id="b" class="c a" d="M0 0H1"/></g><path class="a c" d="M0 0H2"/>'
    for words, lengths in (
        (("inline", "none", "inline", "inline"), [1]),
        (("none", "inline", "none", "none"), [2]),
        (("inline", "inline", "none", "none"), [1, 2]),
    ):
        drawing, _ = read(f"<style>{sheet.format(*words)}</style>{path}")
        assert [length(curve.chain) for curve in drawing.curves] == lengths


@pytest.mark.parametrize("name", ["defs", "clipPath", "mask", "marker", "pattern", "symbol"])
def test_what_only_serves_others_is_not_drawn(read: Read, name: str) -> None:
    drawing, findings = read(f'<{name}><path d="M0 0H1"/></{name}>')
    assert (drawing.curves, findings) == ((), ())


def test_a_switch_draws_the_first_that_applies(read: Read) -> None:
    drawing, _ = read(
        '<switch><path systemLanguage="xx" d="M0 0H1"/><path requiredExtensions="x" d="M0 0H2"/>'
        '<path d="M0 0H3"/><path d="M0 0H4"/></switch>'
    )
    assert [length(curve.chain) for curve in drawing.curves] == [3]


def test_a_switch_reads_what_stands_in_for_a_foreign_object(read: Read) -> None:
    drawing, _ = read("<switch><foreignObject/><text>BOW</text></switch>")
    assert [text.words for text in drawing.texts] == ["BOW"]
    drawing, (finding,) = read("<switch><foreignObject/></switch>")
    assert finding.message == "1 foreignObject is not read"


def test_pictures_and_clipping_are_told(read: Read) -> None:
    _, findings = read('<image/><image/><rect width="1" height="1" clip-path="url(#a)"/>')
    assert [finding.message for finding in findings] == [
        "1 clipped or masked element is read whole",
        "2 images are not read, the first here",
    ]


# Names


@pytest.mark.parametrize(
    ("inside", "layer"),
    [
        ('<path d="M0 0H1"/>', ""),
        ('<path class="notch fine" d="M0 0H1"/>', "notch fine"),
        ('<g id="outline"><g id="left"><path class="thin" d="M0 0H1"/></g></g>', "outline"),
        ('<g id="outline"><g x:label="fold"><path d="M0 0H1"/></g></g>', "fold"),
        ('<g x:label="fold"><path data-layer="drill" d="M0 0H1"/></g>', "drill"),
        ('<g data-layer="drill"><g x:label="fold"><path d="M0 0H1"/></g></g>', "fold"),
        ('<g id="g12"><path class="notch" d="M0 0H1"/></g>', "notch"),
        ('<g x:label="Layer 1" id="cut"><path class="st0" d="M0 0H1"/></g>', "cut"),
        ('<g x:label="Layer 1"><path d="M0 0H1"/></g>', "Layer 1"),
    ],
)
def test_layers(read: Read, inside: str, layer: str) -> None:
    drawing, _ = read(inside, f'{MM_PAGE} xmlns:x="urn:any"')
    assert drawing.curves[0].source.layer == layer


def test_a_thing_is_found_by_id_or_number_and_line(read: Read) -> None:
    drawing, _ = read('<path d="M0 0H1"/>\n\n<path d="M0 0H1"/>\n<path id="top" d="M0 5H1M0 9H1"/>')
    assert [str(curve.source) for curve in drawing.curves] == [
        "wall.svg:1, path number 1, at (0.00, 100.00) mm",
        "wall.svg:3, path number 2, at (0.00, 100.00) mm",
        "wall.svg:4, path 'top', part 1, at (0.00, 95.00) mm",
        "wall.svg:4, path 'top', part 2, at (0.00, 91.00) mm",
    ]


def test_texts(read: Read) -> None:
    drawing, _ = read(
        "<style>.big { font-size: 10px }</style>"
        '<g transform="scale(2)">'
        '<text class="big" x="10" y="20">BOW\n <tspan>COVER</tspan></text></g>'
        '<text font-size="5"><tspan x="3" y="4">one</tspan><tspan x="3" dy="5">two</tspan></text>'
        '<text x="1" y="1">  </text><text x="1" style="font: italic bold 7px/1 serif">x</text>'
    )
    said = [(text.words, [*map(float, text.xy)], text.height) for text in drawing.texts]
    assert said == [
        ("BOW COVER", [20, 60], 20),
        ("one\ntwo", [3, 96], 5),
        ("x", [1, 100], 7),
    ]


def test_a_text_along_a_path_lies_where_the_path_begins(read: Read) -> None:
    drawing, _ = read(
        '<defs><path id="edge" d="M10 20H90" transform="translate(0 5)"/></defs>'
        '<text x="1" transform="translate(2 0)"><textPath href="#edge">aft</textPath></text>'
    )
    assert [(text.words, text.xy.tolist()) for text in drawing.texts] == [("aft", [12, 75])]


def test_a_closed_shapes_title_is_a_text_inside_it(read: Read) -> None:
    drawing, _ = read(
        '<path d="M0 0H60V60H50V10H10V60H0Z"><title>ARCH</title></path>'
        '<path d="M0 0H60"><title>a line</title></path>'
    )
    ((words, xy),) = [(text.words, text.xy) for text in drawing.texts]
    x, y = float(xy[0]), 100 - float(xy[1])
    assert words == "ARCH"
    assert 0 < y < 60
    assert y < 10 or x < 10 or x > 50


# What cannot be read


@pytest.mark.parametrize(
    ("inside", "words"),
    [
        ('<rect width="abc" height="1"/>', "rect number 1: width: 'abc' is not a length"),
        ('<path d="M0 0H1" transform="turn(4)"/>', r"'turn\(4\)' is not a transform"),
        ('<path d="M0 0H1" transform="rotate(4"/>', "cannot be read"),
        (
            '<path id="a" d="M0 0H1" transform="scale(1e308)scale(1e308)"/>',
            "path 'a': .*too large",
        ),
        ('<path d="M0 0H1" transform="scale(1e300)"/>', "too large"),
        ('<svg viewBox="0 0 0 1"><path d="M0 0H1"/></svg>', "has no size"),
        ('<svg width="-1" height="1"><path d="M0 0H1"/></svg>', "its width is negative"),
        ("<g>" * 200 + "</g>" * 200, "nested more than 100 deep"),
        ("<g>", "wall.svg:1: this is not well-formed XML"),
        ("&nothing;", "not well-formed XML"),
    ],
)
def test_one_clear_error(read: Read, inside: str, words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        read(inside)
    assert caught.value.source.file == "wall.svg"
    assert caught.value.source.line is not None
    assert caught.value.remedy


@pytest.mark.parametrize(
    "page", ['viewBox="1 2 3"', 'viewBox="1234"', 'width="0"', 'width="one"', 'width="-5mm"']
)
def test_a_page_of_no_size_is_one_clear_error(read: Read, page: str) -> None:
    with pytest.raises(InputError, match="svg number 1"):
        read("", page)


def test_a_view_box_of_many_digits_is_refused_at_once(read: Read) -> None:
    """A pattern that could split a number would try some 10¹⁰ ways to make four of it."""
    with pytest.raises(InputError, match="is not four numbers"):
        read("", f'viewBox="{"1" * 1000}x"')


def test_an_unknown_unit_is_one_clear_error(read: Read) -> None:
    with pytest.raises(InputError, match="unknown unit 'furlong'"):
        read("", units="furlong")


@pytest.mark.parametrize(
    "declared",
    [
        '<!ENTITY a "lol"><!ENTITY b "&a;&a;">',
        '<!ENTITY a SYSTEM "file:///etc/hostname">',
        '<!ENTITY % a SYSTEM "http://localhost/x"> %a;',
        '<!ENTITY a "' + "x" * 10_000 + '">',
        "<!ENTITY a '<rect/>'>",
    ],
)
def test_entities_that_attack_are_refused(read: Read, declared: str) -> None:
    with pytest.raises(InputError, match=r"entity .* refused"):
        read("<text>&a;</text>", head=f"<!DOCTYPE svg [{declared}]>")


def test_short_entities_for_names_are_read(read: Read) -> None:
    drawing, _ = read(
        '<path data-layer="&cut;" d="M0 0H1"/>', head='<!DOCTYPE svg [<!ENTITY cut "outline">]>'
    )
    assert drawing.curves[0].source.layer == "outline"


def test_other_files_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "page.svg"
    for data, words in (
        (b"<html/>", "outermost element is not svg"),
        (b"", "not well-formed"),
        (b"\x00\x01\x02", "not well-formed"),
        (b'<?xml version="1.0" encoding="klingon"?><svg/>', "encoding"),
        (gzip.compress(b"<svg/>")[:-4], "cut short"),
        (b"\x1f\x8b1234567890", "damaged"),
    ):
        path.write_bytes(data)
        with pytest.raises(InputError, match=words) as caught:
            read_svg(path)
        assert caught.value.source.file == "page.svg"
    with pytest.raises(InputError, match="cannot be read"):
        read_svg(tmp_path / "none.svg")


def test_packed_and_other_encodings_are_read(tmp_path: Path) -> None:
    text = '<?xml version="1.0" encoding="{}"?><svg viewBox="0 0 9 9"><text>prélart</text></svg>'
    for data in (
        text.format("utf-8").encode("utf-8"),
        text.format("iso-8859-1").encode("latin-1"),
        text.format("utf-16").encode("utf-16"),
        gzip.compress(text.format("utf-8").encode("utf-8")),
    ):
        path = tmp_path / "page.svg"
        path.write_bytes(data)
        drawing, _ = read_svg(path)
        assert [words.words for words in drawing.texts] == ["prélart"]


def test_a_mistake_in_a_path_is_told_with_its_place(read: Read) -> None:
    drawing, (finding,) = read('<path id="hem" d="M 10,10 L 20,20,30"/>')
    assert len(drawing.curves[0].chain) == 1
    assert str(finding.source) == "wall.svg:1, path 'hem', at (10.00, 90.00) mm"
    assert "what comes before is read" in finding.message
