"""What the loop promises to whoever watches, and how it treats its way."""

from itertools import pairwise

from cutpath.send.exchange import Exchange
from cutpath.send.flow import Enquire, Flow
from cutpath.send.flows import flow_of
from cutpath.send.sending import send_bytes
from cutpath.send.trouble import Trouble
from cutpath.send.watching import Unwatched
from tests.send.runs import a_run, profile_with
from tests.send.simulated import Faults, Spec, machine_of
from tests.send.virtual_link import VirtualLink


class Announced(Unwatched):
    def __init__(self, at_once: int) -> None:
        self.at_once = at_once
        self.spans: list[tuple[int, int]] = []

    def about_to_send(self, first: int, last: int) -> None:
        self.spans.append((first, last))


def announced(at_once: int) -> tuple[list[int], list[int]]:
    run = a_run(profile_with(way="serial", port="x"), strokes=9)
    wire = VirtualLink(machine_of(Spec(), Faults()))
    watch = Announced(at_once)
    send_bytes(run, wire, flow_of(run.profile.link), watch, clock=wire.clock)
    spans = watch.spans
    assert all(one[1] == other[0] for one, other in pairwise(spans))
    ends = [run.preamble, *(stroke.last for stroke in run.strokes), len(run.data)]
    return [last for _, last in spans], ends


def test_strokes_are_announced_one_by_one_or_as_many_as_are_wanted() -> None:
    told, ends = announced(0)
    assert told == ends
    told, ends = announced(150)
    assert set(told) < set(ends)
    assert all(last - first <= 150 for first, last in pairwise([0, *told]))


class Talkative(VirtualLink):
    """Takes nothing while anything it said is unheard, as real ways may."""

    waits = 3

    def write(self, data: bytes | memoryview, timeout: float) -> int:
        if self.waits:
            return 0
        return super().write(data, timeout)

    def read(self, timeout: float) -> bytes:
        self.waits = max(0, self.waits - 1)
        return super().read(timeout)


def test_a_question_waits_by_listening() -> None:
    run = a_run(profile_with(way="serial", port="x", timeout=1))
    wire = Talkative(machine_of(Spec(), Faults()))
    turns = iter(range(1_000))  # a clock that a busy loop cannot stop
    exchange = Exchange(wire, Flow(run.profile.link), lambda: next(turns) / 100, lambda _a, _b: 0.0)
    exchange.say(b"PU;")
    wire.let_it_finish()
    assert wire.waits == 0


def test_an_answer_after_a_fault_confirms_nothing() -> None:
    flow = Enquire(profile_with(way="serial", port="x", flow="enquire").link)
    wire = VirtualLink(machine_of(Spec("enquire"), Faults()))
    exchange = Exchange(wire, flow, wire.clock, lambda _a, _b: 0.0)
    flow.fail(Trouble.NOISE, "noise", "")
    for _ in range(50):
        exchange.turn(memoryview(b""))
    assert flow.granted == 0
