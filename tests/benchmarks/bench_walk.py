"""How often a planted fault is found in its place with its cause, and how long seams take.

Run as: python -m tests.benchmarks.bench_walk
"""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import replace

import numpy as np

from cutpath.walk.explaining import explain
from cutpath.walk.walking import walk
from tests.walk.gores import cylinder_gores, seam
from tests.walk.planting import KINDS, planted

PLANTS = 500


def rates(noise: float, tolerance: float) -> None:
    placed, named, count = Counter[str](), Counter[str](), Counter[str]()
    for number in range(PLANTS):
        kind = KINDS[number % len(KINDS)]
        plant = planted(kind, np.random.default_rng(number), noise=noise)
        seams = [
            replace(s, mark_tolerance=tolerance, length_tolerance=(tolerance, 0.0))
            for s in plant.job.seams
        ]
        findings = explain(walk(plant.job.panels, seams))
        here = [finding for finding in findings if finding.seam == plant.letter]
        count[kind] += 1
        placed[kind] += bool(here) and plant.is_placed(here[0])
        named[kind] += bool(here) and here[0].cause in plant.causes
    print(f"tracing noise {noise} mm, tolerance {tolerance} mm")
    for kind in KINDS:
        print(f"  {kind:10} place {placed[kind]}/{count[kind]}  cause {named[kind]}/{count[kind]}")
    print(f"  all        place {placed.total()}/{PLANTS}  cause {named.total()}/{PLANTS}")


def speed() -> None:
    panels = cylinder_gores(401, 700.0, 600.0, 0.5, 200)
    seams = [seam(f"S{k}", f"band {k}.top", f"band {k + 1}.bottom") for k in range(400)]
    begun, worked = time.perf_counter(), time.process_time()
    explain(walk(panels, seams))
    took, cpu = time.perf_counter() - begun, time.process_time() - worked
    print(f"400 seams, 200 vertices an edge: {took:.2f} s, {cpu:.2f} s of processor (aim 3 s)")


if __name__ == "__main__":
    rates(0.0, 0.01)
    rates(0.3, 1.5)
    speed()
