import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.geometry.chain import Chain, joined, make_chain, opened, polyline
from cutpath.geometry.measure import length, points_at_stations, signed_area
from cutpath.geometry.splitting import cut_at, sub_chain
from cutpath.geometry.tidying import merged
from tests.geometry.strategies import chains


@given(chains(), st.lists(st.floats(0.02, 0.98), min_size=1, max_size=4))
def test_parts_add_up_to_the_whole(chain: Chain, shares: list[float]) -> None:
    whole = length(chain)
    parts = cut_at(chain, np.array(shares) * whole)
    assert sum(length(part) for part in parts) == pytest.approx(whole, rel=1e-7)
    again = joined(parts)
    assert again.first == pytest.approx(opened(chain).first)
    assert again.last == pytest.approx(opened(chain).last)


@given(chains(closed=False), st.floats(0.05, 0.4), st.floats(0.5, 0.95))
def test_a_part_lies_on_the_whole(chain: Chain, low: float, high: float) -> None:
    whole = length(chain)
    part = sub_chain(chain, low * whole, high * whole)
    assert length(part) == pytest.approx((high - low) * whole, rel=1e-6)
    middle, _ = points_at_stations(part, np.array([length(part) / 2]))
    there, _ = points_at_stations(chain, np.array([(low + high) / 2 * whole]))
    assert middle == pytest.approx(there, abs=1e-4)


def test_nothing_between_is_an_error() -> None:
    with pytest.raises(ValueError, match="nothing lies"):
        sub_chain(polyline([(0, 0), (10, 0)]), 4, 4)


def test_collinear_and_concentric_segments_merge() -> None:
    square = polyline([(0, 0), (5, 0), (10, 0), (10, 10), (10, 12), (0, 12), (0, 6)], closed=True)
    assert len(merged(square)) == 4
    quarter = np.tan(np.pi / 8)
    arcs = make_chain([(10, 0), (0, 10), (-10, 0)], [quarter, quarter])
    assert merged(arcs).bulges == pytest.approx([1.0])


@given(chains(closed=True))
def test_merging_moves_nothing(chain: Chain) -> None:
    assert length(merged(chain)) == pytest.approx(length(chain), rel=1e-5, abs=1e-2)
    assert signed_area(merged(chain)) == pytest.approx(signed_area(chain), abs=1)
