"""Chains as SVG path data, y turned to point down."""

from __future__ import annotations

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import arc_geometry


def number(value: float) -> str:
    """Write ``value`` with at most two decimals and no minus zero."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def path_data(chain: Chain, height: float) -> str:
    """Give ``chain`` as path data with y measured down from ``height`` mm."""
    starts, ends = chain.starts.tolist(), chain.ends.tolist()
    radii = arc_geometry(chain)[1].tolist()
    bulges, cubic = chain.bulges.tolist(), chain.is_cubic.tolist()
    first = starts[0]
    words = [f"M{number(first[0])} {number(height - first[1])}"]
    for index, (x, y) in enumerate(ends):
        place = f"{number(x)} {number(height - y)}"
        if bulges[index]:
            # Turned upside down, a counter-clockwise arc (positive bulge) has sweep flag 0.
            flag = 0 if bulges[index] > 0 else 1
            wide = 1 if abs(bulges[index]) > 1 else 0
            radius = number(radii[index])
            words.append(f"A{radius} {radius} 0 {wide} {flag} {place}")
        elif cubic[index]:
            inner = np.asarray(chain.handles[index]).tolist()
            handles = " ".join(f"{number(hx)} {number(height - hy)}" for hx, hy in inner)
            words.append(f"C{handles} {place}")
        else:
            words.append(f"L{place}")
    return "".join(words) + ("Z" if chain.closed else "")
