"""Seeded plans of faults, and the judge of what a machine did under one."""

from __future__ import annotations

import random
from dataclasses import dataclass

from cutpath.run_model import Run, Wish
from cutpath.send.ending import early_ending
from cutpath.send.flows import flow_of
from cutpath.send.sending import send_bytes
from cutpath.send.watching import End, Ended, Unwatched
from cutpath.settings.profile import Flow
from tests.send.runs import a_run, profile_with
from tests.send.simulated import FOREVER, Faults, Machine, Spec, machine_of
from tests.send.virtual_link import VirtualLink

_FLOWS = tuple(Flow)
_KINDS = ("none", "drop", "stall", "stand", "garbage", "error", "reset", "storm", "mute", "wish")


@dataclass
class Plan:
    """One machine with one fault, and the job for it."""

    kind: str
    spec: Spec
    faults: Faults
    run: Run
    rate: float
    wishes: dict[int, Wish]
    seed: int


class Wishing(Unwatched):
    """Keeps the account as a durable one must, and wishes at planned bytes."""

    def __init__(self, wishes: dict[int, Wish], at_once: int, start: int = 0) -> None:
        self.wishes = wishes
        self.at_once = at_once
        self.announced = self.left = self.taken = start

    def about_to_send(self, first: int, last: int) -> None:
        assert first == self.left
        assert last > first
        self.announced = last

    def sent(self, upto: int) -> None:
        assert self.left < upto <= self.announced
        self.left = upto

    def confirmed(self, upto: int) -> None:
        assert self.taken < upto <= self.left
        self.taken = upto

    def wish(self) -> Wish:
        due = [wish for byte, wish in self.wishes.items() if byte <= self.left]
        return due[-1] if due else Wish.GO_ON


def plan_of(seed: int) -> Plan:
    """Give plan number ``seed``: the same every time."""
    luck = random.Random(seed)
    flow = _FLOWS[seed % len(_FLOWS)]
    kind = _KINDS[seed // len(_FLOWS) % len(_KINDS)]
    is_lines = flow is Flow.LINE_REPLY
    buffer = luck.choice([128, 256] if is_lines else [512, 512, 1024, 4096])
    # A machine that is no quicker than its line, or much slower.
    spec = Spec(flow, buffer, luck.choice([40, 80, 128]), luck.choice([5e-4, 2e-3, 6e-3]))
    link = {
        "way": "serial", "port": "virtual", "flow": flow.value, "buffer": buffer,
        "block": spec.block, "timeout": 2.0, "connect_timeout": 2.0, "ahead": spec.ahead,
    }  # fmt: skip
    profile = profile_with("rs274" if is_lines else "hp-gl", **link)
    # Some jobs are several times the buffer.
    run = a_run(profile, luck.choice([3, 6, 20]), luck.randint(2, 9), seed)
    at = luck.randrange(len(run.data))
    count = run.data.count(b"\n" if is_lines else b";")
    faults, wishes = Faults(), {}
    match kind:
        case "drop":
            faults = Faults(drop_at=at)
        case "stall":
            faults = Faults(stall_at=luck.randrange(count), stall_for=luck.uniform(0.1, 1.5))
        case "stand":
            faults = Faults(stall_at=luck.randrange(count), stall_for=FOREVER)
        case "garbage":
            faults = Faults(garbage_at=at, garbage=_garbage(luck, flow))
        case "error":
            faults = Faults(error_at=luck.randrange(count), error=luck.randint(1, 8))
        case "reset":
            faults = Faults(reset_at=at)
        case "storm":
            storms = sorted(luck.sample(range(len(run.data)), 6))
            faults = Faults(storms=tuple(storms) if flow is Flow.XON_XOFF else ())
        case "mute" if flow is not Flow.XON_XOFF:  # a lost Xoff is beyond any sender
            faults = Faults(mute_at=at)
        case "wish":
            wishes = {at: luck.choice([Wish.PAUSE, Wish.STOP])}
    rate = luck.choice([960.0, 3_840.0, 11_520.0])
    return Plan(kind, spec, faults, run, rate, wishes, seed)


def _garbage(luck: random.Random, flow: Flow) -> bytes:
    """Give noise that is no right answer: what forges one cannot be told from it."""
    noise = bytearray(luck.randrange(256) for _ in range(luck.randint(1, 5)))
    noise[luck.randrange(len(noise))] = luck.randint(128, 255)
    return bytes(noise).replace(b"\x11", b"\x91") if flow is Flow.XON_XOFF else bytes(noise)


def sent_by(plan: Plan) -> tuple[Machine, Ended]:
    """Send the plan's job to its machine, as far as that goes, and let the machine finish."""
    machine = machine_of(plan.spec, plan.faults)
    link = VirtualLink(machine, plan.rate, seed=plan.seed)
    flow = flow_of(plan.run.profile.link)
    watch = Wishing(plan.wishes, 200 if plan.seed % 2 else 0)
    ended = send_bytes(plan.run, link, flow, watch, clock=link.clock)
    if ended.how is End.PAUSED:
        # The operator looks, and goes on.
        assert ended.sent in {0, plan.run.preamble, *(each.last for each in plan.run.strokes)}
        again = Wishing({}, watch.at_once, ended.sent)
        ended = send_bytes(plan.run, link, flow, again, ended.sent, link.clock)
    assert link.is_closed
    if ended.is_done:
        assert machine.is_idle
    link.let_it_finish()
    return machine, ended


def judge(plan: Plan, machine: Machine, ended: Ended) -> None:
    """Hold what the machine did against the job: all of it once, or a prefix that is told."""
    run = plan.run
    obeyed = b"".join(machine.obeyed)
    assert machine.overrun == 0
    if ended.how is End.FINISHED:
        assert obeyed == run.data
        assert not ended.in_doubt(run)
        return
    assert ended.how is End.STOPPED or ended.fault is not None
    # The ending may begin like the next stroke would.
    done = min(_common(obeyed, run.data), ended.sent)
    endings = [early_ending(run, ended.sent, was_reset=reset) for reset in (False, True)]
    if machine.refused:
        # Lines that it held already may run on: all of them are in doubt.
        first = run.data.find(machine.refused)
        skipped = run.data[:first] + run.data[first + len(machine.refused) :]
        beyond = _common(obeyed, skipped)
        assert ended.fault is not None
        assert (ended.fault.first, ended.fault.last) == (first, first + len(machine.refused))
        assert any(ending.startswith(obeyed[beyond:]) for ending in endings)
        done = beyond + len(machine.refused) if beyond > first else beyond
    else:
        assert any(ending.startswith(obeyed[done:]) for ending in endings), obeyed[done:]
    assert ended.done <= done <= ended.sent
    doubtful = ended.in_doubt(run)
    number = run.stroke_at(done)
    is_between = done == run.ending or any(done == each.first for each in run.strokes)
    if 0 <= number < len(run.strokes) and not is_between:
        assert number in doubtful
    assert all(run.strokes[number].last > done for number in range(doubtful.stop, len(run.strokes)))
    if ended.sent == 0:
        assert not obeyed
    elif ended.tool_up:
        assert any(obeyed[-len(ending) :] == ending for ending in endings) or done == len(run.data)


def _common(one: bytes, other: bytes) -> int:
    """Give how many first bytes are the same, whole instructions only."""
    closes = b"\n" if b"\n" in other else b";"
    count = 0
    for mine, theirs in zip(one.split(closes), other.split(closes), strict=False):
        if mine != theirs or not mine:
            break
        count += len(mine) + 1
    return min(count, len(one))
