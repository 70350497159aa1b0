"""``cutpath sheet`` as a user meets it: the page read back."""

import io
import re
from html.parser import HTMLParser
from pathlib import Path

import pypdf
import pytest

from cutpath.cli.main import run

SHELTER = Path(__file__).parents[2] / "samples" / "bow-shelter"


class Words(HTMLParser):
    """The visible words of a page, and the tags that reach outside it."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.reaches: list[str] = []
        self.is_hidden = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.is_hidden = tag in {"style", "script", "title"}
        for name, value in attrs:
            if name in {"src", "href"} and value and not value.startswith("data:"):
                self.reaches.append(value)

    def handle_endtag(self, tag: str) -> None:
        self.is_hidden = False

    def handle_data(self, data: str) -> None:
        if not self.is_hidden and data.strip():
            self.words.append(" ".join(data.split()))


def page_of(folder: Path) -> Words:
    words = Words()
    words.feed((folder / "work-sheet.html").read_text(encoding="utf-8"))
    return words


def test_the_sheet_tells_pieces_seams_and_steps(tmp_path: Path) -> None:
    assert run(["sheet", str(SHELTER / "job.toml"), "--out", str(tmp_path / "s")]) == 0
    page = page_of(tmp_path / "s")
    assert page.reaches == [], "the page needs nothing but itself"
    told = " ".join(page.words)
    for words in (
        "8 from 5 patterns",
        "front/top",
        "P3 P2 P1 CL S1 S2 S3",
        "coated polyester, grey",
    ):
        assert words in told
    # Sizes by hand from the sample's text.
    assert re.search(r"1997 × 1106", told)
    assert "Sew the zip on along top/aft, starboard/aft and port/aft" in told
    assert "hydrogen chloride" in told
    assert page.words.count("Bow shelter") == 1 + 8, "a head, and a label for every piece"


def test_the_same_page_twice_and_names_that_html_would_eat(tmp_path: Path) -> None:
    (tmp_path / "shelter.dxf").write_bytes((SHELTER / "shelter.dxf").read_bytes())
    text = (SHELTER / "job.toml").read_text(encoding="utf-8")
    job = tmp_path / "job.toml"
    job.write_text(text.replace('"Bow shelter"', "\"<b>Bow & 'stern'\""), encoding="utf-8")
    for name in ("one", "two"):
        assert run(["sheet", str(job), "--out", str(tmp_path / name)]) == 0
    first, second = (tmp_path / name / "work-sheet.html" for name in ("one", "two"))
    assert first.read_bytes() == second.read_bytes()
    assert "<b>Bow & 'stern'" in page_of(tmp_path / "one").words


def test_a_seam_that_does_not_fit_is_told_at_the_head(tmp_path: Path) -> None:
    job = SHELTER.parent / "bow-shelter-misread" / "job.toml"
    assert run(["sheet", str(job), "--out", str(tmp_path / "s")]) == 0
    told = " ".join(page_of(tmp_path / "s").words)
    assert "does not fit: run cutpath check first" in told
    assert told.count("DOES NOT FIT") == 5


@pytest.mark.parametrize(("page", "size"), [("A4", (210.0, 297.0)), ("Letter", (215.9, 279.4))])
def test_the_pdf_tells_the_same(tmp_path: Path, page: str, size: tuple[float, float]) -> None:
    whole = SHELTER / "whole.toml"
    for name in ("one", "two"):
        assert run(["sheet", str(whole), "--page", page, "--out", str(tmp_path / name)]) == 0
    data = (tmp_path / "one" / "work-sheet.pdf").read_bytes()
    assert data == (tmp_path / "two" / "work-sheet.pdf").read_bytes()
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    assert float(pages[0].mediabox.width) * 25.4 / 72 == pytest.approx(size[0], abs=0.1)
    assert float(pages[0].mediabox.height) * 25.4 / 72 == pytest.approx(size[1], abs=0.1)
    told = " ".join(" ".join(page.extract_text().split()) for page in pages)
    for words in (
        "Bow shelter, whole", "P3 P2 P1 CL S1 S2 S3", "What to buy", "bias binding 9.5 mm",
        "821 mm left", "Cut the cloth behind middle pane open", "hydrogen chloride", "coins",
    ):  # fmt: skip
        assert words in told
    assert "?" not in told, "the font has, or writes out, every letter"


def test_a_drawing_alone_is_sent_to_start(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["sheet", str(SHELTER / "shelter.dxf"), "--out", str(tmp_path / "s")]) == 2
    assert "cutpath start shelter.dxf" in capsys.readouterr().err
    assert not (tmp_path / "s").exists()
