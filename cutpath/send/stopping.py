"""Ending early: what can be done to leave the tool up, by the flow that the machine has."""

from __future__ import annotations

from cutpath.run_model import Run
from cutpath.send.channel import LinkError
from cutpath.send.ending import early_ending, end_of_instruction
from cutpath.send.exchange import Exchange
from cutpath.send.trouble import MachineFault, Trouble
from cutpath.send.watching import End, Ended

_FOLLOWS = {Trouble.REFUSED, Trouble.NOISE, Trouble.OVERRUN}
"""Troubles of a machine that still does what it is told."""


def stop_with_tool_up(run: Run, exchange: Exchange, at: int) -> Ended:
    """Lift the tool of a job that was sent up to ``at``, where the machine still follows.

    A small controller is made to stand and forget what it holds; others work off what they have
    taken, then lift.
    """
    flow = exchange.flow
    if at == 0 and flow.fault is None:
        return Ended(End.STOPPED, 0, 0, 0, True, False, True)
    fault, confirmed, done = flow.fault, flow.confirmed, flow.done
    is_done = was_reset = False
    # Where everything was sent and taken, the job's own ending lifts the tool.
    is_whole = at == len(run.data)
    is_up = is_whole and flow.confirmed >= at
    if not is_whole and (fault is None or fault.trouble in _FOLLOWS):
        flow.fault = None
        end = end_of_instruction(run, at)
        if flow.can_halt:
            was_reset = _halt(exchange)
            if was_reset:
                is_up = _send_all(exchange, early_ending(run, at, was_reset=True))
        else:
            # Half an instruction is finished first: its last number may be cut in two.
            is_up = _send_all(exchange, run.data[at:end] + early_ending(run, end))
            at = min(flow.sent, end)
        if not was_reset:
            confirmed, done = min(flow.confirmed, at), min(flow.done, at)
            is_done = is_up and flow.knows_done and fault is None
    how = End.STOPPED if fault is None else End.FAULTED
    is_cut_short = fault is not None or was_reset or not is_up
    told = fault or _own(flow.fault, is_up=is_up)
    return Ended(how, at, confirmed, done, is_done, is_cut_short, is_up, told)


def _own(fault: MachineFault | None, *, is_up: bool) -> MachineFault | None:
    """Give what went wrong while stopping, where that left the tool down."""
    return None if is_up else fault


def _halt(exchange: Exchange) -> bool:
    flow = exchange.flow
    try:
        exchange.say(flow.halt(exchange.clock()))
    except LinkError as error:
        exchange.lost(error)
        return False
    exchange.begin()
    while flow.fault is None and not flow.is_halted:
        exchange.turn(memoryview(b""))
    if not flow.is_halted:
        return False
    flow.go_on_after_halt()
    return flow.fault is None


def _send_all(exchange: Exchange, ending: bytes) -> bool:
    """Send the ending by the flow's own rules and wait for it; tell whether nothing failed."""
    flow, left = exchange.flow, memoryview(ending)
    flow.resume()
    exchange.begin()
    while left and flow.fault is None:
        left = left[exchange.turn(left) :]
    flow.end(exchange.clock())
    while flow.fault is None and not flow.is_over:
        exchange.turn(memoryview(b""))
    if flow.fault is None:
        try:
            exchange.channel.finish(flow.link.timeout)
        except LinkError as error:
            exchange.lost(error)
    return flow.fault is None
