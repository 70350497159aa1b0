"""Compensation, arc fitting, emission, replay and tip proof of many segments; run it by hand.

Wanted: 1,000,000 input segments in 60 s and 1.5 GB, growing no faster than their number; and five
times fewer blocks than straight segments at 0.02 mm.
"""

import math
import resource
import sys
import time
from collections.abc import Callable
from typing import TypeVar

from cutpath.machine.clock import machine_time
from cutpath.machine.emission import emit
from cutpath.machine.motion import moves_for
from cutpath.moves import Follow
from cutpath.proving import write_and_prove
from cutpath.settings.profile import Language, Profile, load_profile
from tests.benchmarks.bench_emission import outlines

T = TypeVar("T")


def timed(work: Callable[[], T]) -> tuple[T, float]:
    """Give what ``work`` gives, and the processor's time, s."""
    begun = time.process_time()
    return work(), time.process_time() - begun


def fitted(name: str, tolerance: float) -> Profile:
    """The profile of this name with curves sent as fewer blocks."""
    profile = load_profile(name)
    arcs = profile.language is not Language.HPGL2
    output = profile.output.model_copy(update={"fit_tolerance": tolerance, "arcs": arcs})
    return profile.model_copy(update={"output": output})


def measured(profile: Profile, count: int) -> str:
    """Give one row of the table."""
    paths = outlines(count // 1000, 1000, 60)
    moves, plan = timed(lambda: moves_for(paths, profile))
    _, out = timed(lambda: emit(moves, profile))
    _, clock = timed(lambda: machine_time(moves, profile))
    written, whole = timed(lambda: write_and_prove(paths, profile))
    blocks = sum(len(move.chain) for move in moves if isinstance(move, Follow))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    verdict = "" if written.proof.passed else "  NOT PASSED"
    return (
        f"{count:>10,}{blocks:>9,}{plan:>7.1f}{out:>7.1f}{clock:>7.1f}{whole:>11.1f}{peak:>6.0f}"
        f"{verdict}"
    )


def main() -> None:
    """Print a table; give a number of segments to change 1,000,000."""
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    head = f"{'profile':14}{'segments':>10}{'blocks':>9}{'plan':>7}{'emit':>7}{'clock':>7}"
    print(f"{head}{'all+proof':>11}{'MB':>6}")
    for name in ("flatbed-hpgl", "gantry-rs274"):
        for count in (most // 10, most):
            print(f"{name:14}{measured(fitted(name, 0.02), count)}", flush=True)
    straight = math.ceil(math.pi / math.acos(1 - 0.02 / 60))
    print(f"a circle of 60 mm takes {straight} straight segments at 0.02 mm")


if __name__ == "__main__":
    main()
