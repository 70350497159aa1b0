import numpy as np
from hypothesis import given, strategies as st

from cutpath.geometry.neighbours import nearest_few


def _exact(points: np.ndarray, count: int) -> np.ndarray:
    gap = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    np.fill_diagonal(gap, np.inf)
    return np.argsort(gap, axis=1, kind="stable")[:, :count]


def test_nearly_all_true_neighbours_are_found_in_a_cloud_and_in_clusters() -> None:
    rng = np.random.default_rng(7)
    cloud = rng.uniform(0, 3000, (1500, 2))
    clusters = rng.uniform(0, 3000, (30, 2)).repeat(50, axis=0) + rng.normal(0, 5, (1500, 2))
    for points in (cloud, clusters):
        found, exact = nearest_few(points, 8), _exact(points, 8)
        shared = [len(set(a) & set(b)) for a, b in zip(found.tolist(), exact.tolist(), strict=True)]
        assert np.mean(shared) > 0.9 * 8


@given(st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=1, max_size=15))
def test_few_points_all_find_one_another_once_and_nearest_first(
    places: list[tuple[int, int]],
) -> None:
    points = np.array(places, dtype=float)
    found = nearest_few(points, 20)
    assert found.shape == (len(points), len(points) - 1)
    for own, near in enumerate(found.tolist()):
        assert sorted([own, *near]) == list(range(len(points)))
        gaps = np.hypot(*(points[near] - points[own]).T)
        assert (np.diff(gaps) >= 0).all()
