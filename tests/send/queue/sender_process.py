"""Senders to be killed: forked from a process that has everything loaded, one a line on stdin.

A line is FOLDER, a tab, LANE. The answer is the sender's process number; when it ends by itself,
its exit code is told by ``ended NUMBER CODE``.
"""

import os
import socket
import sys
import traceback
from pathlib import Path

from cutpath.run_model import Run, Wish
from cutpath.send.channel import Channel
from cutpath.send.opening import open_channel
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.sender import Sender
from cutpath.send.queue.values import Doubt, Job
from cutpath.send.tcp import TcpChannel
from cutpath.settings.profile import Link


class Mute:
    """A teller that says go on to every pause."""

    def __init__(self, queue: Queue, lane: str) -> None:
        self.queue, self.lane = queue, lane

    def asks(self, job: Job, run: Run) -> None:
        raise AssertionError("this lane does not ask")

    def begins(self, job: Job, run: Run) -> None: ...

    def moved(self, run: Run, sent: int, words: str) -> None: ...

    def paused(self, job: Job, run: Run, sent: int, words: str) -> None:
        self.queue.wish(self.lane, Wish.GO_ON)

    def ended(self, job: Job, run: Run, doubt: Doubt | None) -> None:
        if doubt is not None:
            sys.stderr.write(f"{doubt.words}; {doubt.told(run)}\n")


def _tell(what: object) -> None:
    sys.stdout.write(f"{what}\n")
    sys.stdout.flush()


def narrow(link: Link, name: str) -> Channel:
    """Open a way that holds few bytes on this side, so that senders are killed while they send."""
    channel = open_channel(link, name)
    assert isinstance(channel, TcpChannel)
    channel._socket.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, 1)
    return channel


def send(folder: str, lane: str) -> int:
    """Send what waits."""
    with Queue(Path(folder)) as queue:
        return 0 if Sender(queue, lane, Mute(queue, lane), narrow).work() is None else 1


def main() -> None:
    """Fork a sender for each line."""
    _tell("ready")
    for line in sys.stdin:
        folder, lane = line.rstrip("\n").split("\t")
        number = os.fork()
        if number == 0:
            code = 70
            try:
                code = send(folder, lane)
            except BaseException:
                traceback.print_exc()
            finally:
                os._exit(code)
        _tell(number)
        if sys.stdin.readline().strip() == "wait":
            _, status = os.waitpid(number, 0)
            _tell(os.waitstatus_to_exitcode(status))


if __name__ == "__main__":
    main()
