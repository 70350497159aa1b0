"""How a first job's guesses are told, in its remarks and on the terminal."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutpath.model import EdgeName
from cutpath.start_names import JobNames
from cutpath.walk.guessing import SeamGuess

_KINKED, _CORNER = math.radians(2.0), math.radians(30.0)
"""Between these a turn of the outline across a seam is flagged when the seam is walked."""
_LISTED = 4


def guess_words(guess: SeamGuess, names: JobNames) -> list[str]:
    """Tell how sure a guess is, why, and what else fits."""
    out = [f"{sure_words(guess)}: {', '.join(guess.reasons)}"]
    if guess.rivals:
        out.append(f"as well fit: {_listed(guess.rivals, names)}")
    if guess.copies:
        out.append(f"or, of panels just like these: {_listed(guess.copies, names)}")
    if _KINKED < guess.kink <= _CORNER:
        turn = math.degrees(guess.kink)
        out.append(
            f"the outline turns by {turn:.1f} deg where this seam ends; if it is meant to: "
            f'kink = "{math.ceil(turn):.0f} deg"'
        )
    return out


def sure_words(guess: SeamGuess) -> str:
    """Give how sure a guess is, in words and per cent."""
    share = f"{guess.certainty:.0%}"
    if guess.certainty >= 0.95:
        return f"nearly certain ({share})"
    if guess.certainty >= 0.75:
        return f"likely ({share})"
    return f"perhaps ({share})" if guess.is_likely else f"a question ({share})"


def _listed(edges: Sequence[EdgeName], names: JobNames) -> str:
    more = len(edges) - _LISTED
    listed = ", ".join(names.path(edge) for edge in edges[:_LISTED])
    return f"{listed} and {more} more" if more > 0 else listed
