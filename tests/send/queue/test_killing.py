"""kill −9 of the sender at random instants: known work done, what is in doubt named, all resumed.

The machine is a process of its own that outlives the sender. Hundreds of kills are tried by
``python -m tests.benchmarks.soak_killing``.
"""

import random
import sys
from pathlib import Path

import pytest

from tests.send.queue.killing import Workshop

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="senders are forked")


@pytest.mark.parametrize(("flow", "kills"), [("plain", 6), ("enquire", 7), ("line reply", 7)])
def test_killed_senders_lose_nothing_and_double_nothing(
    tmp_path: Path, flow: str, kills: int
) -> None:
    with Workshop(tmp_path, flow) as shop:
        verdicts = [shop.trial(random.Random(number)) for number in range(kills)]
    broken = [each for each in verdicts if each.was_begun and each.known < each.strokes]
    assert len(broken) >= kills // 3  # most kills fell into the sending
    if flow == "plain":
        # A plain link's kill is known to the stroke.
        assert max(each.doubtful for each in broken) <= 1
        assert max(each.twice for each in broken) <= 1
