"""The desk in a real browser: jobs sent to simulated tables, watched and told what to do."""

import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from cutpath.run_model import Run, Wish
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.values import Event, State
from tests.desk.opened import OpenedDesk
from tests.desk.page import DeskPage
from tests.desk.tables import Table, cut_job, write_profile
from tests.look.browser import PROGRAM

pytestmark = pytest.mark.skipif(PROGRAM is None, reason="no Chromium on this machine")


@pytest.fixture(scope="module")
def awning(tmp_path_factory: pytest.TempPathFactory) -> Run:
    place = tmp_path_factory.mktemp("awning")
    return cut_job(place, write_profile(place))


class Workshop:
    """A queue with one lane for a simulated table, a desk, and a tablet beside it."""

    def __init__(self, place: Path, table: Table, job: Run) -> None:
        self.profile = write_profile(place, table.port)
        self.table = table
        self.run = job
        self.queue = Queue(place / "queue")
        self.queue.add_lane("table", self.profile)
        self.desk = OpenedDesk(place / "queue")
        self.page = DeskPage(place / "browser")
        self.page.go(f"http://127.0.0.1:{self.desk.port}/")

    def close(self) -> None:
        self.page.__exit__(None, None, None)
        self.queue.wish("table", Wish.STOP)  # no sender outlives a test that failed
        self.queue.close()
        self.desk.close()
        self.desk.__exit__(None, None, None)


@pytest.fixture
def shop(tmp_path: Path, awning: Run) -> Iterator[Workshop]:
    with Table(pace=0.012) as table:
        opened = Workshop(tmp_path, table, awning)
        try:
            yield opened
        finally:
            opened.close()


def begin(shop: Workshop) -> None:
    """Start the sender and say that the bed is ready."""
    shop.page.tap("start")
    shop.page.until_says("#lane-state", "Is the bed ready?")
    assert "Cloth: duck." in shop.page.text("#asks")
    assert "Keep hands" in shop.page.text("#asks"), "the machine's own cautions"
    shop.page.tap("ready")
    shop.page.until_says("#lane-state", "Cutting")


def test_a_job_is_sent_paused_resumed_and_finished(shop: Workshop) -> None:
    page, table = shop.page, shop.table
    page.until_says("#none", "Nothing waits")
    shop.queue.add(shop.run, "table")
    page.until_says("#jobs", "awning")  # without a reload
    begin(shop)
    page.until("Number(document.getElementById('lay').dataset.done) > 2")
    page.until_says("#doing", f"of {len(shop.run.strokes)}; about")
    page.tap("pause")
    page.until_says("#lane-state", "Paused, tool up")
    held = len(table.lines)
    assert 0 < held < len(shop.run.data.splitlines())
    time.sleep(0.5)
    assert len(table.lines) == held, "nothing moves while it is paused"
    ends = {stroke.last for stroke in shop.run.strokes}
    assert len(table.obeyed) in ends, "it stands where the tool is up"
    page.tap("go-on")
    page.until_says("#past-head", "Done lately (1)")
    page.until_says("#lane-state", "Ready")
    assert table.obeyed == shop.run.data
    events = [entry.event for entry in shop.queue.journal()]
    assert [each for each in events if each in {Event.PAUSED, Event.WENT_ON}] == [
        Event.PAUSED,
        Event.WENT_ON,
    ]
    page.tap("end")
    page.until_says("#lane-state", "Not sending")
    assert page.complaints == []


def test_a_fault_is_told_in_words_and_pieces_are_cut_again(shop: Workshop) -> None:
    page = shop.page
    shop.queue.add(shop.run, "table")
    page.until_says("#jobs", "awning")
    begin(shop)
    page.until("Number(document.getElementById('lay').dataset.done) > 2")
    shop.table.unplug()
    page.until_says("#fault-head", "In doubt")
    page.until_says("#alert", "table: A job is in doubt")  # for those who listen
    doubt = shop.queue.doubt(1)
    assert doubt is not None
    assert doubt.words.rstrip(".").lower() in page.text("#fault-words").lower()
    assert f"{doubt.first} of" in page.text("#fault-told")
    assert "sheet" in page.text("#fault-told")
    page.tap("recut", "#fault")
    page.until("document.getElementById('dialog').open")
    page.value("document.querySelector('#dialog input').checked = true")
    page.value("document.getElementById('dialog-yes').click()")
    page.until_says("#jobs", "Again: awning")
    page.tap("again", "#fault")
    page.value("document.getElementById('dialog-yes').click()")
    page.until("document.getElementById('fault').hidden")
    states = {job.number: job.state for job in shop.queue.jobs()}
    assert states[1] is State.WAITING
    assert shop.queue.job(2).kind.value == "recut"


def test_jobs_are_held_ordered_and_removed(shop: Workshop) -> None:
    page, queue = shop.page, shop.queue
    for _ in range(3):
        queue.add(shop.run, "table")
    page.until("document.querySelectorAll('#jobs .job').length === 3")
    page.tap("hold", "#jobs [data-key='1']")
    page.until_says("#jobs [data-key='1']", "Held")
    assert queue.job(1).state is State.HELD
    page.tap("release", "#jobs [data-key='1']")
    page.until_says("#jobs [data-key='1']", "Waits")
    page.tap("first", "#jobs [data-key='3']")
    page.until("document.querySelector('#jobs .job').dataset.key === '3'")
    page.tap("later", "#jobs [data-key='3']")
    page.until("document.querySelector('#jobs .job').dataset.key === '1'")
    assert [job.number for job in queue.jobs()] == [1, 3, 2]
    page.tap("remove", "#jobs [data-key='2']")
    assert [job.number for job in queue.jobs()] == [1, 3, 2], "not before it is confirmed"
    page.value("document.getElementById('dialog-yes').click()")
    page.until("document.querySelectorAll('#jobs .job').length === 2")
    assert page.complaints == []


def test_it_works_with_the_keyboard_and_has_names_for_a_screen_reader(shop: Workshop) -> None:
    page = shop.page
    shop.queue.add(shop.run, "table")
    page.until_says("#jobs", "awning")
    told = page.send("Accessibility.getFullAXTree")["nodes"]
    named = [
        (node["role"]["value"], node.get("name", {}).get("value", ""))
        for node in told
        if "role" in node and not node.get("ignored")
    ]
    assert all(name for role, name in named if role in {"button", "image", "navigation"})
    assert ("navigation", "Machines") in named
    assert ("button", "Start sending") in named
    roles = {role for role, _ in named}
    assert {"alert", "status", "heading", "main"} <= roles
    smallest = page.value(
        "Math.min(...[...document.querySelectorAll('button')].filter(b => b.offsetWidth)"
        ".map(b => Math.min(b.offsetWidth, b.offsetHeight)))"
    )
    assert smallest >= 44
    # From the top, Tab comes to every button; Enter presses; the focus stays where it was.
    reached = set()
    for _ in range(30):
        page.press_key("Tab", 9)
        reached.add(page.value("document.activeElement.dataset.act || ''"))
        if page.value("document.activeElement.dataset.act") == "hold":
            time.sleep(1)
            page.press_key("Enter", 13)
            break
    assert {"start", "hold"} <= reached
    page.until_says("#jobs", "Held")
    assert page.value("document.activeElement.matches('#jobs [data-key=\"1\"] .acts')")
    page.press_key("Tab", 9)
    assert page.value("document.activeElement.dataset.act") == "release"
    assert shop.queue.job(1).state is State.HELD
    assert "Not an emergency stop" in page.text("#caution")


def test_a_desk_that_goes_away_is_told_and_one_that_comes_back_is_found(
    shop: Workshop, tmp_path: Path
) -> None:
    page = shop.page
    page.until_says("#link", "Live")
    shop.desk.close()
    page.until_says("#link", "Not connected")
    page.until_says("#alert", "Use the machine's own controls")
    assert page.value("[...document.querySelectorAll('#lane-acts button')].every(b => b.disabled)")
    with OpenedDesk(tmp_path / "queue", "--port", str(shop.desk.port)):
        page.until_says("#link", "Live")
        page.tap("start")
        page.until_says("#lane-state", "Ready")
        page.tap("end")
        page.until_says("#lane-state", "Not sending")


def test_a_tablet_types_the_code_and_is_in(tmp_path: Path) -> None:
    queue = Queue(tmp_path / "queue")
    queue.add_lane("table", "gantry-rs274")
    with OpenedDesk(tmp_path / "queue", "--lan") as desk, DeskPage(tmp_path / "browser") as page:
        code = desk.code()
        page.go(f"http://127.0.0.1:{desk.port}/")
        page.until_says("h1", "The desk")
        assert page.value("document.activeElement.id") == "code"
        page.write("1234 5678")
        page.press_key("Enter", 13)
        page.until_says("#words", "not the code on the terminal")
        page.value("document.getElementById('code').focus()")
        page.write(code)
        page.press_key("Enter", 13)
        page.until_says("#lane-name", "table")
        page.until_says("#link", "Live")
        assert page.value("document.cookie") == "", "no script can read the session"
    queue.close()


def test_a_stopped_job_goes_on_with_its_rest(shop: Workshop) -> None:
    page, queue = shop.page, shop.queue
    queue.add(shop.run, "table")
    page.until_says("#jobs", "awning")
    begin(shop)
    page.until("Number(document.getElementById('lay').dataset.done) > 15")
    shop.table.pace = 0.03  # time to stop it
    page.tap("stop")
    page.value("document.getElementById('dialog-yes').click()")
    page.until_says("#fault-head", "In doubt: awning")
    shop.table.pace = 0.01
    page.until_says("#fault-words", "Stopped by the operator")
    doubt = queue.doubt(1)
    assert doubt is not None
    assert doubt.first > 0, "something is done: a check mark tells whether the cloth stayed"
    page.tap("rest", "#fault")
    page.until_says("#dialog", "From where?")
    page.value("document.getElementById('dialog-yes').click()")
    page.until_says("#jobs", "Rest: awning")
    rest = queue.job(2)
    assert (rest.kind.value, queue.job(1).state) == ("rest", State.DONE)
    page.until_says("#lane-state", "Is the bed ready?")
    page.tap("ready")
    page.until_says("#lane-state", "Paused: look")
    assert "check mark" in page.text("#fault-words")
    assert "cross must lie on" in page.text("#fault-words")
    page.tap("go-on")
    page.until_says("#past-head", "Done lately (2)")
    assert shop.table.obeyed.endswith(queue.run(2).data)
    assert page.complaints == []


def test_a_table_that_does_not_answer_is_told_and_the_sender_can_be_ended(shop: Workshop) -> None:
    page = shop.page
    write_profile(shop.profile.parent, 9)  # nobody is there
    shop.queue.add(shop.run, "table")
    page.tap("start")
    page.tap("ready")
    page.until_says("#lane-state", "The next job cannot begin")
    assert "127.0.0.1:9" in page.text("#fault-words")
    assert shop.queue.job(1).state is State.WAITING, "nothing of it was sent"
    page.tap("go-on")  # try again: it is told again
    page.until_says("#lane-state", "The next job cannot begin")
    page.tap("end")
    page.until_says("#lane-state", "Not sending")
