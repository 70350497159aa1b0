"""The right word for a wrong one."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

_MOST_LISTED = 40


def nearest_word(word: str, known: Iterable[str]) -> str:
    """Give a remedy: the known word that looks most like ``word``, if any, and what there is."""
    names = list(dict.fromkeys(known))
    if not names:
        return ""
    listed = ", ".join(names[:_MOST_LISTED])
    if len(names) > _MOST_LISTED:
        listed += f" and {len(names) - _MOST_LISTED} more"
    by_folded = {name.casefold(): name for name in names}
    near = difflib.get_close_matches(word.casefold(), by_folded, n=1, cutoff=0.5)
    guess = f"Did you mean '{by_folded[near[0]]}'? " if near else ""
    return f"{guess}Known here: {listed}."
