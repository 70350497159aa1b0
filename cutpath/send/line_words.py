"""The numbers that small RS274 controllers answer, in plain words.

From memory of published interface documents of open controllers; numbers that are not in the table
are told as they are.
"""

from __future__ import annotations

from cutpath.send.trouble import Trouble

_OTHER_MACHINE = "The file was made for another controller. Look at the profile's [output]."
_ERRORS: tuple[tuple[int, int, str, str], ...] = (
    (1, 2, "a letter or a number in it cannot be read", "Look at the cable; bytes were garbled."),
    (3, 8, "it is a command that this controller has not, or not now", _OTHER_MACHINE),
    (9, 9, "the controller is locked (alarm)", "Home or unlock it, as its manual says."),
    (10, 10, "soft limits need homing first", "Mend the controller's settings."),
    (11, 11, "the line is too long", "Make longest_line shorter in the profile's [output]."),
    (12, 13, "a setting of the controller or its door switch forbids it", "Look at the machine."),
    (14, 14, "the line is too long", "Make longest_line shorter in the profile's [output]."),
    (15, 15, "the place is beyond the machine's travel", "Look at bed and origin in the profile."),
    (20, 20, "a code in it is not known", _OTHER_MACHINE),
    (21, 21, "two codes of one group stand in one line", _OTHER_MACHINE),
    (22, 22, "no feed was set", "Give every tool a speed in the profile."),
    (23, 31, "its words do not go together", _OTHER_MACHINE),
    (32, 35, "an arc in it cannot be followed", "Write arcs = false in the profile's [output]."),
    (36, 38, "its words do not go together", _OTHER_MACHINE),
)
"""error:n from, to."""
_ALARMS = {
    1: "a limit switch was hit: its position is lost",
    2: "a place beyond its travel was asked: its position is kept",
    3: "it was reset while it moved: its position is lost",
}
_AFTER_ALARM = (
    "Lift the tool by hand, home the machine as its manual says, and look at what was cut."
)


def line_error(number: int | None, line: str) -> tuple[Trouble, str, str]:
    """Give trouble, words and remedy of an error reply to ``line``."""
    words, remedy = "its reply gives no known reason", "Look its number up in the manual."
    for first, last, told, mend in _ERRORS:
        if number is not None and first <= number <= last:
            words, remedy = told, mend
    trouble = Trouble.LOCKED if number == 9 else Trouble.REFUSED
    return trouble, f"the machine refused the line '{line}': {words}", remedy


def alarm(number: int | None) -> tuple[Trouble, str, str]:
    """Give trouble, words and remedy of an alarm."""
    told = _ALARMS.get(number or 0, "it does not say why in words that are known")
    return Trouble.LOCKED, f"the machine locked itself (alarm): {told}", _AFTER_ALARM


def restarted(said: str) -> tuple[Trouble, str, str]:
    """Give trouble, words and remedy of a line that is no reply."""
    return (
        Trouble.RESTARTED,
        f"the machine said '{said}' in the middle of a job: it restarted, or bytes were garbled. "
        "Its position is lost",
        "Lift the tool by hand, home the machine, and look at the cable and the power.",
    )
