"""Random lines on machines of random faults, written, read back and proved; run it by hand.

Wanted: every proof passes; without a blade that trails, what happens lies within 0.002 mm, or the
numbers' rounding, of what was asked.
"""

import math
import sys
from typing import Any

import numpy as np

from cutpath.errors import MachineError
from cutpath.geometry.chain import Chain, make_chain
from cutpath.model import Feature, Role, Toolpath
from cutpath.proving import write_and_prove
from cutpath.settings.profile import Compensation, Profile
from cutpath.settings.profile_check import smallest_step
from tests.machine.test_cuts import failing, machine

BLADES: dict[str, dict[str, Any]] = {
    "upright": {"lift_angle": "30 deg"},
    "trailing": {"blade_offset": 0.5, "overcut": 1},
    "turned": {"turned": True, "lift_angle": "40 deg"},
}
CASES = [
    ("rs274", "upright"), ("rs274", "turned"), ("rs274", "trailing"),
    ("hp-gl", "upright"), ("hp-gl", "trailing"), ("hp-gl/2", "upright"),
]  # fmt: skip


def line_of(rng: np.random.Generator) -> Chain:
    """Lines and arcs of 4 to 90 mm, open or closed."""
    count = int(rng.integers(2, 9))
    angles = np.cumsum(rng.uniform(-2.0, 2.0, count)) + rng.uniform(0, 7)
    steps = rng.uniform(4, 90, count)[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    corners = rng.uniform((600, 400), (1400, 600)) + np.cumsum(steps, axis=0)
    bulges = np.where(rng.random(count) < 0.5, 0.0, rng.uniform(-0.9, 0.9, count))
    if count > 2 and rng.random() < 0.5:
        return make_chain(corners, bulges, closed=True)
    return make_chain(corners, bulges[:-1])


def faults_of(rng: np.random.Generator) -> Compensation:
    """Some of all faults, each as likely there as not."""
    values = {
        "x_scale": rng.uniform(0.99, 1.01),
        "y_scale": rng.uniform(0.99, 1.01),
        "skew": f"{rng.uniform(-1, 1):.4f} deg",
        "x_backlash": rng.uniform(0.03, 0.8),
        "y_backlash": rng.uniform(0.03, 0.8),
    }
    return Compensation.model_validate({k: v for k, v in values.items() if rng.random() < 0.6})


def profile_of(language: str, blade: str, rng: np.random.Generator) -> Profile:
    """A machine with faults and one knife, which lands beside its carriage."""
    motion = {"turning_axis": "A"} if blade == "turned" else {}
    said = machine(language, motion, **BLADES[blade])
    offset = tuple(float(mm) for mm in rng.uniform(-30, 30, 2))
    tools = {name: tool.model_copy(update={"offset": offset}) for name, tool in said.tools.items()}
    output = said.output.model_copy(update={"largest_number": 2**30 - 1})
    return said.model_copy(
        update={"compensation": faults_of(rng), "tools": tools, "output": output}
    )


def main() -> None:
    """Print the worst of each kind; give a number of runs to change 200."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    for number, (language, blade) in enumerate(CASES):
        rng = np.random.default_rng(100 + number)
        worst, bad, off = 0.0, 0, 0
        for run in range(runs):
            said = profile_of(language, blade, rng)
            paths = [
                Toolpath(Role.KNIFE, Feature.LINE, f"p{k}", line_of(rng))
                for k in range(int(rng.integers(1, 5)))
            ]
            try:
                written = write_and_prove(paths, said)
            except MachineError:  # it does not lie on the bed
                off += 1
                continue
            deviation = written.proof.compared[0].deviation
            # Both ends of a chord and both numbers of a place are rounded.
            allowed = 0.002 + 1.5 * smallest_step(said) + (0.0 if language == "rs274" else 0.01)
            if not written.proof.passed or (blade != "trailing" and deviation > allowed):
                bad += 1
                print(f"{language} {blade} run {run}: {deviation:.4f} {failing(written)}")
            worst = max(worst, deviation if math.isfinite(deviation) else 0.0)
        done = f"{runs - off:>6} runs, {off} off the bed"
        print(f"{language:8}{blade:10}{done}, worst {worst:.4f} mm, {bad} bad", flush=True)


if __name__ == "__main__":
    main()
