"""``cutpath cut`` as its user meets it: words, exit codes, and what lies in the folder after."""

import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import pytest

from cutpath.cli.main import run

ROOT = Path(__file__).parents[2]
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" viewBox="0 0 400 300">'
    "{}</svg>"
)
OUTLINE = '<g id="outline"><rect x="10" y="10" width="{}" height="200"/></g>'
NAMED = OUTLINE + '<g id="names"><text x="60" y="100" font-size="12">LEAF</text></g>'
COARSE = 'extends = "paper-plotter"\nname = "coarse"\n[output]\nunits_per_mm = 2\n'


@dataclass(frozen=True)
class Told:
    code: int
    out: str
    err: str


@dataclass(frozen=True)
class Shop:
    """A folder to work in, with a drawing of one panel, 300 × 200 mm."""

    folder: Path
    capture: pytest.CaptureFixture[str]

    def write(self, name: str, text: str) -> Path:
        path = self.folder / name
        path.write_text(text, encoding="utf-8")
        return path

    def drawing(self, width: float = 300, name: str = "leaf.svg") -> Path:
        return self.write(name, SVG.format(NAMED.format(width)))

    def job(self, text: str) -> Path:
        self.drawing()
        return self.write("job.toml", f'name = "Leaf"\ndrawing = "leaf.svg"\n{text}')

    def run(self, *args: object) -> Told:
        code = run(["cut", *(str(arg) for arg in args)])
        out, err = self.capture.readouterr()
        assert "Traceback" not in err
        return Told(code, out, err)

    def cut(self, source: Path, *more: object, on: object = "paper-plotter") -> Told:
        allowance = () if source.suffix == ".toml" else ("--allowance", "10mm")
        return self.run(source, *allowance, "--on", on, "--out", self.folder / "out", *more)

    def made(self) -> list[str]:
        folder = self.folder / "out"
        return sorted(path.name for path in folder.iterdir()) if folder.is_dir() else []


@pytest.fixture
def shop(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shop:
    return Shop(tmp_path, capsys)


def test_a_drawing_alone_is_cut(shop: Shop) -> None:
    told = shop.cut(shop.drawing())
    assert told.code == 0
    assert shop.made() == ["leaf-tip.svg", "leaf.plt", "leaf.run.json", "leaf.svg", "proof.json"]
    assert "leaf.svg: 300 × 200 mm (11.8 × 7.9 in), unit mm" in told.out
    assert "1 piece of cloth" in told.out
    assert "Proof passed" in told.out
    assert "caution: Keep fingers" in told.err


def test_programs_get_the_facts_on_one_stream(shop: Shop) -> None:
    told = shop.cut(shop.drawing(), "--json")
    facts = json.loads(told.out)
    assert told.err == ""
    proof = json.loads((shop.folder / "out/proof.json").read_text(encoding="utf-8"))
    assert {key: facts[key] for key in proof} == proof
    assert facts["folder"] == str(shop.folder / "out")
    assert facts["cautions"]
    assert facts["findings"] == []
    assert facts["options"] == {"allowance_mm": 10.0, "units": None, "join_mm": None}


@pytest.mark.parametrize("on", ["flatbed-hpgl", "flatbed-hpgl2", "gantry-rs274", "paper-plotter"])
def test_the_same_input_gives_the_same_bytes_in_another_process(on: str, shop: Shop) -> None:
    job = shop.job('[panels.LEAF]\ncount = 2\nmirrored = 1\n[notches]\nshape = "vee"\n')
    runs = []
    for seed in ("1", "2"):
        out = shop.folder / f"out-{seed}"
        subprocess.run(
            [sys.executable, "-m", "cutpath", "cut", job, "--on", on, "--out", out],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
        )
        runs.append({path.name: path.read_bytes() for path in out.iterdir()})
    assert runs[0] == runs[1]
    assert len(runs[0]) == 5


def test_a_file_that_fails_its_proof_is_not_delivered(shop: Shop) -> None:
    assert shop.cut(shop.drawing()).code == 0
    coarse = shop.write("coarse.toml", COARSE)
    told = shop.cut(shop.drawing(299.7), on=coarse)
    assert told.code == 1
    assert "Proof NOT passed" in told.out
    assert "No machine file was written" in told.out
    assert "resolution" in told.err
    assert shop.made() == ["leaf-tip.svg", "leaf.svg", "proof.json"], (
        "the file of the run before went too"
    )
    proof = json.loads((shop.folder / "out/proof.json").read_text(encoding="utf-8"))
    assert proof["passed"] is False
    assert proof["deviation_mm"] > proof["tolerance_mm"]
    picture = (shop.folder / "out/leaf.svg").read_text(encoding="utf-8")
    assert "NOT PASSED" in picture


def test_loads_of_an_earlier_run_go_when_there_are_fewer_now(shop: Shop) -> None:
    assert shop.cut(shop.job("[panels.LEAF]\ncount = 6\n"), on="paper-plotter-small").code == 0
    assert {"leaf-1.plt", "leaf-2.plt"} < set(shop.made())
    shop.write("out/mine.plt", "not of the program")
    assert shop.cut(shop.job("[panels.LEAF]\ncount = 1\n"), on="paper-plotter-small").code == 0
    assert shop.made() == [
        "leaf-tip.svg",
        "leaf.plt",
        "leaf.run.json",
        "leaf.svg",
        "mine.plt",
        "proof.json",
    ]


def test_jobs_can_share_a_folder(shop: Shop) -> None:
    assert shop.cut(shop.drawing(name="one.svg")).code == 0
    assert shop.cut(shop.drawing(name="two.svg")).code == 0
    assert {"one.plt", "two.plt"} < set(shop.made())


def test_cloths_with_like_names_get_files_of_their_own(shop: Shop) -> None:
    both = NAMED.format(200) + '<g id="outline"><rect x="250" y="10" width="90" height="90"/></g>'
    shop.write("two.svg", SVG.format(both + '<g id="names"><text x="255" y="50">FLY</text></g>'))
    job = shop.write(
        "job.toml",
        'name = "n"\ndrawing = "two.svg"\npanels.LEAF.cloth = "a b"\npanels.FLY.cloth = "a-b"\n',
    )
    assert shop.cut(job).code == 0
    assert len([name for name in shop.made() if name.endswith(".plt")]) == 2


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("unit = 3", ("job.toml:3", "unknown key 'unit'", "Did you mean 'units'?")),
        ('finish = "pain"', ("job.toml:3", "Did you mean 'plain'?")),
        ("finishes = 3", ("must be a table", "[finishes]")),
        ('[finishes]\nplain = "-3 mm"', ("job.toml:4", "finishes.plain", "negative")),
        ("[finishes]\nplain = 1e300", ("job.toml:4", "longer than 1 km")),
        ('[finishes]\nplain = "12,7 mm"', ("decimal point",)),
        ('[finishes]\nplain = "12 mmm"', ("unknown unit 'mmm'", "Use one of: mm")),
        ("corner_angle = 0", ("between 0 and 180",)),
        ("corner_angle = nan", ("25 deg",)),
        ("[panels.LEEF]\ncount = 1", ("job.toml:3", "no panel 'LEEF'", "Did you mean 'LEAF'?")),
        ("[panels.LEAF]\ncount = 1.5", ("job.toml:4", "whole number")),
        ("[panels.LEAF]\ncount = 0", ("nothing to cut",)),
        ('[panels.LEAF]\ncorners = ["Q"]', ("no mark 'Q'",)),
        ('[panels.LEAF.edges]\ntopp = "zip"', ("job.toml:4", "Did you mean 'top'?")),
        ('[panels.LEAF.meet]\n"top/bottom" = "fold"', ("do not meet", "bottom, right, top, left")),
        ('[panels.LEAF.meet]\n"top" = "fold"', ("does not name two edges",)),
        ("name = 1\nname = 2", ("not valid TOML",)),
    ],
)
def test_a_mistake_in_the_job_is_told_with_place_and_mend(
    text: str, told: tuple[str, ...], shop: Shop
) -> None:
    result = shop.cut(shop.job(text))
    assert result.code == 2
    assert result.err.startswith("Error: job.toml")
    for words in told:
        assert words in result.err
    assert shop.made() == []


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ("", "no closed outline"),
        ('<path d="M0 0 L200 0 L200 100 L0 100 L0 2"/>', "--join 2.01mm"),
        ('<path d="M0 0 L200 100 L200 0 L0 100 Z"/>', "crosses or touches itself here"),
        ('<path d="M0 0 L200 0"/>', "the outline is open"),
        ('<rect x="nan" width="5" height="5"/>', "not a length"),
        ('<rect width="1e200" height="5"/>', "too large"),
    ],
)
def test_a_drawing_that_cannot_be_cut_is_told(body: str, told: str, shop: Shop) -> None:
    result = shop.cut(shop.write("leaf.svg", SVG.format(f'<g id="outline">{body}</g>')))
    assert result.code == 2
    assert result.err.startswith("Error: leaf.svg")
    assert told in result.err
    assert shop.made() == []


@pytest.mark.parametrize("data", [b"", b"\0" * 4096, b"%PDF-1.7", bytes(range(256)), b"hello"])
@pytest.mark.parametrize("name", ["leaf.dxf", "leaf.svg", "leaf.toml"])
def test_what_is_no_drawing_is_told(name: str, data: bytes, shop: Shop) -> None:
    path = shop.folder / name
    path.write_bytes(data)
    result = shop.cut(path)
    assert result.code == 2
    assert result.err.startswith("Error: leaf")
    assert shop.made() == []


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["nowhere.svg", "--on", "paper-plotter", "--allowance", "1mm"], "no such drawing"),
        (["nowhere.toml", "--on", "paper-plotter"], "no such file"),
        (["nowhere.svg", "--on", "paper-plotter"], "no such drawing"),
        ([".", "--on", "paper-plotter", "--allowance", "1mm"], "a folder"),
        (["leaf.svg", "--on", "paper-ploter", "--allowance", "1mm"], "mean 'paper-plotter'?"),
        (["leaf.svg", "--on", "mine.toml", "--allowance", "1mm"], "no profile file 'mine.toml'"),
        (["leaf.svg", "--on", "paper-plotter"], "Add --allowance 12.7mm"),
        (["leaf.svg", "--allowance", "1mm"], "--on"),
        (["leaf.svg", "--on", "paper-plotter", "--allowance", "1,5mm"], "decimal point"),
        (["leaf.svg", "--on", "paper-plotter", "--allowance=-1mm"], "below 0 mm"),
        (["leaf.svg", "--on", "paper-plotter", "--allowance", "9" * 30], "longer than 1 km"),
        (["leaf.svg", "--on", "paper-plotter", "--allowance", "1mm", "--units", "ell"], "'ell'"),
    ],
)
def test_usage_is_told(
    args: list[str], told: str, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop.drawing()
    monkeypatch.chdir(shop.folder)
    result = shop.run(*args)
    assert result.code == 2
    assert told in result.err
    assert sorted(path.name for path in shop.folder.iterdir()) == ["leaf.svg"]


def test_what_the_machine_cannot_do_is_told(shop: Shop) -> None:
    result = shop.cut(shop.drawing(3500), on="flatbed-hpgl")
    assert result.code == 3
    assert "piece 'LEAF' is 3520 × 220 mm" in result.err
    assert "Flatbed knife table" in result.err
    assert shop.made() == []


def test_a_machine_without_a_knife_is_told(shop: Shop) -> None:
    pen_only = shop.write(
        "pen.toml", 'extends = "paper-plotter"\nname = "pen"\n[tools.pen]\nstands_in = []\n'
    )
    result = shop.cut(shop.drawing(), on=pen_only)
    assert result.code == 3
    assert "knife" in result.err
    assert shop.made() == []


def test_a_file_where_the_folder_should_be_is_told(shop: Shop) -> None:
    shop.write("out", "in the way")
    result = shop.cut(shop.drawing())
    assert result.code == 2
    assert "a file, not a folder" in result.err
    assert (shop.folder / "out").read_text(encoding="utf-8") == "in the way"


def test_a_layer_the_drawing_has_not_is_told(shop: Shop) -> None:
    result = shop.cut(shop.job('[layers]\noutlin = "outline"\n'))
    assert result.code == 0
    assert "job.toml:4" in result.err
    assert "Did you mean 'outline'?" in result.err


def test_help_shows_its_examples_line_by_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["cut", "--help"]) == 0
    out = capsys.readouterr().out
    assert "\n  cutpath cut samples/bow-shelter/job.toml --on flatbed-hpgl\n" in out.replace(
        "    cutpath", "  cutpath"
    )
    assert "\\b" not in out


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
def test_an_interruption_leaves_no_debris(shop: Shop) -> None:
    job = shop.job("[panels.LEAF]\ncount = 2000\n")
    command = [sys.executable, "-m", "cutpath", "cut", str(job), "--on", "paper-plotter"]
    work = subprocess.Popen(
        [*command, "--out", str(shop.folder / "out")],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    time.sleep(5)
    work.send_signal(signal.SIGINT)
    _, err = work.communicate(timeout=60)
    assert work.returncode == 130
    assert "Stopped" in err
    assert "Traceback" not in err
    assert shop.made() == []


def test_lines_of_the_profile_that_move_are_found_out(shop: Shop) -> None:
    profile = shop.write(
        "mine.toml", 'extends = "flatbed-hpgl"\n[output]\nstart = ["IN;PD100,100;PU;"]\n'
    )
    told = shop.cut(shop.drawing(), on=profile)
    assert told.code == 1
    assert "tool 0" in told.err
    assert "None" not in told.err
    assert "inf " not in told.err
    assert "start, tool_change" in told.err


def test_lines_of_the_profile_that_are_no_instruction_are_told(shop: Shop) -> None:
    profile = shop.write("mine.toml", 'extends = "flatbed-hpgl"\n[output]\nstart = ["hello"]\n')
    told = shop.cut(shop.drawing(), on=profile)
    assert told.code == 1
    assert "not valid hp-gl: unknown instruction HE" in told.err
    assert shop.made() == []


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "the key 'name' is missing"),
        ('extends = "mine.toml"', "extends this profile again"),
        ('extends = "flatbed"', "Did you mean 'flatbed-hpgl'?"),
        ('extends = "flatbed-hpgl"\nwithout = ["drll"]', "Did you mean 'drill'?"),
        ('extends = "flatbed-hpgl"\nwithout = 3', "must be a list"),
        ('extends = "flatbed-hpgl"\n[tools.knife]\nspeeed = 3', "Did you mean 'speed'?"),
        ('extends = "flatbed-hpgl"\n[tools.knife]\nnumber = 1', "two tools have the number '1'"),
        ('extends = "flatbed-hpgl"\n[bed]\nwidth = "-3 m"', "must be more than 0"),
        ('extends = "gantry-rs274"\n[output]\ntool_change = ["T{nr}"]', "cannot be filled in"),
        ('extends = "gantry-rs274"\nlanguage = "gcode"', "Known here: hp-gl, hp-gl/2, rs274."),
    ],
)
def test_a_mistake_in_a_profile_is_told(text: str, told: str, shop: Shop) -> None:
    result = shop.cut(shop.drawing(), on=shop.write("mine.toml", text))
    assert result.code == 2
    assert result.err.startswith("Error: mine.toml")
    assert told in result.err
    assert shop.made() == []


def test_a_profile_of_ones_own_can_turn_the_bed_about(shop: Shop) -> None:
    profile = shop.write(
        "mine.toml",
        'extends = "gantry-rs274"\nname = "mine"\n[bed]\norigin = "middle"\nx = "away"\ny = "left"',
    )
    told = shop.cut(shop.drawing(), on=profile)
    assert told.code == 0
    assert json.loads((shop.folder / "out/proof.json").read_text("utf-8"))["machine"] == "mine"


def test_the_drawing_itself_is_never_written_over(shop: Shop) -> None:
    drawing = shop.drawing()
    before = drawing.read_bytes()
    told = shop.run(drawing, "--allowance", "9mm", "--on", "paper-plotter", "--out", shop.folder)
    assert told.code == 2
    assert "written over" in told.err
    assert drawing.read_bytes() == before
    assert [path.name for path in shop.folder.iterdir()] == ["leaf.svg"]


def test_a_folder_in_the_way_of_a_file_is_told_before_anything_is_written(shop: Shop) -> None:
    (shop.folder / "out/leaf.plt").mkdir(parents=True)
    told = shop.cut(shop.drawing())
    assert told.code == 2
    assert "a folder is where a file must go" in told.err
    assert shop.made() == ["leaf.plt"]


@pytest.mark.parametrize(
    "proof",
    [
        "[1,2",
        "[]",
        '{"job": "leaf", "files": [{"file": "../kept.txt", "picture": "."}]}',
        '{"job": "leaf", "files": [{"file": 5, "picture": null}]}',
        '{"job": "leaf", "files": [{"file": "a\\u0000b", "picture": ""}]}',
    ],
)
def test_a_strange_proof_in_the_folder_does_no_harm(proof: str, shop: Shop) -> None:
    kept = shop.write("kept.txt", "mine")
    (shop.folder / "out").mkdir()
    shop.write("out/proof.json", proof)
    assert shop.cut(shop.drawing()).code == 0
    assert kept.read_text(encoding="utf-8") == "mine"
    assert shop.made() == ["leaf-tip.svg", "leaf.plt", "leaf.run.json", "leaf.svg", "proof.json"]


@pytest.mark.parametrize(
    ("sample", "fits"), [("bow-shelter-misread", False), ("bow-shelter", True)]
)
def test_seams_that_do_not_fit_are_told_before_cloth_is_cut(
    sample: str, fits: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = Path(__file__).parents[2] / "samples" / sample / "job.toml"
    assert run(["cut", str(job), "--on", "flatbed-hpgl", "--out", str(tmp_path / "out")]) == 0
    assert ("seams out of tolerance" in capsys.readouterr().err) is not fits
