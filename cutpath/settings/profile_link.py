"""What a machine's profile says about the way to the machine, and how it asks for patience.

Flow control by HP, "7470A Graphics Plotter Interfacing and Programming Manual" (Xon/Xoff, hardware,
enquire and acknowledge, buffer-space query), and by the interface documents of small RS274
controllers (a reply to each line).
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal, Self

from pydantic import Field, field_validator, model_validator

from cutpath.settings.quantities import Seconds
from cutpath.settings.toml_file import Settings


class Way(StrEnum):
    """How bytes reach the machine."""

    FOLDER = "folder"
    TCP = "tcp"
    SERIAL = "serial"


class Flow(StrEnum):
    """How the machine tells that it can take more."""

    PLAIN = "plain"
    XON_XOFF = "xon-xoff"
    HARDWARE = "hardware"
    ENQUIRE = "enquire"
    SPACE = "buffer space"
    LINE_REPLY = "line reply"


class Link(Settings):
    """The way to the machine."""

    way: Way = Way.FOLDER
    folder: str = Field("", description="the folder that the machine watches")
    address: str = Field("", description='tcp: "host:port"')
    port: str = Field("", description='serial: the port\'s name, "/dev/ttyUSB0" or "COM3"')
    baud: int = Field(9600, ge=50, le=4_000_000, strict=True, description="serial: bits a second")
    bits: Literal[7, 8] = Field(8, description="serial: bits a character")
    parity: Literal["none", "even", "odd"] = Field("none", description="serial")
    stop_bits: Literal[1, 2] = Field(1, description="serial")
    flow: Flow = Flow.PLAIN
    buffer: int = Field(
        1024, ge=16, le=2**30, strict=True, description="bytes that the machine's own buffer holds"
    )
    block: int = Field(
        80, ge=1, le=2**20, strict=True, description="bytes sent at a time, by enquire or space"
    )
    timeout: Seconds = Field(30.0, gt=0, description="longest wait for the machine to take more")
    connect_timeout: Seconds = Field(5.0, gt=0, description="longest wait for the link to open")
    keep_alive: Seconds = Field(
        10.0, ge=1, description="tcp: a silent link is asked so often whether it still stands"
    )
    prepare: tuple[str, ...] = Field(
        (), description='sent before the file; ESC stands for that sign: "ESC.I81;5;6:"'
    )
    enquiry: int = Field(5, ge=0, le=127, strict=True, description="enquire: the sign that asks")
    acknowledge: int = Field(
        6, ge=0, le=127, strict=True, description="enquire: the sign that grants a block"
    )
    greeting: str = Field(
        "", description="line reply: part of what the machine says when it has started"
    )
    status: bool = Field(
        True, description="line reply: it answers ? with its state, and ! makes it stand"
    )
    ahead: int = Field(
        32, ge=1, le=100_000, strict=True, description="line reply: lines it holds after its ok"
    )

    @model_validator(mode="after")
    def _is_one_way(self) -> Self:
        if self.way is Way.TCP and self.flow in {Flow.HARDWARE, Flow.XON_XOFF}:
            # Over TCP Xoff would come too late: whole kilobytes are under way.
            raise ValueError(f'{self.flow} is for serial ports. Over TCP write flow = "plain"')
        if self.block > self.buffer:
            raise ValueError("a block is larger than the buffer. Make block smaller")
        if self.enquiry == self.acknowledge:
            raise ValueError("enquiry and acknowledge are the same sign. Change one")
        return self

    @model_validator(mode="after")
    def _has_a_place(self) -> Self:
        if self.way is Way.TCP:
            split_address(self.address)
        if self.way is Way.SERIAL and not self.port:
            raise ValueError('a serial link needs its port: port = "/dev/ttyUSB0" or "COM3"')
        return self

    @field_validator("prepare")
    @classmethod
    def _can_be_sent(cls, lines: tuple[str, ...]) -> tuple[str, ...]:
        for line in lines:
            if not line.isascii() or not line.isprintable():
                raise ValueError(f"'{line}' cannot be sent. Use plain ASCII; write ESC for escape")
        return lines


def split_address(address: str) -> tuple[str, int]:
    """Give host and port of "host:port" or "[v6]:port". Raises ValueError with its mend."""
    host, colon, port = address.rpartition(":")
    plain = host.removeprefix("[").removesuffix("]") if host.startswith("[") else host
    digits = port.isascii() and port.isdigit()
    if not colon or not plain or not digits or not 0 < int(port) < 65_536:
        raise ValueError(
            f"'{address}' is no host and port. "
            'Write address = "host:port" with a port up to 65535, such as "192.0.2.40:9100"'
        )
    return plain, int(port)
