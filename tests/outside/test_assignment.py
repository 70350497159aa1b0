"""The matching of edges against other solvers.

Where the edges fall into two sets the best matching is the assignment problem: SciPy's
linear_sum_assignment (D. F. Crouse, IEEE Trans. Aerospace and Electronic Systems 52, 2016). Where
they don't, every matching of a small graph is tried.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from hypothesis import given, settings, strategies as st
from scipy.optimize import linear_sum_assignment

from cutpath.walk.guessing import best_matching

Weights = dict[tuple[int, int], int]


def total(weights: Mapping[tuple[int, int], int], pairs: list[tuple[int, int]]) -> int:
    used = [edge for pair in pairs for edge in pair]
    assert len(used) == len(set(used))
    return sum(weights[pair] for pair in pairs)


@given(st.integers(0, 10**6), st.integers(1, 12), st.integers(1, 12), st.floats(0.1, 1.0))
@settings(max_examples=150, deadline=None)
def test_two_sets_of_edges_are_assigned_as_well_as_by_scipy(
    seed: int, rows: int, columns: int, density: float
) -> None:
    rng = np.random.default_rng(seed)
    table = rng.integers(1, 50, (rows, columns)) * (rng.random((rows, columns)) < density)
    weights = {
        (int(i), rows + int(j)): int(table[i, j]) for i, j in zip(*table.nonzero(), strict=True)
    }
    own = total(weights, best_matching(weights))
    # A pair that is not there weighs nothing, like leaving both free.
    assert own == table[linear_sum_assignment(table, maximize=True)].sum()


def best_by_trying(weights: Weights, free: frozenset[int]) -> int:
    if not free:
        return 0
    edge, rest = min(free), free - {min(free)}
    return max(
        best_by_trying(weights, rest),
        *(
            weights[edge, other] + best_by_trying(weights, rest - {other})
            for other in rest
            if (edge, other) in weights
        ),
        0,
    )


@given(st.dictionaries(
    st.tuples(st.integers(0, 8), st.integers(0, 8)).filter(lambda pair: pair[0] < pair[1]),
    st.integers(1, 30), max_size=24,
))  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_edges_in_odd_rings_are_matched_as_well_as_can_be(weights: Weights) -> None:
    assert total(weights, best_matching(weights)) == best_by_trying(weights, frozenset(range(9)))
