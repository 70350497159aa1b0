"""A plan of faults sent through a real pseudo-terminal or socket, for the same judge."""

from __future__ import annotations

import tempfile
from dataclasses import asdict, replace
from pathlib import Path

from cutpath.run_model import Wish
from cutpath.send.flows import flow_of
from cutpath.send.opening import open_channel
from cutpath.send.sending import send_bytes
from cutpath.send.watching import End, Ended
from cutpath.settings.profile import Flow, Link
from tests.send.plans import Plan, Wishing
from tests.send.served import serving
from tests.send.simulated import Machine, machine_of


def really_sent(plan: Plan, way: str) -> tuple[Machine, Ended]:
    """Send the plan's job by ``way`` ("pty" or "tcp"); give the machine as its log tells it."""
    faults = {key: value for key, value in asdict(plan.faults).items() if value is not None}
    faults["garbage"] = plan.faults.garbage.hex()
    # The test does not wait for a machine that stands for ever.
    faults["stall_for"] = min(plan.faults.stall_for, 6.0)
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "obeyed"
        with serving(way, log, {**asdict(plan.spec), "flow": str(plan.spec.flow)}, faults) as place:
            reach: dict[str, object] = {"port": place, "baud": 115_200}
            if way == "tcp":
                reach = {"way": "tcp", "address": place}
            said = plan.run.profile.link.model_dump(mode="json")
            link = Link.model_validate({**said, **reach, "timeout": 1.0})
            profile = plan.run.profile.model_copy(update={"link": link})
            ended = _sent(replace(plan, run=replace(plan.run, profile=profile)))
        machine = machine_of(plan.spec, plan.faults)
        machine.obeyed = [log.read_bytes()]
    if plan.spec.flow is Flow.LINE_REPLY and plan.faults.error_at is not None:
        lines = plan.run.data.splitlines(keepends=True)
        refused = lines[plan.faults.error_at] if plan.faults.error_at < len(lines) else b""
        machine.refused = refused if ended.fault is not None else b""
    return machine, ended


def _sent(plan: Plan) -> Ended:
    run = plan.run
    channel, flow = open_channel(run.profile.link, run.name), flow_of(run.profile.link)
    watch = Wishing(plan.wishes, 0)
    ended = send_bytes(run, channel, flow, watch)
    if ended.how is End.PAUSED:
        assert Wish.PAUSE in plan.wishes.values()
        ended = send_bytes(run, channel, flow, Wishing({}, 0, ended.sent), ended.sent)
    return ended
