"""SVG: what is shown, on which layer, and what it is called."""

from __future__ import annotations

import pytest

from cutpath.geometry.measure import length
from tests.intake.svg_drawing import MM_PAGE, Read


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
        '<text x="7" font-size="5"><tspan x="3" y="4">one</tspan>'
        '<tspan x="3" dy="5">two</tspan></text>'
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
