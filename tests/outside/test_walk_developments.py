"""Cones and cylinders unrolled in closed form fit to 0.01 mm; planted 3 mm faults are found.

Developments: a cone unrolls to a sector of its slant radius (descriptive geometry); a plane cuts a
cylinder in an ellipse, which unrolls to a sinusoid, so the seam is as long as the ellipse's arc
(Legendre's incomplete integral of the second kind).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ellipeinc

from cutpath.geometry.chain import polyline
from cutpath.geometry.points import Floats
from cutpath.model import EdgeName, Seam
from cutpath.seam_report import SeamReport, Verdict, WalkFinding
from cutpath.walk.explaining import explain
from cutpath.walk.walking import walk, walk_seam
from tests.walk.gores import cone_gores, cylinder_gores, panel_of, seam
from tests.walk.planting import KINDS, Plant, planted, sound_job

FINE = 0.01  # mm
PLANTS = 70


def fine(joint: Seam, tolerance: float = FINE) -> Seam:
    return replace(joint, mark_tolerance=tolerance, length_tolerance=(tolerance, 0.0))


def test_gores_of_a_truncated_cone_fit() -> None:
    low, high, slope = 700.0, 2300.0, math.radians(24)
    gores = cone_gores(8, low, high, slope)
    joints = [
        fine(seam("A", f"gore {k}/right", f"gore {(k + 1) % 8}/left", kink_limit=1e-9))
        for k in range(8)
    ]
    for report in walk(gores, joints):
        assert report.verdict is Verdict.FITS
        assert report.first_length == pytest.approx(high - low)
        assert all(end.runs_on for end in report.ends)
        assert report.shape.gap < 1e-9


def spiral(rho: Floats, turn: float, start: float) -> Floats:
    return np.column_stack([rho * np.cos(start + turn * rho), rho * np.sin(start + turn * rho)])


def test_a_cone_cut_in_twisted_gores_fits_though_the_vertices_differ() -> None:
    # Seams φ = φ0 + c ρ on the development are Archimedean spirals, of length
    # [cρ √(1 + c²ρ²) + asinh(cρ)] / 2c between the rims (calculus).
    turn = 0.0006
    one, other = np.linspace(600, 2400, 1500), np.linspace(600, 2400, 1801)
    left, right = spiral(one, turn, 0.0), spiral(other, turn, 0.5)[::-1]
    sides = {
        "right": polyline(left),
        "rim": polyline([left[-1], right[0]]),
        "left": polyline(right),
        "crown": polyline([right[-1], left[0]]),
    }
    report = walk_seam(
        panel_of("one", sides),
        panel_of("other", sides),
        fine(seam("A", "one/right", "other/left")),
        sewn={EdgeName("one", "rim"), EdgeName("one", "crown")},
    )
    x = turn * np.array([600.0, 2400.0])
    low, high = (x * np.sqrt(1 + x * x) + np.arcsinh(x)) / (2 * turn)
    assert report.verdict is Verdict.FITS
    assert report.first_length == pytest.approx(high - low, abs=FINE)
    assert report.shape.gap < FINE


@pytest.mark.parametrize("tilt", [0.2, 0.6, 0.9])
def test_bands_of_an_obliquely_cut_cylinder_fit(tilt: float) -> None:
    radius = 800.0
    coarse = cylinder_gores(2, radius, 600.0, tilt, 1500)
    dense = cylinder_gores(3, radius, 600.0, tilt, 2500)
    panels = {"band 0": coarse["band 0"], "band 1": dense["band 1"]}
    joint = fine(seam("A", "band 0/top", "band 1/bottom", kink_limit=math.radians(0.1)))
    report = walk(panels, [joint])[0]
    # The ellipse has semi-axes r / cos(tilt) and r; from u on, the eccentric angle is u + 90°.
    long, m = radius / math.cos(tilt), math.sin(tilt) ** 2
    arc = long * (ellipeinc(2.4 + math.pi / 2, m) - ellipeinc(0.3 + math.pi / 2, m))
    assert report.first_length == pytest.approx(arc, abs=FINE)
    assert report.verdict is Verdict.FITS
    assert report.shape.gap < FINE


@pytest.mark.parametrize("seed", range(20))
def test_nothing_is_found_on_sound_jobs(seed: int) -> None:
    job = sound_job(np.random.default_rng(seed))
    assert explain(walk(job.panels, [fine(joint) for joint in job.seams])) == ()
    traced = sound_job(np.random.default_rng(seed), noise=0.3)
    assert explain(walk(traced.panels, traced.seams)) == ()


@pytest.fixture(scope="module", params=[0.0, 0.3], ids=["exact", "traced"])
def plants(request: pytest.FixtureRequest) -> list[tuple[Plant, str, tuple[WalkFinding, ...]]]:
    """Give plants with what was found; traced by hand, the workshop's tolerance holds."""
    noise = float(request.param)
    out = []
    for number in range(PLANTS):
        kind = KINDS[number % len(KINDS)]
        plant = planted(kind, np.random.default_rng(number), noise=noise)
        joints = [fine(joint, 1.5 if noise else FINE) for joint in plant.job.seams]
        out.append((plant, kind, explain(walk(plant.job.panels, joints))))
    return out


def at(plant: Plant, findings: tuple[WalkFinding, ...]) -> WalkFinding:
    return next(finding for finding in findings if finding.seam == plant.letter)


def test_every_planted_fault_is_found_in_its_place(
    plants: list[tuple[Plant, str, tuple[WalkFinding, ...]]],
) -> None:
    lost = [(kind, at(p, found)) for p, kind, found in plants if not p.is_placed(at(p, found))]
    assert not lost


def test_nearly_every_planted_fault_is_given_its_cause(
    plants: list[tuple[Plant, str, tuple[WalkFinding, ...]]],
) -> None:
    right = [at(plant, found).cause in plant.causes for plant, _, found in plants]
    assert sum(right) >= 0.95 * len(right)


def test_a_fault_of_one_edge_is_told_once(
    plants: list[tuple[Plant, str, tuple[WalkFinding, ...]]],
) -> None:
    for _, kind, found in plants:
        if kind not in {"mirrored", "drawing"}:
            assert len(found) == 1, kind


def test_the_report_holds_what_the_picture_needs(
    plants: list[tuple[Plant, str, tuple[WalkFinding, ...]]],
) -> None:
    plant, _, _ = plants[0]
    for report in walk(plant.job.panels, plant.job.seams):
        assert_consistent(report)


def assert_consistent(report: SeamReport) -> None:
    assert sum(i.first for i in report.intervals) == pytest.approx(report.first_length)
    assert sum(i.second for i in report.intervals) == pytest.approx(report.second_length)
    assert sum(i.difference for i in report.intervals) == pytest.approx(report.difference, abs=1e-9)
    assert len(report.intervals) == len(report.marks) + 1
