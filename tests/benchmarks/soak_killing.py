"""Kill senders at random instants, resume, and judge by what the machine did; run it by hand.

``python -m tests.benchmarks.soak_killing [KILLS] [SEED]``: 510 kills over three kinds of links by
default. Any loss, doubling or unnamed doubt ends it with an error.
"""

import random
import sys
import tempfile
import time
from pathlib import Path

from tests.send.queue.killing import Workshop


def main() -> None:
    """Print what the kills came to."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 510
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    for flow in ("plain", "enquire", "line reply"):
        begun = time.perf_counter()
        with tempfile.TemporaryDirectory() as folder, Workshop(Path(folder), flow) as shop:
            verdicts = [shop.trial(random.Random(seed + number)) for number in range(kills // 3)]
        broken = [each for each in verdicts if each.was_begun and each.known < each.strokes]
        doubtful = [each.doubtful for each in broken]
        print(
            f"{flow:12} {len(verdicts)} kills, {len(broken)} of them amid a job; strokes in doubt "
            f"{sum(doubtful) / max(1, len(broken)):.2f} on average, {max(doubtful, default=0)} at "
            f"most; made twice by resuming {sum(each.twice for each in broken)}; "
            f"{time.perf_counter() - begun:.0f} s",
            flush=True,
        )


if __name__ == "__main__":
    main()
