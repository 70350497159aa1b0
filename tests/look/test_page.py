"""The page in a real browser: what it shows, and that what one does with it does what it says."""

import math
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from cutpath.cli.main import run
from cutpath.look.page import page_of
from cutpath.look.scene import Layer, Scene, Style, Timeline, View
from tests.look.browser import PROGRAM, Browser

ROOT = Path(__file__).parents[2]
SHELTER = ROOT / "samples" / "bow-shelter" / "job.toml"
needs_browser = pytest.mark.skipif(PROGRAM is None, reason="no Chromium on this machine")


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("look") / "shelter.html"
    assert run(["look", str(SHELTER), "--on", "flatbed-hpgl", "--out", str(place)]) == 0
    return place


@pytest.fixture
def browser(tmp_path: Path) -> Iterator[Browser]:
    with Browser(tmp_path / "profile") as opened:
        yield opened


def choose(browser: Browser, view: int) -> None:
    browser.value(f"(byId('view').value = {view}, byId('view').onchange({{target: byId('view')}}))")
    browser.settle()


def test_the_page_needs_nothing_but_itself(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    assert "default-src 'none'" in text
    for outside in ("http://", "https://", "src=", "@import", "fetch("):
        assert outside not in text.replace("http://www.w3.org/2000/svg", "")


def test_the_same_job_gives_the_same_page(page: Path, tmp_path: Path) -> None:
    again = tmp_path / "again.html"
    assert run(["look", str(SHELTER), "--on", "flatbed-hpgl", "--out", str(again)]) == 0
    assert again.read_bytes() == page.read_bytes()


@needs_browser
def test_it_opens_without_a_complaint_and_the_slider_moves_the_head(
    page: Path, browser: Browser
) -> None:
    browser.open(page)
    count = browser.value("scene.views.length")
    choose(browser, count - 1)
    assert browser.value("byId('player').hidden") is False
    places = []
    for share in (0.0, 0.4, 0.8, 1.0):
        browser.value(
            f"(byId('time').value = {share} * byId('time').max, byId('time').oninput"
            "({target: byId('time')}))"
        )
        browser.settle()
        places.append(browser.value("[headMark.dataset.x, headMark.dataset.y]"))
    assert len({tuple(place) for place in places}) == 4
    assert browser.value("byId('doing').textContent") == "done"
    last = browser.value(
        "(() => { const p = view.timeline.points; return [p[p.length - 2], p[p.length - 1]]; })()"
    )
    assert [float(value) for value in places[-1]] == pytest.approx(last, abs=0.01)
    assert browser.complaints == []


@needs_browser
def test_playing_goes_on_and_pauses(page: Path, browser: Browser) -> None:
    browser.open(page)
    choose(browser, browser.value("scene.views.length") - 1)
    browser.press(" ")
    browser.value("new Promise(done => setTimeout(done, 400))")
    assert browser.value("now") > 1
    browser.press(" ")
    stopped = browser.value("now")
    browser.value("new Promise(done => setTimeout(done, 150))")
    assert browser.value("now") == stopped


@needs_browser
def test_measuring_between_two_corners_gives_their_distance(page: Path, browser: Browser) -> None:
    browser.open(page)
    # Both ends of an edge, by where the page itself draws them; the measure must snap to them.
    ends = browser.value(
        "(() => { const l = view.layers[0], n = l.counts[0], p = l.points; const box = "
        "still.getBoundingClientRect(); return [[p[0], p[1]], [p[2 * n - 2], p[2 * n - 1]]].map("
        "(e) => [...e, ...toScreen(e[0], e[1]).map((v, k) => v + (k ? box.top : box.left))]); })()"
    )
    browser.press("m")
    for *_, across, down in ends:
        browser.click(across + 3, down - 2)
    told = browser.value("byId('status').textContent")
    wanted = math.dist(ends[0][:2], ends[1][:2])
    assert float(told.split(" ")[0]) == pytest.approx(wanted, abs=0.01)
    assert browser.complaints == []


@needs_browser
def test_layers_go_and_come_and_pointing_tells_the_edge(page: Path, browser: Browser) -> None:
    browser.open(page)
    before = browser.value("still.toDataURL()")
    browser.value("byId('layers').querySelector('input').click()")
    browser.settle()
    assert browser.value("still.toDataURL()") != before
    browser.value("byId('layers').querySelector('input').click()")
    browser.settle()
    assert browser.value("still.toDataURL()") == before
    at = browser.value(
        "(() => { const p = view.layers[0].points, box = still.getBoundingClientRect(); const s = "
        "toScreen((p[0] + p[2]) / 2, (p[1] + p[3]) / 2); return [s[0] + box.left, s[1] + box.top];"
        " })()"
    )
    browser.point(*at)
    assert browser.value("tip.hidden") is False
    assert browser.value("tip.textContent").startswith(browser.value("view.layers[0].words[0]"))


@needs_browser
def test_a_finding_is_one_click_away(browser: Browser, tmp_path: Path) -> None:
    place = tmp_path / "misread.html"
    job = ROOT / "samples" / "bow-shelter-misread" / "job.toml"
    assert run(["look", str(job), "--out", str(place)]) == 0
    browser.open(place)
    assert browser.value("document.querySelectorAll('#spots button.bad').length") == 5
    browser.value("[...document.querySelectorAll('#spots button')].at(-1).click()")
    browser.settle()
    spot = browser.value("view.spots.at(-1).at")
    middle = browser.value("[place.x, place.y]")
    assert middle == pytest.approx(spot)
    assert browser.value("place.scale") >= 4


@needs_browser
def test_keys_move_and_size_the_drawing(page: Path, browser: Browser) -> None:
    browser.open(page)
    before = browser.value("[place.x, place.y, place.scale]")
    browser.press("+")
    browser.press("ArrowLeft")
    after = browser.value("[place.x, place.y, place.scale]")
    assert after[2] > before[2]
    assert after[0] < before[0]
    browser.press("0")
    assert browser.value("[place.x, place.y, place.scale]") == pytest.approx(before)


@needs_browser
def test_names_that_html_would_eat_stay_words(browser: Browser, tmp_path: Path) -> None:
    line = np.array([(0.0, 0.0), (10.0, 0.0)])
    evil = "</script><script>document.title='gone'</script>"
    layer = Layer(evil, Style.CUT, (line,), (evil,))
    timeline = Timeline(
        line, np.array([0.0, 1.0]), np.array([0, 1]), np.array([0, 0]), np.array([-1, 0]),
        (evil,), (evil,),
    )  # fmt: skip
    place = tmp_path / "evil.html"
    scene = Scene(evil, (View(evil, (layer,), (), ((evil, evil),), timeline),), (evil,))
    place.write_text(page_of(scene), encoding="utf-8")
    browser.open(place)
    assert browser.value("document.title") == evil
    assert browser.value("byId('title').textContent") == evil
    assert browser.complaints == []


def machine_file(tmp_path: Path, machine: str) -> Path:
    out = tmp_path / machine
    assert run(["cut", str(SHELTER), "--on", machine, "--out", str(out)]) == 0
    return next(path for path in sorted(out.iterdir()) if path.suffix in {".plt", ".ngc", ".nc"})


@pytest.mark.parametrize("machine", ["flatbed-hpgl", "flatbed-hpgl2", "gantry-rs274"])
def test_any_machine_file_is_read_alone(tmp_path: Path, machine: str) -> None:
    file = machine_file(tmp_path, machine)
    place = tmp_path / "file.html"
    assert run(["look", str(file), "--out", str(place)]) == 0
    assert file.name in place.read_text(encoding="utf-8")


def test_a_file_that_is_none_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = tmp_path / "bad.ngc"
    bad.write_text("G99 HELLO", encoding="utf-8")
    assert run(["look", str(bad), "--out", str(tmp_path / "x.html")]) == 2
    assert "bad.ngc" in capsys.readouterr().err
    assert run(["look", str(tmp_path / "none.plt"), "--out", str(tmp_path / "x.html")]) == 2
    drawing = SHELTER.parent / "shelter.dxf"
    assert run(["look", str(drawing), "--out", str(tmp_path / "x.html")]) == 2
    assert "--on" in capsys.readouterr().err
    assert not (tmp_path / "x.html").exists()
