"""Flow control against the languages' manuals, without input or output."""

from typing import Any

import pytest

from cutpath.run_model import Wish
from cutpath.send.buffer_space import BufferSpace
from cutpath.send.ending import early_ending, end_of_instruction, end_of_stroke
from cutpath.send.flow import Enquire, Flow, XonXoff
from cutpath.send.flows import flow_of
from cutpath.send.hpgl_words import device_error, device_state, plotting_error
from cutpath.send.line_reply import LineReply
from cutpath.send.sending import send_bytes
from cutpath.send.trouble import Trouble
from cutpath.send.watching import End
from cutpath.settings.profile import Link
from tests.send.plans import Wishing
from tests.send.runs import a_run, profile_with
from tests.send.simulated import Faults, Spec, machine_of
from tests.send.virtual_link import VirtualLink


def link(flow: str, **more: Any) -> Link:
    return Link.model_validate({"way": "serial", "port": "x", "flow": flow, **more})


def send(flow: Flow, data: bytes, now: float = 0.0) -> int:
    """Let leave what may; give how much that was."""
    count = flow.portion(memoryview(data))
    flow.has_sent(memoryview(data)[:count], now)
    return count


def test_what_is_prepared_has_its_escapes() -> None:
    prepare = ["ESC.R:", "ESC.I81;5;6:"]
    assert flow_of(link("enquire", prepare=prepare)).opening() == b"\x1b.R:\x1b.I81;5;6:"


def test_xoff_holds_and_xon_lets_go() -> None:
    flow = XonXoff(link("xon-xoff"))
    assert send(flow, b"PU;" * 100) == 80
    flow.received(b"\x13", 0.0)
    assert send(flow, b"PU;") == 0
    flow.received(b"\x13\x11", 0.0)
    assert send(flow, b"PU;") == 3
    flow.received(b"\xff", 0.0)
    assert flow.fault is not None
    assert flow.fault.trouble is Trouble.NOISE


def test_a_plain_link_notices_a_machine_that_says_xoff() -> None:
    flow = flow_of(link("plain"))
    flow.received(b"\x13", 0.0)
    assert flow.fault is not None
    assert 'flow = "xon-xoff"' in flow.fault.remedy


def test_each_answer_grants_one_block_counted_from_its_question() -> None:
    """Enquire and acknowledge, block 80 by default (HP 7470A manual, ESC.H and ESC.I)."""
    flow = Enquire(link("enquire"))
    assert send(flow, b"x" * 200) == 0
    assert flow.question(0.0) == b"\x05"
    assert flow.question(0.0) == b""
    flow.received(b"\x06", 0.0)
    assert send(flow, b"x" * 50) == 50
    assert flow.question(0.0) == b"\x05"
    assert send(flow, b"x" * 200) == 30
    flow.received(b"\x06", 0.0)
    assert flow.confirmed == 50
    # The 30 bytes that left since the question was asked are part of the block.
    assert send(flow, b"x" * 200) == 50
    flow.received(b"\x06", 0.0)
    assert flow.fault is not None
    assert "no answer to what it was asked" in flow.fault.words


def test_room_is_what_is_free_less_what_left_since_the_question() -> None:
    """ESC.B: free bytes in decimal and a carriage return (HP 7470A manual, page 10-26)."""
    flow = BufferSpace(link("buffer space", buffer=255))
    assert flow.question(0.0) == b"\x1b.B"
    flow.received(b"25", 0.0)
    flow.received(b"5\r", 0.0)
    assert send(flow, b"x" * 300) == 255
    assert flow.question(1.0) == b"\x1b.B"
    flow.received(b"100\r", 1.0)
    assert (flow.confirmed, flow.done) == (255, 100)
    assert send(flow, b"x" * 300) == 100
    flow.question(2.0)
    flow.received(b"256\r", 2.0)
    assert flow.fault is not None
    assert flow.fault.trouble is Trouble.NOISE


def test_an_overflow_is_told_while_the_job_goes_on() -> None:
    flow = BufferSpace(link("buffer space", buffer=255))
    for moment in range(40):
        question = flow.question(float(moment))
        if question == b"\x1b.E":
            flow.received(b"16\r", float(moment))
            break
        flow.received(b"0\r", float(moment))
    assert flow.fault is not None
    assert flow.fault.trouble is Trouble.OVERRUN
    assert "bytes are lost" in flow.fault.words


def test_a_machine_paused_at_its_panel_is_waited_for() -> None:
    flow = BufferSpace(link("buffer space", buffer=255))
    for moment in range(40):
        question = flow.question(float(moment))
        flow.received(b"16\r" if question == b"\x1b.O" else b"0\r", float(moment))
        if flow.standing:
            break
    assert flow.standing == "it was paused at its own panel"


def test_a_plotter_that_does_not_answer_oe_has_still_done_its_job() -> None:
    run = a_run(profile_with(way="serial", port="x", flow="buffer space", timeout=1))
    machine = machine_of(Spec("buffer space", 1024, state_answers=False), Faults())
    wire = VirtualLink(machine)
    ended = send_bytes(run, wire, flow_of(run.profile.link), Wishing({}, 0), clock=wire.clock)
    assert ended.how is End.FINISHED
    assert b"".join(machine.obeyed) == run.data


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (plotting_error(1), "does not know an instruction"),
        (plotting_error(2), "too many or too few numbers"),
        (plotting_error(6), "beyond the numbers that it can count"),
        (plotting_error(77), "error 77"),
        (device_error(15), "garbled"),
    ],
)
def test_numbers_of_plotters_are_told_in_words(told: Any, words: str) -> None:
    """OE: US Army TM 5-6675-320-14, table 4-12; ESC.E from memory."""
    assert words in told.words
    assert plotting_error(0) is None
    assert device_state(40) == "its rollers stand open and it waits with nothing left to do"


def ready_lines(**more: Any) -> LineReply:
    flow = LineReply(link("line reply", buffer=128, **more))
    assert flow.question(0.0) == b"?"
    assert send(flow, b"G0 X1\n") == 0
    flow.received(b"<Idle|MPos:0,0,0>\r\n", 0.0)
    return flow


def test_a_third_line_waits_for_the_first_reply() -> None:
    """Lines of 60, 60 and 20 bytes, a buffer of 128: 120 + 20 > 128."""
    flow = ready_lines()
    lines = b"".join(b"X" * (count - 1) + b"\n" for count in (60, 60, 20))
    assert send(flow, lines) == 120
    assert send(flow, lines[120:]) == 0
    flow.received(b"<Run|MPos:1,1,0>\r\n[MSG:all well]\r\n", 0.0)
    assert send(flow, lines[120:]) == 0
    flow.received(b"ok\r\n", 0.0)
    assert send(flow, lines[120:]) == 20
    assert flow.confirmed == 60
    assert flow.done == 0, "ok is not done"


def test_a_refused_line_is_named_and_what_follows_confirms_nothing() -> None:
    flow = ready_lines()
    send(flow, b"G1 X1\nG5 X2\nG1 X3\n")
    flow.received(b"ok\r\nerror:20\r\nok\r\n", 0.0)
    assert flow.fault is not None
    assert "'G5 X2': a code in it is not known" in flow.fault.words
    assert (flow.fault.first, flow.fault.last) == (6, 12)
    assert flow.confirmed == 6


@pytest.mark.parametrize(
    ("said", "trouble", "words"),
    [
        (b"ALARM:1\r\n", Trouble.LOCKED, "limit switch was hit: its position is lost"),
        (b"ALARM:2\r\n", Trouble.LOCKED, "its position is kept"),
        (b"Ready, 1.0\r\n", Trouble.RESTARTED, "Its position is lost"),
        (b"ok\r\n", Trouble.NOISE, "no line was waiting for it"),
        (b"<Alarm|MPos:0,0,0>\r\n", Trouble.LOCKED, "locked itself"),
    ],
)
def test_what_a_controller_says_of_itself_ends_the_job(
    said: bytes, trouble: Trouble, words: str
) -> None:
    flow = ready_lines()
    flow.received(said, 0.0)
    assert flow.fault is not None
    assert flow.fault.trouble is trouble
    assert words in flow.fault.words


def test_a_controller_that_starts_is_waited_for() -> None:
    flow = LineReply(link("line reply", greeting="Ready"))
    assert flow.question(0.0) == b""
    flow.received(b"boot 1.2\r\nReady, 1.0\r\n", 1.0)
    assert flow.question(1.0) == b"?"


def test_a_controller_that_was_on_before_is_asked_without_its_greeting() -> None:
    flow = LineReply(link("line reply", greeting="Ready", connect_timeout=4))
    assert flow.question(0.0) == b""
    assert flow.question(1.9) == b""
    assert flow.question(2.1) == b"?"
    flow.received(b"<Idle>\r\n", 2.2)
    assert flow.is_ready


def test_without_a_state_an_empty_line_finds_whether_it_is_there() -> None:
    flow = LineReply(link("line reply", status=False))
    assert flow.question(0.0) == b"\n"
    flow.received(b"ok\r\n", 0.0)
    assert send(flow, b"G0 X1\n") == 6
    assert not flow.can_halt


def test_a_job_that_ends_early_lifts_and_rests() -> None:
    plot, lines = a_run(profile_with()), a_run(profile_with("rs274"))
    assert early_ending(plot, 40) == b"PU;PU0,0;SP0;"
    assert early_ending(lines, 80) == b"G0 Z5\nG0 X0 Y0\nM2\n"
    after_reset = early_ending(lines, 80, was_reset=True).split(b"\n")
    assert after_reset[:2] == [b"G17 G40 G90 G94", b"G21"]


def test_half_an_instruction_is_finished_before_another_follows() -> None:
    run = a_run(profile_with())
    stroke = run.strokes[2]
    for byte in range(stroke.first, stroke.last + 1):
        end = end_of_instruction(run, byte)
        assert run.data[end - 1 : end] == b";"
        assert end == byte or b";" not in run.data[byte : end - 1]
        assert end_of_stroke(run, byte) == (byte if byte == stroke.first else stroke.last)


def test_a_job_that_never_began_sends_nothing_when_it_is_stopped() -> None:
    run = a_run(profile_with(way="serial", port="x"))
    machine = machine_of(Spec(), Faults())
    wire = VirtualLink(machine)
    watch = Wishing({0: Wish.STOP}, 0)
    ended = send_bytes(run, wire, flow_of(run.profile.link), watch, clock=wire.clock)
    assert (ended.how, ended.sent, machine.taken) == (End.STOPPED, 0, 0)
