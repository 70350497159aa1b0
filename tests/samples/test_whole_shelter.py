"""The bow shelter with every derived part: what its text works out by hand must come out."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from cutpath.cli.main import run
from cutpath.geometry.measure import length
from cutpath.parts.buying import sewing_length
from cutpath.planning import Planned, Request, plan

SAMPLE = Path(__file__).parents[2] / "samples" / "bow-shelter"


@pytest.fixture(scope="module")
def planned() -> Planned:
    return plan(Request(SAMPLE / "whole.toml", ""))


def number(planned: Planned, part: str, what: str) -> float:
    found = next(each for each in planned.parts if each.name == part)
    return next(reason.value for reason in found.reasons if reason.what == what)


@pytest.mark.parametrize(
    ("part", "what", "by_hand"),
    [
        ("aft pocket", "width between seams", 85.8),
        ("aft pocket", "cut width", 123.9),
        ("fore pocket", "inner edge", 1486.7),
        ("fore pocket", "pleats", 16),
        ("middle pane", "film width", 681.4),
        ("middle pane", "film corner", 75.0),
        ("port pane", "film width", 371.4),
        ("deck binding", "length", 2160.2),
        ("port rope", "length of a strip", 332.7),
        ("hold-down", "cut length", 724.4),
    ],
)
def test_numbers_worked_out_by_hand(planned: Planned, part: str, what: str, by_hand: float) -> None:
    assert number(planned, part, what) == pytest.approx(by_hand, abs=0.06)
    words = (SAMPLE / "README.md").read_text(encoding="utf-8")
    assert re.search(rf"\*\*{by_hand:g}", words), "the sample's text says the same"


def test_it_is_cut_with_proof_and_says_what_to_buy(tmp_path: Path) -> None:
    out = tmp_path / "whole"
    arguments = ["cut", str(SAMPLE / "whole.toml"), "--on", "gantry-hot-rs274", "--out", str(out)]
    assert run(arguments) == 0
    proof: dict[str, Any] = json.loads((out / "proof.json").read_text(encoding="utf-8"))
    assert proof["passed"] is True
    assert {file["cloth"] for file in proof["files"]} == {
        "acrylic",
        "coated",
        "film",
        "webbing strap",
    }
    bought = {line["name"]: line for line in proof["to_buy"]}
    assert bought["bias binding 9.5 mm"]["buy"] == "2.30 m"
    assert bought["polyester webbing 25 mm"]["buy"] == "0.00 m"
    assert bought["turn button"]["buy"] == "19"
    assert bought["thread, stitch 301"]["net"] == pytest.approx(128_850, abs=60)
    (strap,) = proof["webbing"]
    assert strap["proven_best"] is True
    assert strap["cut_from"][0]["left_mm"] == pytest.approx(820.7, abs=0.1)
    hot = next(file for file in proof["files"] if file["cloth"] == "webbing strap")
    assert "hot" in hot["tools"]


def test_its_seams_fit(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", str(SAMPLE / "whole.toml")]) == 0
    assert "all fit" in capsys.readouterr().out


def test_a_row_that_sews_a_part_on_is_counted_once(planned: Planned) -> None:
    traced = {(p.name, edge.name): edge.chain for p in planned.traced for edge in p.edges}
    sides = [(seam.first, seam.second) for seam in planned.seams]
    among_panels = [
        length(traced[first.panel, first.edge])
        for first, second in sides
        if {(first.panel, first.edge), (second.panel, second.edge)} <= traced.keys()
    ]
    assert 0 < len(among_panels) < len(sides), "the sample has seams of both kinds"
    rows = sum(row.length for part in planned.parts for row in part.stitching)
    told = sewing_length(planned.plans, planned.parts, planned.seams)
    assert told == pytest.approx(sum(among_panels) + rows)
