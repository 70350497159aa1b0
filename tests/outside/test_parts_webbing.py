"""Webbing against published figures and plane geometry."""

import math
from pathlib import Path

import pytest

from cutpath.errors import InputError
from cutpath.part_model import Part
from cutpath.parts.fibres import fibres
from cutpath.parts.stock import cut_list
from cutpath.parts.webbing import webbings
from cutpath.parts.webbing_list import webbing_lists
from cutpath.settings.job import Job
from cutpath.settings.job_file import JobFile
from cutpath.settings.part_tables.webbing import Fibre


def strap(**entry: object) -> Part:
    kind = {"fibre": entry.pop("fibre", "polyester"), "width": 25, "thickness": 1.5}
    said = {"webbings": {"w": kind}, "webbing": [{"of": "w", **entry}]}
    (part,) = webbings((), Job(JobFile.model_validate(said), Path("x.dxf")))
    return part


def test_a_strap_between_two_bars_by_hand() -> None:
    # 600 mm from bar centre to bar centre, bars of 5 mm, webbing 1.5 mm, 50 mm folded back at both
    # ends, 2 mm melted at each: 600 + 100 + 2 · π · 6.5 / 2 + 4 = 724.4.
    part = strap(length=600, turn_backs=[50, 50], bar=5)
    assert part.webbing[0].length == pytest.approx(600 + 100 + math.pi * 6.5 + 4)
    assert part.webbing[0].length == pytest.approx(724.4, abs=0.05)
    assert strap(length=600).webbing[0].length == 604
    assert strap(length=600, sealed=False).webbing[0].length == 600


def test_marks_stand_where_it_folds() -> None:
    piece = strap(length=600, turn_backs=[50, 50], bar=5).webbing[0]
    first, second = piece.marks
    assert second - first == pytest.approx(600 + math.pi * 6.5 / 2)
    assert first == pytest.approx(piece.length - second)


def test_four_straps_from_three_metres_by_hand() -> None:
    # 3 × 724.4 + 604 and four cuts of 2 mm: 2785.2 used of 3000, 214.8 left.
    cuts = cut_list([724.4] * 3 + [604.0], [3000.0], 50_000, 2.0)
    (bar,) = cuts.bars
    assert bar.left == pytest.approx(214.8)
    assert cuts.bought == 0
    assert cuts.is_best


def test_pieces_longer_than_any_stock_are_told() -> None:
    with pytest.raises(ValueError, match="longer"):
        cut_list([100.0], [50.0], 60.0, 2.0)
    said = {
        "webbings": {"w": {"fibre": "polyester", "width": 25, "roll": "1 m"}},
        "webbing": [{"of": "w", "length": "2 m"}],
    }
    job = Job(JobFile.model_validate(said), None)
    with pytest.raises(InputError, match="no roll and no remnant"):
        webbing_lists(webbings((), job), job)


@pytest.mark.parametrize(
    ("fibre", "words"),
    [
        ("PVC", "hydrogen chloride"),
        ("unknown", "fumes"),
        ("cotton", "burns"),
        ("acrylic", "decomposes"),
    ],
)
def test_heat_stays_away_from_what_it_must_not_touch(fibre: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        strap(length=500, fibre=fibre)
    assert strap(length=500, fibre=fibre, sealed=False).webbing[0].length == 500


def test_blades_are_hotter_than_what_they_melt_and_begin_below_what_decomposes() -> None:
    # Melting and decomposition, °C: Polymer Science Learning Center, thermal table (Hilado,
    # Flammability Handbook for Plastics): polypropylene 170 and 328, PET 268 and 283, nylon 66
    # 268 and 310.
    for fibre, melts, decomposes in (
        (Fibre.POLYPROPYLENE, 170, 328),
        (Fibre.POLYESTER, 268, 283),
        (Fibre.NYLON, 268, 310),
    ):
        heat = fibres().sealed[fibre]
        assert heat.melts[1] <= melts
        assert heat.decomposes == decomposes
        assert heat.melts[0] < heat.blade[0] < decomposes
        told = {
            reason.what: reason.value for reason in strap(length=500, fibre=fibre.value).reasons
        }
        assert (told["melting"], told["blade, least"]) == (heat.melts[1], heat.blade[0])


def test_every_fibre_is_sealed_or_refused() -> None:
    table = fibres()
    assert set(table.sealed) | set(table.refused) == set(Fibre)
    assert not set(table.sealed) & set(table.refused)
    assert "March 1983" in table.refused[Fibre.PVC].source


def test_a_path_over_places_is_as_long_as_its_steps() -> None:
    part = strap(path=[(0, 0), (300, 400), (300, 900)], sealed=False)
    assert part.webbing[0].length == pytest.approx(1000)
