"""Progress of long work on the terminal: one line, and only where somebody watches."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

_BEFORE_FIRST = 1.0
_BETWEEN = 0.2


@contextmanager
def showing() -> Iterator[Callable[[str, int, int], None]]:
    """Give a function that tells progress on the error stream once work lasts over a second."""
    stream = sys.stderr
    if not stream.isatty():
        yield lambda _what, _done, _whole: None
        return
    began = told = time.monotonic()
    widest = 0

    def tell(what: str, done: int, whole: int) -> None:
        nonlocal told, widest
        now = time.monotonic()
        if now - began < _BEFORE_FIRST or now - told < _BETWEEN:
            return
        told = now
        words = f"{what} {done} of {whole}" if whole > 1 else f"{what} …"
        widest = max(widest, len(words))
        stream.write("\r" + words.ljust(widest))
        stream.flush()

    try:
        yield tell
    finally:
        if widest:
            stream.write("\r" + " " * widest + "\r")
            stream.flush()
