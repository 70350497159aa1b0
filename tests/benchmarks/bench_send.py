"""How busy a sender keeps a machine, and how quick a socket is; ``python -m ...bench_send``."""

from __future__ import annotations

import socket
import threading
import time

from cutpath.send.flows import flow_of
from cutpath.send.opening import open_channel
from cutpath.send.sending import send_bytes
from cutpath.send.watching import End, Unwatched
from cutpath.settings.profile import Flow
from tests.send.runs import a_run, profile_with
from tests.send.simulated import Faults, Spec, machine_of
from tests.send.virtual_link import VirtualLink

_BAUD = 115_200
_RATE = _BAUD / 10
_LATENCIES = (0.001, 0.004, 0.016)


class SlowAnswers(VirtualLink):
    """A line whose answers come late, as through an adapter that collects them."""

    latency = 0.0

    def read(self, timeout: float) -> bytes:
        said = super().read(timeout)
        if said:
            end = self.now + self.latency
            while self.now < end:
                self.step(end - self.now)
        return said


def busy_share(flow: Flow, latency: float) -> float:
    """Give the share of time in which a machine with a buffer of 4 KiB works.

    It works off bytes at 95 % of the line's own rate: quicker, no sender could keep up.
    """
    is_lines = flow is Flow.LINE_REPLY
    spec = Spec(flow, 4_096, 1_024, 1 / (0.95 * _RATE), by_byte=True, ahead=1, xoff_room=512)
    profile = profile_with(
        "rs274" if is_lines else "hp-gl", way="serial", port="virtual", baud=_BAUD,
        flow=flow.value, buffer=4_096, block=128 if flow is Flow.XON_XOFF else 1_024,
    )  # fmt: skip
    run = a_run(profile, strokes=400, vertices=20)
    machine = machine_of(spec, Faults())
    link = SlowAnswers(machine, _RATE, queue=576)
    link.latency = latency
    ended = send_bytes(run, link, flow_of(profile.link), Unwatched(), clock=link.clock)
    link.let_it_finish()
    assert ended.how is End.FINISHED
    assert b"".join(machine.obeyed) == run.data
    return machine.busy_time / (machine.busy_time + machine.starved_time)


def socket_speed(megabytes: int = 200) -> float:
    """Give MB/s into a socket on this computer, stroke by stroke as any job goes."""
    with socket.socket() as server:
        server.bind(("127.0.0.1", 0))
        server.listen()

        def take() -> None:
            link, _ = server.accept()
            with link:
                while link.recv(1 << 20):
                    pass

        taker = threading.Thread(target=take)
        taker.start()
        address = f"127.0.0.1:{server.getsockname()[1]}"
        profile = profile_with(way="tcp", address=address, buffer=65_536)
        one = a_run(profile, strokes=2_000, vertices=megabytes * 1_000_000 // 2_000 // 12)
        channel = open_channel(profile.link, one.name)
        start = time.perf_counter()
        ended = send_bytes(one, channel, flow_of(profile.link), Unwatched())
        spent = time.perf_counter() - start
        taker.join()
    assert ended.how is End.FINISHED
    return len(one.data) / spent / 1e6


def main() -> None:
    """Print both tables."""
    print("| flow | " + " | ".join(f"answers after {1e3 * s:.0f} ms" for s in _LATENCIES) + " |")
    for flow in Flow:
        shares = (busy_share(flow, latency) for latency in _LATENCIES)
        print(f"| {flow.value} | " + " | ".join(f"{100 * share:.2f} %" for share in shares) + " |")
    print(f"TCP: {socket_speed():.0f} MB/s")


if __name__ == "__main__":
    main()
