"""SVG that cannot be read: one clear error each, and nothing followed out of the file."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from cutpath.errors import InputError
from cutpath.intake.svg import read_svg
from tests.intake.svg_drawing import Read


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
        ("<style>" + "<g>" * 5000 + "</g>" * 5000 + "</style>", "nested more than 100 deep"),
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
