"""How long the healing of loose segments in random order takes; run it by hand.

Wanted: near-linear, 200,000 segments in a few seconds. The last column is the time against that
of the row before, divided by n · log n: 1 is near-linear.
"""

import math
import random
import time

import numpy as np

from cutpath.errors import Source
from cutpath.geometry.chain import arc, line
from cutpath.intake.healing import heal
from cutpath.model import Curve


def rings(count: int, *, shake: float = 0.0, arcs: bool = False) -> list[Curve]:
    """Make rings of 100 segments apart from each other, shuffled and half of them reversed."""
    rng, noise = random.Random(1), np.random.default_rng(1)
    angle = 2 * math.pi * np.arange(101) / 100
    shape = 100 * np.column_stack([np.cos(angle), np.sin(angle)])
    drawn: list[Curve] = []
    for ring in range(count // 100):
        center = np.array([ring % 50 * 300.0, ring // 50 * 300.0])
        points = shape + center
        for k in range(100):
            ends = points[[k, k + 1]] + noise.uniform(-shake, shake, (2, 2))
            ends = ends[::-1] if rng.random() < 0.5 else ends
            part = arc(center, 100, angle[k], angle[1]) if arcs else line(*ends)
            drawn.append(Curve(part, Source(entity=f"LINE {len(drawn)}")))
    rng.shuffle(drawn)
    return drawn


def main() -> None:
    """Print a table."""
    kinds = {
        "lines that meet": {},
        "lines that miss by 0.03 mm": {"shake": 0.03},
        "arcs": {"arcs": True},
    }
    print(f"{'':28}{'segments':>10}{'loops':>8}{'seconds':>10}{'per n log n':>13}")
    for name, options in kinds.items():
        before = 0.0
        for count in (20_000, 50_000, 100_000, 200_000):
            drawn = rings(count, **options)  # type: ignore[arg-type]
            begun = time.process_time()
            found, _ = heal(drawn)
            taken = time.process_time() - begun
            share = taken / (count * math.log(count))
            ratio = f"{share / before:13.2f}" if before else f"{'':>13}"
            before = share
            print(f"{name:28}{count:10,}{len(found.loops):8,}{taken:10.2f}{ratio}")


if __name__ == "__main__":
    main()
