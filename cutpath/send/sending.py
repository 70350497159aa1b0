"""The loop that joins a way, a flow and a job's bytes.

Bytes go out stroke by stroke. Between blocks the watch is asked what the operator wants: a pause
takes effect where the tool is next up, a stop at the end of the instruction that is being sent, and
ends with the tool up. Whatever breaks, the end says which strokes are in doubt.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from cutpath.run_model import Run, Wish
from cutpath.send.channel import Channel, LinkError
from cutpath.send.ending import end_of_instruction, end_of_stroke
from cutpath.send.exchange import Exchange
from cutpath.send.flow import Flow
from cutpath.send.stopping import stop_with_tool_up
from cutpath.send.trouble import MachineFault, Trouble
from cutpath.send.watching import End, Ended, Watch

_LAST_WAIT = 2.0
"""Seconds for the other side to close a plain link after the last byte."""


def send_bytes(
    run: Run,
    channel: Channel,
    flow: Flow,
    watch: Watch,
    start: int = 0,
    clock: Callable[[], float] = time.monotonic,
) -> Ended:
    """Send ``run`` from its byte ``start`` on, where ``flow`` must stand too.

    A paused job goes on by another call with the same channel and flow, and ``start`` where the
    pause took effect. In every other case the channel is closed. Link and machine faults are told
    by the end; no exception but the watch's own leaves this function.
    """
    if flow.sent != start:
        raise ValueError("the flow has counted to another byte than the start")
    try:
        sending = _Sending(run, channel, flow, watch, clock)
        ended = sending.whole(start) if channel.is_whole else sending.piecemeal(start)
    except BaseException:
        channel.close()
        raise
    if ended.how is not End.PAUSED:
        channel.close()
    return ended


class _Sending:
    def __init__(
        self, run: Run, channel: Channel, flow: Flow, watch: Watch, clock: Callable[[], float]
    ) -> None:
        self.run = run
        self.flow = flow
        self.watch = watch
        self.channel = channel
        self.clock = clock
        self.data = memoryview(run.data)
        self.exchange = Exchange(channel, flow, clock, self._machine_time)
        self.told = (flow.sent, flow.confirmed, "")

    def whole(self, start: int) -> Ended:
        """Hand over a file that appears at once, or nothing of it."""
        last = len(self.data)
        wish = self.watch.wish()
        if wish is not Wish.GO_ON:
            return self._ended(End.PAUSED if wish is Wish.PAUSE else End.STOPPED, tool_up=True)
        self.watch.about_to_send(start, last)
        try:
            self.channel.write(self.data[start:], 0.0)
            self.channel.finish(0.0)
        except LinkError as error:
            fault = MachineFault(Trouble.LOST, str(error.message), error.remedy)
            return Ended(End.FAULTED, start, start, start, True, True, True, fault)
        self.flow.has_sent(self.data[start:], self.clock())
        self.flow.left_port(0, self.channel.unseen)
        self._tell()
        return self._ended(End.FINISHED, tool_up=True)

    def piecemeal(self, start: int) -> Ended:
        """Send stroke by stroke."""
        flow, wish = self.flow, Wish.GO_ON
        flow.resume()
        self.exchange.begin()
        if not flow.is_opened:
            self._open()
        at, last = start, start
        while at < len(self.data) and flow.fault is None:
            wish = self.watch.wish()
            target = self._target(wish, at)
            if target <= at and wish is not Wish.GO_ON:
                break
            if at >= last:
                last = self._span(at)
                self.watch.about_to_send(at, last)
            self.exchange.turn(self.data[at : min(target, last)])
            at = flow.sent
            self._tell()
            if wish is Wish.STOP and flow.can_halt:
                break
        return self._wound_up(wish, at)

    def _wound_up(self, wish: Wish, at: int) -> Ended:
        flow = self.flow
        if flow.fault is None and at < len(self.data):
            if wish is Wish.STOP:
                return stop_with_tool_up(self.run, self.exchange, at)
            self._settle()
            if flow.fault is None:
                return self._ended(End.PAUSED, tool_up=True)
        elif flow.fault is None:
            self._settle()
            if flow.fault is None:
                return self._finished()
        return stop_with_tool_up(self.run, self.exchange, at)

    def _open(self) -> None:
        self.flow.is_opened = True
        try:
            self.exchange.say(self.flow.opening())
        except LinkError as error:
            self.exchange.lost(error)

    def _settle(self) -> None:
        """Wait until the machine has worked off all that it was sent, where it can tell."""
        flow = self.flow
        flow.end(self.clock())
        self.exchange.begin()
        while flow.fault is None and not flow.is_over:
            if self.watch.wish() is Wish.STOP and flow.can_halt:
                return
            self.exchange.turn(self.data[:0])
            self._tell()

    def _finished(self) -> Ended:
        try:
            if self.channel.finish(min(self.flow.link.timeout, _LAST_WAIT)):
                self.flow.left_port(0, self.channel.unseen)
        except LinkError as error:
            self.exchange.lost(error)
            return self._ended(End.FAULTED, tool_up=False)
        self._tell()
        return self._ended(End.FINISHED, tool_up=True)

    def _target(self, wish: Wish, at: int) -> int:
        if wish is Wish.PAUSE:
            return end_of_stroke(self.run, at)
        if wish is Wish.STOP:
            return at if self.flow.can_halt else end_of_instruction(self.run, at)
        return len(self.data)

    def _span(self, at: int) -> int:
        """Give the end of what is announced next: a stroke, or as many as the watch allows."""
        last = self._next_end(at)
        while last < len(self.data):
            further = self._next_end(last)
            if further - at > self.watch.at_once:
                break
            last = further
        return last

    def _next_end(self, at: int) -> int:
        return end_of_stroke(self.run, at + 1)

    def _machine_time(self, first: int, last: int) -> float:
        """Give the machine's time from one byte to another, s; each waits for a whole stroke."""
        return self.run.seconds_at(end_of_stroke(self.run, last)) - self.run.seconds_at(first)

    def _tell(self) -> None:
        sent, confirmed, standing = self.told
        flow = self.flow
        if flow.sent != sent:
            self.watch.sent(flow.sent)
        if flow.confirmed != confirmed:
            self.watch.confirmed(flow.confirmed)
        if flow.standing != standing:
            self.watch.standing(flow.standing)
        self.told = (flow.sent, flow.confirmed, flow.standing)

    def _ended(self, how: End, *, tool_up: bool) -> Ended:
        flow = self.flow
        is_cut_short = how is End.FAULTED
        counts = (flow.sent, flow.confirmed, flow.done)
        return Ended(how, *counts, flow.knows_done, is_cut_short, tool_up, flow.fault)
