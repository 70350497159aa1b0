"""The best rigid motion against scipy's orthogonal Procrustes and Kabsch."""

import numpy as np
import pytest
from hypothesis import given, strategies as st
from scipy.linalg import orthogonal_procrustes
from scipy.spatial.transform import Rotation

from cutpath.geometry.alignment import best_motion, gaps_after
from cutpath.geometry.transform import compose, rotation, scaling, translation

seeds = st.integers(0, 2**32 - 1)


@given(seeds, st.integers(3, 60), st.booleans())
def test_the_motion_is_the_best_of_both_hands_by_scipy(seed: int, count: int, flip: bool) -> None:
    rng = np.random.default_rng(seed)
    moving = rng.normal(0, 500, (count, 2)) + rng.normal(0, 3000, 2)
    true = compose(translation(70, -20), rotation(rng.uniform(-3, 3)), scaling(1, 1 - 2 * flip))
    fixed = moving @ true[:, :2].T + true[:, 2] + rng.normal(0, 20, (count, 2))
    centred = moving - moving.mean(axis=0), fixed - fixed.mean(axis=0)
    best, _ = orthogonal_procrustes(*centred)  # free to turn over
    expected = np.sum((centred[0] @ best - centred[1]) ** 2)
    sums = [
        np.sum(gaps_after(moving, fixed, best_motion(moving, fixed, mirrored=face)) ** 2)
        for face in (False, True)
    ]
    assert min(sums) == pytest.approx(expected, rel=1e-9)


@given(seeds, st.integers(2, 60))
def test_the_turn_is_that_of_kabsch_by_scipy(seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    moving, fixed = rng.normal(0, 500, (2, count, 2))
    a, b = (np.pad(p - p.mean(axis=0), ((0, 0), (0, 1))) for p in (moving, fixed))
    # Heavy axis points hold the third axis up, so that scipy's turn in space stays in the plane.
    up = np.array([[0.0, 0.0, 1e6]])
    turn, _ = Rotation.align_vectors(np.vstack([b, up]), np.vstack([a, up]))
    motion = best_motion(moving, fixed)
    assert motion[:, :2] == pytest.approx(turn.as_matrix()[:2, :2], abs=1e-6)


@given(seeds, st.integers(2, 40), st.booleans())
def test_a_rigid_motion_is_found_again(seed: int, count: int, flip: bool) -> None:
    rng = np.random.default_rng(seed)
    moving = rng.normal(0, 500, (count, 2))
    true = compose(translation(9, 5), rotation(rng.uniform(-3, 3)), scaling(1, 1 - 2 * flip))
    fixed = moving @ true[:, :2].T + true[:, 2]
    motion = best_motion(moving, fixed, mirrored=flip)
    assert motion == pytest.approx(true, abs=1e-6) or count == 2
    assert gaps_after(moving, fixed, motion).max() < 1e-8


def test_counts_must_agree() -> None:
    with pytest.raises(ValueError, match="as many"):
        best_motion(np.zeros((2, 2)), np.zeros((3, 2)))
