"""Paper templates by a pen plotter: the same pages, written for a machine and proved."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from cutpath.delivery import PROOF
from cutpath.errors import MachineError
from cutpath.geometry.biarc import as_arcs
from cutpath.geometry.chain import Chain, opened, polyline
from cutpath.geometry.dashes import dashed
from cutpath.geometry.measure import bounds
from cutpath.geometry.points import as_points
from cutpath.geometry.room import parts_inside
from cutpath.geometry.transform import compose, scaling, transformed, translation
from cutpath.model import Feature, Role, Toolpath
from cutpath.paper.page import STYLES, Page, Stroke, Words
from cutpath.paper.sheets import Sheet
from cutpath.paper.svg import svg_of
from cutpath.path.lettering import lettered
from cutpath.proving import Written, write_and_prove
from cutpath.settings.profile import Profile

_CURVE = 0.005


@dataclass(frozen=True, slots=True, eq=False)
class Plotted:
    """One page as a machine file; ``name`` is without an ending."""

    name: str
    page: Page
    written: Written


def plotter_sheet(profile: Profile, overlap: float) -> Sheet:
    """Give the profile's bed as a sheet of paper.

    Raises MachineError for a machine without a pen.
    """
    if not profile.has_tool_for(Role.PEN):
        raise MachineError(
            f"'{profile.name}' has no pen, and templates are drawn",
            remedy="Choose a machine with a pen, or print the templates: leave --on away.",
        )
    bed = profile.bed
    return Sheet(f"the bed of {profile.name}", bed.width, bed.height, bed.margin, overlap)


def plot_pages(pages: Sequence[Page], profile: Profile) -> tuple[Plotted, ...]:
    """Write every page for the profile's pen, nearest stroke first, and prove it."""
    digits = len(str(len(pages)))
    out = []
    for page in pages:
        strokes = _nearest_first(_strokes(page))
        toolpaths = [
            Toolpath(Role.PEN, Feature.LINE, f"page {page.number}", chain) for chain in strokes
        ]
        written = write_and_prove(toolpaths, profile)
        out.append(Plotted(f"page-{page.number:0{digits}d}", page, written))
    return tuple(out)


def plotted_files(plotted: Sequence[Plotted], profile: Profile) -> tuple[dict[str, bytes], bool]:
    """Give the files, and whether all passed: only then are those for the machine among them."""
    passed = all(each.written.proof.passed for each in plotted)
    files: dict[str, bytes] = {}
    for each in plotted:
        files[f"{each.name}.svg"] = svg_of(each.page).encode("utf-8")
        if passed:
            files[each.name + profile.file_suffix] = each.written.data
    told: dict[str, Any] = {
        "passed": passed,
        "machine": profile.name,
        "files": [
            {
                "file": each.name + profile.file_suffix,
                "time_s": round(each.written.clock.total, 1),
                **each.written.proof.as_dict(),
            }
            for each in plotted
        ],
    }
    files[PROOF] = (json.dumps(told, indent=2, ensure_ascii=False) + "\n").encode("utf-8")
    return files, passed


def _strokes(page: Page) -> list[Chain]:
    middle = (page.width / 2, page.height / 2)
    stretch = compose(
        translation(*middle), scaling(*page.scale), translation(-middle[0], -middle[1])
    )
    out: list[Chain] = []
    for drawing, matrix in ((page.pattern, stretch), (page.frame, None)):
        chains = [part for stroke in drawing.strokes for part in _dashes(stroke)]
        chains += [part for words in drawing.words for part in _lettered(words)]
        moved = chains if matrix is None else [transformed(chain, matrix) for chain in chains]
        out += [part for chain in moved for part in _inside(as_arcs(chain, _CURVE), page)]
    return out


def _dashes(stroke: Stroke) -> tuple[Chain, ...]:
    return dashed(as_arcs(stroke.chain, _CURVE), STYLES[stroke.line][1])


def _lettered(words: Words) -> tuple[Chain, ...]:
    up = 0.36 * words.size * np.array([-np.sin(words.angle), np.cos(words.angle)])
    return lettered([words.text], 0.72 * words.size, words.at + up, words.angle)


def _inside(chain: Chain, page: Page) -> tuple[Chain, ...]:
    x0, y0, x1, y1 = bounds(chain)
    low_x, low_y, high_x, high_y = page.room
    if low_x <= x0 and low_y <= y0 and x1 <= high_x and y1 <= high_y:
        return (chain,)
    corners = [(low_x, low_y), (high_x, low_y), (high_x, high_y), (low_x, high_y)]
    return parts_inside(opened(chain), polyline(corners, closed=True))


def _nearest_first(chains: Sequence[Chain]) -> list[Chain]:
    """Order open strokes so that each begins near the end of the one before."""
    if not chains:
        return []
    starts = as_points([chain.first for chain in chains])
    waiting = np.ones(len(chains), dtype=bool)
    at = np.zeros(2)
    out = []
    for _ in chains:
        gap = np.where(waiting, np.hypot(*(starts - at).T), np.inf)
        index = int(gap.argmin())
        waiting[index] = False
        out.append(chains[index])
        at = chains[index].last
    return out
