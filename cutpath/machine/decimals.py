"""The numbers of an RS274 file: millimetres or inches, as text of so many decimals."""

from __future__ import annotations

from functools import lru_cache

from cutpath.settings.profile import Output

_INCH = 25.4
_RADIUS_MISS = {"mm": 0.0018, "in": 0.00018 * _INCH}
"""mm; the manual's 0.002 mm and 0.0002 in (3.5.3.2), with room for a controller's own rounding."""
_SHORT = 0.02
_SHORT_STEPS = 2


class Numbers:
    """What one file counts in: ``scale`` steps of its last decimal in a millimetre."""

    def __init__(self, output: Output) -> None:
        self.decimals = output.decimals
        self.unit = _INCH if output.units == "in" else 1.0
        self.counts = 10**output.decimals
        self.scale = self.counts / self.unit
        self.radius_miss = _RADIUS_MISS[output.units]
        # On shorter chords rounding could turn an arc's end before its start: a whole turn.
        self.short = max(_SHORT, _SHORT_STEPS / self.scale)
        self.units_word = "G20" if output.units == "in" else "G21"

    def counted(self, steps: int) -> str:
        """Give a whole number of steps as text, all decimals written."""
        return f"{steps / self.counts:.{self.decimals}f}"

    def length(self, mm: float) -> str:
        """Give a length as text."""
        return self.plain(mm / self.unit)

    def plain(self, value: float) -> str:
        """Give a number that is no length, without trailing zeros."""
        text = f"{value:.{self.decimals}f}".rstrip("0").rstrip(".")
        return "0" if text == "-0" else text

    def feed(self, speed: float) -> str:
        """Give the feed word of ``speed`` mm/s, in units a minute."""
        return feed_word(speed / self.unit)


@lru_cache(maxsize=64)
def feed_word(speed: float) -> str:
    """Give the feed word of ``speed``, in what is moved a second: the file counts minutes."""
    return " F" + f"{speed * 60:.4f}".rstrip("0").rstrip(".")
