"""The desk's server: a socket, the application, and its end."""

from __future__ import annotations

import socket
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from cutpath.desk.acts import Desk
from cutpath.desk.app import make_app
from cutpath.desk.entry import OneTimeCode
from cutpath.desk.guard import Door, own_names
from cutpath.desk.patience import PatientProtocol
from cutpath.desk.senders import Senders
from cutpath.errors import InputError, Source
from cutpath.send.queue.queue import Queue

import uvicorn  # isort: skip

Say = Callable[[str], None]
_MOST_CONNECTIONS = 200


@dataclass(frozen=True, slots=True)
class Place:
    """Where the desk is open: ``lan`` for the whole network, with a code; ``port`` 0 for any."""

    port: int
    lan: bool = False


def serve(folder: Path, place: Place, say: Say) -> None:
    """Open the desk on the queue in ``folder`` until Ctrl-C; ``say`` prints a line.

    Raises InputError where the port is taken.
    """
    with _socket(place) as listening, Queue(folder) as queue:
        port = listening.getsockname()[1]
        name = socket.gethostname()
        names = own_names((name, f"{name}.local") if place.lan else ())
        senders = Senders(folder)
        code = OneTimeCode(lambda words: say(f"Code for the next device: {words}"))
        app = make_app(Desk(queue, senders), Door(port, names, place.lan), code)
        server = uvicorn.Server(
            uvicorn.Config(
                app, log_level="critical", access_log=False, server_header=False,
                proxy_headers=False, limit_concurrency=_MOST_CONNECTIONS, timeout_keep_alive=20,
                timeout_graceful_shutdown=2, h11_max_incomplete_event_size=16_384, ws="none",
                http=PatientProtocol,
            )
        )  # fmt: skip
        say(f"The desk: http://{_own_address() if place.lan else '127.0.0.1'}:{port}/")
        say("It is not an emergency stop. Ctrl-C closes it; senders end after their jobs.")
        if place.lan:
            say("Everybody in this network can reach it; what is sent is not encrypted.")
            code.renew()
        try:
            server.run(sockets=[listening])
        finally:
            for lane in senders.close():
                say(f"The sender of '{lane}' is at work; it ends when its job has.")


def _socket(place: Place) -> socket.socket:
    # The protocol is said so that the server sees TCP and sends small answers at once.
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind(("0.0.0.0" if place.lan else "127.0.0.1", place.port))
        listening.listen(128)
    except OSError as error:
        listening.close()
        raise InputError(
            f"the desk cannot be opened on port {place.port}: {error.strerror or error}",
            Source(key="--port"),
            "Is another desk open? Choose another port with --port.",
        ) from error
    return listening


def _own_address() -> str:
    """Give this machine's address in its network, without sending anything."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address for documentation (RFC 5737)
            return str(probe.getsockname()[0])
        except OSError:
            return socket.gethostname()
