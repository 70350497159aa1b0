"""The numbers that plotters answer, in plain words."""

from __future__ import annotations

from cutpath.send.trouble import MachineFault, Trouble

_FILE = "The file was made for another machine, or bytes were lost. Look at what was cut."
_CABLE = "Look at the cable, and that baud, bits, parity and flow are the machine's."

_PLOTTING = {
    1: (Trouble.REFUSED, "it does not know an instruction", _FILE),
    2: (Trouble.REFUSED, "an instruction had too many or too few numbers", _FILE),
    3: (Trouble.REFUSED, "a number was beyond what it takes", _FILE),
    4: (Trouble.REFUSED, "a character was none of its language", _FILE),
    5: (Trouble.REFUSED, "it has no such lettering", _FILE),
    6: (
        Trouble.REFUSED,
        "a place was beyond the numbers that it can count",
        "Mend largest_number in the profile's [output], and cut the file again.",
    ),
    7: (Trouble.OVERRUN, "more came than it could keep", _CABLE),
    8: (Trouble.LOCKED, "its rollers or its carriage stand open", "Close them at the machine."),
}
"""OE. 1 to 6 by a published table of plotter errors (US Army, TM 5-6675-320-14, table 4-12); 7 and
8 from memory."""
_DEVICE = {
    10: (Trouble.NOISE, "it was asked twice at once", _CABLE),
    11: (Trouble.NOISE, "a device control had a wrong letter", _CABLE),
    12: (Trouble.NOISE, "a device control had a wrong sign", _CABLE),
    13: (Trouble.NOISE, "a device control had a number out of range", _CABLE),
    14: (Trouble.NOISE, "a device control had too many numbers", _CABLE),
    15: (Trouble.NOISE, "characters came garbled", _CABLE),
    16: (Trouble.OVERRUN, "its buffer overflowed: bytes are lost", _CABLE),
}
"""ESC.E; from memory."""
_STATES = (
    (32, "its rollers stand open"),
    (16, "it was paused at its own panel"),
    (8, "it waits with nothing left to do"),
)
"""Bits of ESC.O (HP, 7470A manual, page 10-39)."""


def plotting_error(number: int) -> MachineFault | None:
    """Give what OE's answer means; None for 0."""
    return _fault(_PLOTTING, number, f"error {number} of OE")


def device_error(number: int) -> MachineFault | None:
    """Give what ESC.E's answer means; None for 0."""
    return _fault(_DEVICE, number, f"error {number} of ESC.E")


def device_state(number: int) -> str:
    """Give what ESC.O's answer means."""
    told = [words for bit, words in _STATES if number & bit]
    return " and ".join(told) if told else "it works"


def _fault(
    table: dict[int, tuple[Trouble, str, str]], number: int, said: str
) -> MachineFault | None:
    if number == 0:
        return None
    trouble, words, remedy = table.get(
        number, (Trouble.REFUSED, f"it reports error {number}", "Look it up in its manual.")
    )
    return MachineFault(trouble, words, remedy, said)
