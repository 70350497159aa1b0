"""Opening the way that a profile says."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

from cutpath.errors import InputError
from cutpath.send.channel import Channel, LinkError
from cutpath.send.folder import FolderChannel
from cutpath.send.tcp import TcpChannel
from cutpath.settings.profile import Link, Way, split_address

_AGAIN = 0.5
"""Seconds between attempts to open. Before the first byte, trying again harms nothing."""


def open_channel(link: Link, name: str) -> Channel:
    """Open the way to the machine for a file called ``name``.

    Tries again until ``connect_timeout`` is over. Raises InputError for a profile without a link,
    LinkError when the way does not open.
    """
    require_link(link)
    end = time.monotonic() + link.connect_timeout
    while True:
        try:
            return _OPENERS[link.way](link, name)
        except LinkError:
            if time.monotonic() + _AGAIN >= end or link.way is Way.FOLDER:
                raise
        time.sleep(_AGAIN)


def require_link(link: Link) -> None:
    """Raise InputError for a profile that does not say how its machine is reached."""
    if link.way is Way.FOLDER and not link.folder:
        raise InputError(
            "the profile does not say how the machine is reached",
            remedy='Add a table [link] with way = "folder" and folder, "tcp" and address, '
            'or "serial" and port.',
        )


def _open_folder(link: Link, name: str) -> Channel:
    return FolderChannel(Path(link.folder).expanduser(), name)


def _open_tcp(link: Link, _name: str) -> Channel:
    host, port = split_address(link.address)
    return TcpChannel(host, port, link.connect_timeout, link.keep_alive)


def _open_serial(link: Link, _name: str) -> Channel:
    from cutpath.send.serial_port import SerialChannel  # noqa: PLC0415 (only where one is used)

    return SerialChannel(link)


_OPENERS: dict[Way, Callable[[Link, str], Channel]] = {
    Way.FOLDER: _open_folder,
    Way.TCP: _open_tcp,
    Way.SERIAL: _open_serial,
}
