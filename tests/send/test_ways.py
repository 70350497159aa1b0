"""The ways to a machine."""

import socket
import sys
import threading
import time
from pathlib import Path

import pytest

from cutpath.errors import InputError
from cutpath.run_model import Wish
from cutpath.send.channel import Channel, LinkError
from cutpath.send.flows import flow_of
from cutpath.send.opening import open_channel
from cutpath.send.sending import send_bytes
from cutpath.send.watching import End, Unwatched
from cutpath.settings.profile import Link, Way
from tests.send.runs import a_run, profile_with


class Wanting(Unwatched):
    def __init__(self, wish: Wish) -> None:
        self.wanted = wish

    def wish(self) -> Wish:
        return self.wanted


def send_to(folder: Path, watch: Unwatched) -> End:
    profile = profile_with(way="folder", folder=str(folder))
    run = a_run(profile)
    channel = open_channel(profile.link, run.name)
    return send_bytes(run, channel, flow_of(profile.link), watch).how


def test_a_file_appears_whole_in_the_folder(tmp_path: Path) -> None:
    assert send_to(tmp_path, Unwatched()) is End.FINISHED
    assert (tmp_path / "job.plt").read_bytes() == a_run(profile_with()).data
    assert [path.name for path in tmp_path.iterdir()] == ["job.plt"]


def test_a_file_that_still_waits_is_not_written_over(tmp_path: Path) -> None:
    (tmp_path / "job.plt").write_bytes(b"waits")
    assert send_to(tmp_path, Unwatched()) is End.FINISHED
    assert (tmp_path / "job.plt").read_bytes() == b"waits"
    assert (tmp_path / "job-2.plt").is_file()


@pytest.mark.parametrize("wish", [Wish.PAUSE, Wish.STOP])
def test_nothing_appears_when_it_is_not_wanted(tmp_path: Path, wish: Wish) -> None:
    assert send_to(tmp_path, Wanting(wish)) in {End.PAUSED, End.STOPPED}
    assert not [path for path in tmp_path.iterdir() if path.suffix != ".part"]


def test_a_share_that_is_not_mounted_is_told(tmp_path: Path) -> None:
    with pytest.raises(LinkError, match="is not there") as told:
        send_to(tmp_path / "gone", Unwatched())
    assert told.value.exit_code == 3


def test_a_share_that_goes_away_leaves_nothing_and_is_told(tmp_path: Path) -> None:
    watched = tmp_path / "watched"
    watched.mkdir()
    run = a_run(profile_with(way="folder", folder=str(watched)))
    channel = open_channel(run.profile.link, run.name)
    watched.rmdir()
    ended = send_bytes(run, channel, flow_of(run.profile.link), Unwatched())
    assert (ended.how, ended.sent, len(ended.in_doubt(run))) == (End.FAULTED, 0, 0)
    assert ended.fault is not None
    assert "cannot write into the machine's folder" in ended.fault.words


def test_a_profile_without_a_link_says_how_to_write_one() -> None:
    with pytest.raises(InputError, match=r"\[link\]"):
        open_channel(Link(), "job.plt")


@pytest.mark.parametrize(
    "address", ["plotter", "plotter:", ":9100", "plotter:0", "plotter:99999", "plotter:²"]
)
def test_an_address_needs_host_and_port(address: str) -> None:
    with pytest.raises(ValueError, match="host:port"):
        Link.model_validate({"way": "tcp", "address": address})


def listening() -> socket.socket:
    server = socket.socket()
    server.bind(("127.0.0.1", 0))
    server.listen()
    return server


def test_a_socket_gets_every_byte_once() -> None:
    got = bytearray()
    with listening() as server:

        def take() -> None:
            link, _ = server.accept()
            with link:
                while part := link.recv(1000):
                    got.extend(part)

        taker = threading.Thread(target=take)
        taker.start()
        address = f"127.0.0.1:{server.getsockname()[1]}"
        run = a_run(profile_with(way="tcp", address=address))
        channel = open_channel(run.profile.link, run.name)
        ended = send_bytes(run, channel, flow_of(run.profile.link), Unwatched())
        taker.join()
    assert ended.how is End.FINISHED
    assert ended.confirmed == len(run.data)
    assert bytes(got) == run.data


def test_a_machine_that_does_not_listen_is_told_with_its_place() -> None:
    with listening() as server:
        port = server.getsockname()[1]
    link = Link.model_validate(
        {"way": "tcp", "address": f"127.0.0.1:{port}", "connect_timeout": 0.2}
    )
    with pytest.raises(LinkError, match=f"127.0.0.1:{port}: the machine does not answer"):
        open_channel(link, "job.plt")


def test_what_is_not_sure_after_a_broken_connection_is_named() -> None:
    with listening() as server:

        def take() -> None:
            link, _ = server.accept()
            link.recv(300)
            link.close()

        taker = threading.Thread(target=take)
        taker.start()
        address = f"127.0.0.1:{server.getsockname()[1]}"
        run = a_run(profile_with(way="tcp", address=address, buffer=512), strokes=20_000)
        channel = open_channel(run.profile.link, run.name)
        ended = send_bytes(run, channel, flow_of(run.profile.link), Unwatched())
        taker.join()
    assert ended.how is End.FAULTED
    assert ended.fault is not None
    assert "127.0.0.1" in ended.fault.words
    assert run.stroke_at(299) in ended.in_doubt(run)
    assert "in doubt" in ended.words(run)


@pytest.mark.skipif(sys.platform != "linux", reason="only this system tells what is on its way")
def test_a_queue_thrown_away_is_not_taken_for_an_empty_one() -> None:
    with listening() as server:
        link = Link(way=Way.TCP, address=f"127.0.0.1:{server.getsockname()[1]}")
        channel = open_channel(link, "job.plt")
        far, _ = server.accept()
        for _ in range(40):
            channel.write(b"PD1,1;" * 10_000, 0.01)
        assert channel.pending() > 0
        # Closed with bytes unread, it resets the connection; nothing was read from it since.
        far.close()
        with pytest.raises(LinkError, match="broke"):
            never_empty(channel)
        channel.close()


def never_empty(channel: Channel) -> None:
    until = time.monotonic() + 5
    while time.monotonic() < until:
        assert channel.pending() > 0


def test_a_socket_is_one_programs_alone() -> None:
    with listening() as server:
        place = f"127.0.0.1:{server.getsockname()[1]}"
        link = Link(way=Way.TCP, address=place, connect_timeout=0.1)
        first = open_channel(link, "job.plt")
        with pytest.raises(LinkError, match="another program is sending") as caught:
            open_channel(link, "job.plt")
        assert place in str(caught.value)
        first.close()
        open_channel(link, "job.plt").close()


def test_a_machine_that_is_off_keeps_nobody_out() -> None:
    with listening() as server:
        place = f"127.0.0.1:{server.getsockname()[1]}"
    link = Link(way=Way.TCP, address=place, connect_timeout=0.1)
    for _ in range(2):
        with pytest.raises(LinkError, match="does not answer"):
            open_channel(link, "job.plt")
