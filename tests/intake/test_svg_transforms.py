"""SVG: transforms, reuse and drawings inside drawings."""

from __future__ import annotations

import numpy as np
import pytest

from cutpath.errors import InputError
from tests.intake.svg_drawing import MM_PAGE, XLINK, Read, boxes


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


def test_quarter_turns_leave_no_noise(read: Read) -> None:
    drawing, _ = read('<path d="M0 0H3" transform="rotate(-270)"/>', 'viewBox="0 0 8 8"', "mm")
    assert drawing.curves[0].chain.last.tolist() == [0, 5]


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
