"""Compensation of blade and faults, arc fitting, emission, replay and proof; run it by hand.

Wanted: 1,000,000 input segments in 60 s and 1.5 GB, growing no faster than their number; and five
times fewer blocks than straight segments at 0.02 mm.
"""

import resource
import sys
import time
from collections.abc import Callable, Sequence
from typing import TypeVar

import numpy as np

from cutpath.geometry.arc_fitting import fit_arcs
from cutpath.geometry.chain import Chain, circle, make_chain, polyline
from cutpath.geometry.flatten import flatten
from cutpath.machine.clock import machine_time
from cutpath.machine.compensating import compensated
from cutpath.machine.emission import emit
from cutpath.machine.motion import moves_for
from cutpath.model import Toolpath
from cutpath.moves import Follow
from cutpath.proving import write_and_prove
from cutpath.settings.profile import Compensation, Language, Profile, load_profile
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


def with_faults(profile: Profile) -> Profile:
    """The same machine stretched, leaning and with play in both axes, and all of it compensated."""
    faults = Compensation(
        x_scale=1.002, y_scale=0.999, skew="0.1 deg", x_backlash="0.2 mm", y_backlash="0.15 mm"
    )
    return profile.model_copy(update={"compensation": faults})


def staged(paths: Sequence[Toolpath], profile: Profile) -> tuple[int, str]:
    """Give the number of blocks, and the time of each stage before the proof."""
    moves, plan = timed(lambda: moves_for(paths, profile))
    told, tell = timed(lambda: compensated(moves, profile))
    _, out = timed(lambda: emit(told, profile))
    _, clock = timed(lambda: machine_time(told, profile))
    blocks = sum(len(move.chain) for move in told if isinstance(move, Follow))
    return blocks, f"{plan:>7.1f}{tell:>7.1f}{out:>7.1f}{clock:>7.1f}"


def measured(profile: Profile, count: int) -> str:
    """Give one row of the table."""
    paths = outlines(count // 1000, 1000, 60)
    blocks, times = staged(paths, profile)
    written, whole = timed(lambda: write_and_prove(paths, profile))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    verdict = "" if written.proof.passed else "  NOT PASSED"
    return f"{count:>10,}{blocks:>9,}{times}{whole:>11.1f}{peak:>6.0f}{verdict}"


def curved_panels() -> dict[str, Chain]:
    """Panels whose outlines are circles or cubics, as a drawing has them."""
    rng = np.random.default_rng(5)
    panels = {f"circle of radius {radius} mm": circle((700, 700), radius) for radius in (60, 600)}
    square = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    for width, height, bow in ((600, 400, 25), (1600, 900, 60)):
        corners = square * (width, height)
        side = np.roll(corners, -1, axis=0) - corners
        out = bow * np.stack([side[:, 1], -side[:, 0]], axis=1) / np.hypot(*side.T)[:, None]
        # Fuller towards one end, as a panel over a bowed frame is.
        handles = np.stack([corners + side * 0.3 + out, corners + side * 0.7 + out * 1.6], axis=1)
        panels[f"bowed, {width} by {height} mm"] = make_chain(corners, None, handles, closed=True)
    for size in (200, 800):
        angles = np.linspace(0, 2 * np.pi, 9)[:-1]
        radii = size * rng.uniform(0.7, 1.0, 8)
        corners = 900 + radii[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
        along = (np.roll(corners, -1, axis=0) - np.roll(corners, 1, axis=0)) / 6
        handles = np.stack(
            [corners + along, np.roll(corners, -1, axis=0) - np.roll(along, -1, axis=0)], axis=1
        )
        panels[f"winding, {2 * size} mm across"] = make_chain(corners, None, handles, closed=True)
    return panels


def fewer(name: str, panel: Chain, tolerance: float) -> str:
    """Give one row: straight segments within ``tolerance``, and blocks of a file that keeps it."""
    straight = len(flatten(panel, tolerance).owner)
    # As a digitiser or another program gives it: many short sides, a quarter of the tolerance off.
    digitised = polyline(flatten(panel, tolerance / 4).points, closed=True)
    arcs = len(fit_arcs([digitised], tolerance)[0])
    return f"{name:26}{straight:>9}{arcs:>8}{straight / arcs:>8.1f}"


def main() -> None:
    """Print tables; give a number of segments to change 1,000,000, and a profile to take one."""
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    names = sys.argv[2:] or ["flatbed-hpgl", "gantry-rs274"]
    print(f"{'panel':26}{'straight':>9}{'blocks':>8}{'ratio':>8}")
    for name, panel in curved_panels().items():
        print(fewer(name, panel, 0.02))
    head = f"{'profile':24}{'segments':>10}{'blocks':>9}{'plan':>7}{'tell':>7}{'emit':>7}"
    print(f"{head}{'clock':>7}{'all+proof':>11}{'MB':>6}")
    for name in names:
        plain = fitted(name.removesuffix("+faults"), 0.02)
        profile = with_faults(plain) if name.endswith("+faults") else plain
        for count in dict.fromkeys((min(most, 100_000), most)):
            print(f"{name:24}{measured(profile, count)}", flush=True)


if __name__ == "__main__":
    main()
