"""The sender of one lane: takes job after job, sends it, and keeps account.

It holds the lane's lock all the time. It begins nothing while a job of the lane is interrupted,
and never begins an interrupted job again by itself.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from cutpath.errors import CutpathError
from cutpath.model import Feature
from cutpath.run_model import Run, Wish
from cutpath.send.channel import Channel, LinkError
from cutpath.send.flow import Flow
from cutpath.send.flows import flow_of
from cutpath.send.opening import open_channel
from cutpath.send.queue.account import Account
from cutpath.send.queue.fitting import require_same_machine
from cutpath.send.queue.lanes import LaneState, next_job
from cutpath.send.queue.lock import sole_sender
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.reading import lock_path
from cutpath.send.queue.recovery import between, recover_lane
from cutpath.send.queue.values import Doing, Doubt, Job
from cutpath.send.sending import send_bytes
from cutpath.send.trouble import Trouble
from cutpath.send.watching import End, Ended
from cutpath.settings.profile import Link

_LOOK = 0.25
"""Seconds between looks at what is wanted while nothing is sent."""
_ASK_WISH = 0.05
"""Seconds that a wish may be late."""
Connect = Callable[[Link, str], Channel]


class Teller(Protocol):
    """Who hears what the sender does."""

    def asks(self, job: Job, run: Run) -> None:
        """Hear that the sender waits for the word that the bed is ready."""

    def begins(self, job: Job, run: Run) -> None:
        """Hear that a job is begun."""

    def moved(self, run: Run, sent: int, words: str) -> None:
        """Hear how far it is, and why the machine stands, if it does; often."""

    def paused(self, job: Job, run: Run, sent: int, words: str) -> None:
        """Hear that the tool is up and nothing is sent until somebody says go on; maybe why."""

    def ended(self, job: Job, run: Run, doubt: Doubt | None) -> None:
        """Hear that a copy is made, or what is known of it when it was interrupted."""


class Sender:
    """Sends the jobs of one lane."""

    def __init__(
        self, queue: Queue, lane: str, teller: Teller, connect: Connect = open_channel
    ) -> None:
        self.queue = queue
        self.lane = queue.lane(lane)
        self.teller = teller
        self.connect = connect
        self.clock = queue.clock
        self.state = LaneState(queue.storage, self.lane.number)

    def work(self, *, stay: bool = False) -> Doubt | None:
        """Send all that waits; give the doubt that ended it, if one did. ``stay``: never end.

        Raises InputError where another sender has the lane, and what a job's machine or link says
        before its first byte; then the job waits on. With ``stay`` such words are kept with the
        lane instead, which waits to be told to go on.
        """
        with sole_sender(lock_path(self.queue.folder, self.lane.number), self.lane.name):
            recover_lane(self.queue.storage, self.queue.folder, self.clock, self.lane.number)
            self.state.doing(Doing.IDLE)
            try:
                return self._loop(stay=stay)
            finally:
                self.state.doing(Doing.NO_SENDER)

    def _loop(self, *, stay: bool) -> Doubt | None:
        while True:
            job = next_job(self.queue.storage, self.lane.number)
            if job is None:
                if not stay:
                    return None
                self.clock.sleep(_LOOK)
                continue
            try:
                doubt = self._make(job)
            except CutpathError as error:
                if not stay:
                    raise
                self.state.wish(Wish.PAUSE)
                self.state.doing(Doing.IDLE, str(error))
                self._wait_for_word(job)
                continue
            if doubt is not None and not stay:
                return doubt

    def _make(self, job: Job) -> Doubt | None:
        """Send one copy of ``job`` when the bed is ready, if it still waits then."""
        run = self.queue.run(job.number)
        profile = self.queue.profile(self.lane.name)
        require_same_machine(run, profile, self.lane.name)
        # After a mishap, or a pause between jobs, even a lane that never asks waits for the word.
        if self.queue.lane(self.lane.name).asks or self.state.wanted() is not Wish.GO_ON:
            self.state.wish(Wish.PAUSE)
            self.state.doing(Doing.ASKS)
            self.teller.asks(job, run)
        if not self._wait_for_word(job):
            return None
        link = profile.link
        channel = self.connect(link, run.name)
        account = Account(self.queue.storage, self.queue.folder, self.clock, job, run)
        try:
            if not account.begin(link, channel.unseen):
                channel.close()
                return None
            self.state.doing(Doing.SENDING)
            self.teller.begins(job, run)
            return self._settled(
                job, run, account, self._send(run, channel, flow_of(link), account)
            )
        finally:
            account.close()
            self.state.doing(Doing.IDLE)

    def _wait_for_word(self, job: Job) -> bool:
        """Wait until going on is wanted; tell whether ``job`` is still the next then."""
        while self.state.wanted() is not Wish.GO_ON:
            self.clock.sleep(_LOOK)
            if next_job(self.queue.storage, self.lane.number) != job:
                return False
        return next_job(self.queue.storage, self.lane.number) == job

    def _send(self, run: Run, channel: Channel, flow: Flow, account: Account) -> Ended:
        watch = _Watch(self, run, account)
        ended = send_bytes(run, channel, flow, watch, 0, self.clock.monotonic)
        while ended.how is End.PAUSED:
            account.pause(begins=True)
            words = watch.has_paused()
            if words:
                self.state.wish(Wish.PAUSE)
            self.state.doing(Doing.PAUSED, words)
            self.teller.paused(account.job, run, ended.sent, words)
            while self.state.wanted() is Wish.PAUSE:
                self.clock.sleep(_LOOK)
            account.pause(begins=False)
            self.state.doing(Doing.SENDING)
            ended = send_bytes(run, channel, flow, watch, ended.sent, self.clock.monotonic)
        return ended

    def _settled(self, job: Job, run: Run, account: Account, ended: Ended) -> Doubt | None:
        fault = "" if ended.fault is None else f"{ended.fault.words}. {ended.fault.remedy}"
        if ended.how is End.FINISHED:
            account.finish(is_done=ended.is_done)
            self.teller.ended(job, run, None)
            return None
        self.state.wish(Wish.PAUSE)
        words = fault or "stopped by the operator"
        if ended.sent == 0:
            account.give_back(words)
            if ended.fault is not None:
                raise LinkError(ended.fault.words, remedy=ended.fault.remedy)
            return None
        known = ended.sent if ended.is_done else ended.done
        is_lost = ended.fault is not None and ended.fault.trouble is Trouble.LOST
        # A link that broke amid a block may have taken some of it.
        may = max(ended.sent, account.may) if is_lost else ended.sent
        doubt = between(run, known, may, words, tool_up=ended.tool_up)
        account.interrupt(doubt)
        self.teller.ended(job, run, doubt)
        return doubt


def leading_checks(run: Run) -> int:
    """Give how many strokes at the start of ``run`` are a check mark."""
    features = [stroke.toolpath.feature for stroke in run.strokes]
    return next((n for n, each in enumerate(features) if each is not Feature.CHECK), len(features))


class _Watch:
    """Joins the account, the operator's wish and who is told."""

    at_once = 0

    def __init__(self, sender: Sender, run: Run, account: Account) -> None:
        self.sender, self.run, self.account = sender, run, account
        self.about_to_send = account.about_to_send
        self.confirmed = account.confirmed
        self.words = ""
        self._asked = -1.0
        self._wish = Wish.GO_ON
        marks = leading_checks(run)
        self._look_from = run.strokes[marks - 1].first if marks else len(run.data)
        self._look_at = run.strokes[marks - 1].last if marks else len(run.data)
        self._has_looked = not 0 < marks < len(run.strokes)

    def sent(self, upto: int) -> None:
        self.account.sent(upto)
        self.sender.teller.moved(self.run, upto, self.words)

    def standing(self, words: str) -> None:
        self.words = words
        self.sender.state.doing(Doing.SENDING, words)
        self.sender.teller.moved(self.run, self.account.place, words)

    def has_paused(self) -> str:
        """Give why nobody asked for this pause: a check mark is there to be looked at."""
        if self._has_looked or self.account.place < self._look_at:
            return ""
        self._has_looked = True
        return "look at the check mark: has the cloth stayed where it was?"

    def wish(self) -> Wish:
        if not self._has_looked and self.account.place > self._look_from:
            return Wish.PAUSE
        now = self.sender.clock.monotonic()
        if now - self._asked >= _ASK_WISH:
            self._asked, self._wish = now, self.sender.state.wanted()
        return self._wish
