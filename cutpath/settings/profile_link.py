"""What a machine's profile says about the way to the machine, and how it asks for patience.

Flow control by HP, "7470A Graphics Plotter Interfacing and Programming Manual" (Xon/Xoff, hardware,
enquire and acknowledge, buffer-space query), and by the interface documents of small RS274
controllers (a reply to each line).
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal, Self

from pydantic import Field, model_validator

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

    @model_validator(mode="after")
    def _is_one_way(self) -> Self:
        if self.way is not Way.SERIAL and self.flow is Flow.HARDWARE:
            raise ValueError("only a serial port has lines for it. Choose another flow")
        if self.way is Way.FOLDER and self.flow is not Flow.PLAIN:
            raise ValueError("a folder answers nothing. Leave out flow, or choose another way")
        if self.block > self.buffer:
            raise ValueError("a block is larger than the buffer. Make block smaller")
        return self
