"""One turn after another between a flow and a way: ask, send what may leave, listen, be patient."""

from __future__ import annotations

from collections.abc import Callable

from cutpath.send.channel import Channel, LinkError
from cutpath.send.flow import Flow
from cutpath.send.trouble import MachineFault, Trouble

_WAIT = 0.02
"""Seconds that a turn waits at most."""
_BLOCK = 65_536


class Exchange:
    """Drives ``flow`` over ``channel``; what goes wrong becomes ``flow.fault``.

    ``machine_time`` gives the seconds that the machine may need between two bytes: so much longer
    than the link's timeout nothing may happen.
    """

    def __init__(
        self,
        channel: Channel,
        flow: Flow,
        clock: Callable[[], float],
        machine_time: Callable[[int, int], float],
    ) -> None:
        self.channel = channel
        self.flow = flow
        self.clock = clock
        self.machine_time = machine_time
        self._seen: tuple[int, int, int] = (-1, -1, -1)
        self._since = clock()

    def turn(self, coming: memoryview) -> int:
        """Do one turn; give how many of the ``coming`` bytes left."""
        flow, channel, sent = self.flow, self.channel, 0
        try:
            self.say(flow.question(self.clock()))
            granted = flow.portion(coming[:_BLOCK]) if coming else 0
            if granted:
                sent = channel.write(coming[:granted], _WAIT)
                if sent:
                    flow.has_sent(coming[:sent], self.clock())
            self._listen(0.0 if granted else _WAIT)
            if not flow.answers:
                flow.left_port(channel.pending(), channel.unseen)
        except LinkError as error:
            self.lost(error)
        self._be_patient()
        return sent

    def _listen(self, timeout: float) -> None:
        answer = self.channel.read(timeout)
        if answer and self.flow.fault is None:  # what follows a fault confirms nothing
            self.flow.received(answer, self.clock())

    def say(self, words: bytes) -> None:
        """Send all of ``words``, which are no part of the job."""
        end = self.clock() + self.flow.link.timeout
        while words:
            words = words[self.channel.write(words, _WAIT) :]
            if words:
                self._listen(0.0)  # a way may take no more until it is listened to
            if words and self.clock() > end:
                raise LinkError("the machine takes nothing, not even a question")

    def begin(self) -> None:
        """Count patience from now."""
        self._seen = (-1, -1, -1)
        if self.flow.awaits_since is not None:
            self.flow.awaits_since = self.clock()

    def _be_patient(self) -> None:
        flow, now = self.flow, self.clock()
        seen = (flow.sent, flow.confirmed, flow.done)
        if seen != self._seen or flow.standing:
            self._seen, self._since = seen, now
        limit = flow.link.timeout if flow.is_ready else flow.link.connect_timeout
        if flow.awaits_since is not None and now - flow.awaits_since > limit:
            flow.unanswered()
        # The machine's time is only looked up when the link's own is over.
        late = now - self._since - limit
        if late > 0 and late > self.machine_time(flow.done, flow.sent):
            flow.fail(
                Trouble.STALLED,
                f"the machine has taken nothing for {now - self._since:.0f} s",
                "Look at its panel. Where it waits for a tool to be changed, "
                "a longer timeout in [link] gives it the time.",
            )

    def lost(self, error: LinkError) -> None:
        """Keep a broken link as the fault."""
        flow = self.flow
        place = f"{error.source}: " if str(error.source) else ""
        lost = MachineFault(
            Trouble.LOST, f"{place}{error.message}", error.remedy, "", flow.done, flow.sent
        )
        # What the machine said just before its link broke explains more.
        flow.fault = flow.fault or lost
