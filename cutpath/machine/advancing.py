"""The lines that move the cloth on, in the profile's words and the file's own unit.

Totals are rounded and steps taken between rounded totals, so that errors never add up.
"""

from __future__ import annotations

from cutpath.settings.profile import Language, Profile

_INCH = 25.4


class Advancer:
    """Fills in the profile's lines, and remembers how far the cloth was told to go."""

    def __init__(self, profile: Profile) -> None:
        self.lines = profile.advance.lines if profile.advance else ()
        self.scale = profile.compensation.advance_scale
        output = profile.output
        if profile.language is Language.RS274:
            self.decimals = output.decimals
            self.unit = _INCH if output.units == "in" else 1.0
        else:
            self.decimals, self.unit = 0, 1.0 / output.units_per_mm
        self.total = 0.0
        self.told = 0

    def lines_for(self, distance: float) -> list[str]:
        """Give the lines that move the cloth on by ``distance`` mm of its own.

        Raises ValueError where the machine does not move cloth.
        """
        if not self.lines:
            raise ValueError("this machine does not move the cloth")
        self.total += distance
        before = self.told
        self.told = round(self.total / self.scale / self.unit * 10**self.decimals)
        return [
            line.format(advance=self._number(self.told - before), advanced=self._number(self.told))
            for line in self.lines
        ]

    def _number(self, steps: int) -> str:
        return f"{steps / 10**self.decimals:.{self.decimals}f}"
