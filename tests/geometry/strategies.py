"""Chains of every kind, for property tests."""

import numpy as np
from hypothesis import strategies as st

from cutpath.geometry.chain import Chain, make_chain

coordinate = st.floats(-2000, 2000).map(lambda value: round(value, 3))
point = st.tuples(coordinate, coordinate)


@st.composite
def chains(draw: st.DrawFn, *, closed: bool | None = None, cubics: bool = True) -> Chain:
    is_closed = draw(st.booleans()) if closed is None else closed
    joints = draw(st.lists(point, min_size=3, max_size=8, unique=True))
    count = len(joints) if is_closed else len(joints) - 1
    kinds = draw(
        st.lists(st.sampled_from("lac" if cubics else "la"), min_size=count, max_size=count)
    )
    bulges = [draw(st.floats(-1, 1)) if kind == "a" else 0.0 for kind in kinds]
    handles = np.full((count, 2, 2), np.nan)
    for index, kind in enumerate(kinds):
        if kind == "c":
            handles[index] = [draw(point), draw(point)]
    return make_chain(joints, bulges, handles, closed=is_closed)
