"""The printable page and the picture: all on one sheet, all words there, the same bytes."""

import io

import numpy as np
import pypdf
import pypdfium2
import pytest

from cutpath.bench.catalogue import CATALOGUE, make_pattern, patterns_for
from cutpath.bench.page import SIZES, PageFacts, page_of
from cutpath.bench.pattern_model import Pattern, Wish
from cutpath.patterning import Earlier, make_patterned, pattern_files
from cutpath.settings.profile import Profile, load_profile, shipped_profiles

EACH = [
    (name, machine)
    for machine in sorted(shipped_profiles())
    for name in patterns_for(load_profile(machine))
]


def _page(pattern: Pattern, profile: Profile, paper: str = "A4") -> bytes:
    facts = PageFacts("mine.toml", ("a.plt",), 3, "measured.toml", np.eye(2), profile.cautions)
    return page_of(pattern, facts, paper)


def _words(data: bytes) -> str:
    return " ".join(
        " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages).split()
    )


@pytest.mark.parametrize(("name", "machine"), EACH)
def test_each_page_is_one_sheet_of_a4_and_of_letter(name: str, machine: str) -> None:
    profile = load_profile(machine)
    pattern = make_pattern(name, profile, Wish())
    for paper, size in SIZES.items():
        pages = pypdf.PdfReader(io.BytesIO(_page(pattern, profile, paper))).pages
        assert len(pages) == 1, paper
        assert [float(side) for side in pages[0].mediabox[2:]] == pytest.approx(size, abs=0.01)


@pytest.mark.parametrize("name", list(CATALOGUE))
def test_a_page_says_what_to_measure_with_what_and_where_to_write_it(name: str) -> None:
    profile = load_profile("gantry-hot-rs274")
    pattern = make_pattern(name, profile, Wish())
    words = _words(_page(pattern, profile))
    for gauge in pattern.gauges:
        assert gauge.letter in words
        assert gauge.key in words
    assert f"Test pattern: {pattern.title}" in words
    assert "Measure with" in words
    assert "cutpath profile fit mine.toml measured.toml" in words
    for caution in (*profile.cautions, *pattern.cautions):
        assert caution.split(":")[0][:40] in words


def test_letters_stand_apart_from_each_other() -> None:
    """Every letter of a page is found once on its drawing, with white around it."""
    profile = load_profile("flatbed-hpgl")
    pattern = make_pattern("scale", profile, Wish())
    page = pypdfium2.PdfDocument(_page(pattern, profile))[0]
    text = page.get_textpage()
    for gauge in pattern.gauges:
        found, search = [], text.search(gauge.letter)
        while (hit := search.get_next()) is not None:
            found.append(text.get_charbox(hit[0]))
        assert len(found) >= 2, f"{gauge.letter} on the drawing and in the table"
        spots = {(round(box[0]), round(box[1])) for box in found}
        assert len(spots) == len(found)


def test_all_files_are_the_same_bytes_every_time() -> None:
    first, second = (
        pattern_files(make_patterned("tools", "gantry-rs274", Wish()), "A4", Earlier())
        for _ in range(2)
    )
    assert first == second
    assert sorted(first) == [
        "measured.toml", "proof.json", "tools.ngc", "tools.pdf", "tools.run.json",
        "tools.svg",
    ]  # fmt: skip


def test_a_page_shows_axes_that_go_other_ways() -> None:
    profile = load_profile("flatbed-hpgl")
    pattern = make_pattern("scale", profile, Wish())
    facts = PageFacts("m", ("a",), 1, "f", np.array([[0.0, -1.0], [-1.0, 0.0]]), ())
    assert page_of(pattern, facts) != _page(pattern, profile)
