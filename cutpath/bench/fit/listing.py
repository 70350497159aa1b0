"""Names in a row, as they are said."""

from __future__ import annotations

from collections.abc import Sequence


def listed(names: Sequence[str], word: str) -> str:
    """Give ``names`` with commas, and ``word`` before the last."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {word} {names[-1]}"
