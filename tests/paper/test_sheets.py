"""Sizes of paper, and pages read back with a PDF library."""

import io
from pathlib import Path
from typing import cast

import pypdf
import pytest
from pypdf.generic import DictionaryObject

from cutpath.errors import InputError
from cutpath.paper.sheets import SIZES, Sheet, sheet_of
from cutpath.papering import Papered, PaperWish, make_paper, paper_files
from cutpath.planning import Request

SAMPLES = Path(__file__).parents[2] / "samples"
SHELTER = SAMPLES / "bow-shelter" / "job.toml"
ROLL = SAMPLES / "tool-roll" / "tool-roll.svg"
POINT = 25.4 / 72


def papered(words: str, **wish: object) -> Papered:
    request = Request(ROLL, "", allowance=12.7)
    return make_paper(request, PaperWish(sheet_of(words), **wish))  # type: ignore[arg-type]


@pytest.mark.parametrize("name", SIZES)
def test_page_boxes_are_those_of_the_standards(name: str) -> None:
    # ISO 216:2007 (A series, halves rounded down); ANSI/ASME Y14.1 in inches.
    iso = {
        "A0": (841, 1189),
        "A1": (594, 841),
        "A2": (420, 594),
        "A3": (297, 420),
        "A4": (210, 297),
    }
    inches = {
        "Letter": (8.5, 11), "Legal": (8.5, 14), "Tabloid": (11, 17), "ANSI C": (17, 22),
        "ANSI D": (22, 34), "ANSI E": (34, 44),
    }  # fmt: skip
    wanted = iso.get(name) or tuple(25.4 * side for side in inches[name])
    data = paper_files(papered(name), as_svg=False)["templates.pdf"]
    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        box = page.mediabox
        assert float(box.width) * POINT == pytest.approx(wanted[0], abs=0.01)
        assert float(box.height) * POINT == pytest.approx(wanted[1], abs=0.01)


def test_fonts_are_embedded_and_the_words_can_be_searched() -> None:
    reader = pypdf.PdfReader(io.BytesIO(paper_files(papered("A4"), as_svg=False)["templates.pdf"]))
    for page in reader.pages:
        fonts = cast("DictionaryObject", page["/Resources"])["/Font"]
        for font in cast("DictionaryObject", fonts).values():
            found = cast("DictionaryObject", font.get_object())
            if str(found["/Subtype"]) == "/TrueType":
                assert "/FontFile2" in cast("DictionaryObject", found["/FontDescriptor"])
    text = reader.pages[0].extract_text()
    assert "Print at 100 %" in text
    assert "--measured" in text


def test_the_same_job_gives_the_same_bytes() -> None:
    one, two = (paper_files(papered("A3"), as_svg=False) for _ in range(2))
    assert one == two
    assert paper_files(papered("A3"), as_svg=True) == paper_files(papered("A3"), as_svg=True)


def test_a_roll_is_as_long_as_it_must_be() -> None:
    pages = papered("roll 914 mm").pages
    assert len(pages) == 2
    assert pages[1].width == 914
    assert pages[1].height < 1700


@pytest.mark.parametrize(
    ("words", "message"), [("A7", "no paper 'A7'"), ("roll", "no paper"), ("roll 60 mm", "no room")]
)
def test_unknown_paper_is_told(words: str, message: str) -> None:
    with pytest.raises(InputError, match=message):
        sheet_of(words)


def test_margins_that_leave_nothing_are_told() -> None:
    with pytest.raises(InputError, match="no room"):
        sheet_of("A4", margin=90)
    assert isinstance(sheet_of("a4", lying=True), Sheet)
    assert sheet_of("a4", lying=True).width == 297


def test_a_printer_beyond_reason_is_told() -> None:
    with pytest.raises(InputError, match="cannot come out as 50 × 50"):
        papered("A4", measured=(50.0, 50.0))
