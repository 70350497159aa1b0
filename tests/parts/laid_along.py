"""What tests of strips along edges share: a panel with a given lower edge, its plan, its job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from cutpath.geometry.chain import Chain, line, polyline
from cutpath.model import Allowance, Corner, Mark, Panel
from cutpath.part_model import Part
from cutpath.settings.job import Job
from cutpath.settings.job_file import JobFile
from cutpath.settings.panel_plan import PanelPlan
from tests.walk.gores import panel_of


def plan_of(panel: Panel, width: float = 12.7) -> PanelPlan:
    """Give a plan with one allowance all round."""
    allowance = Allowance("plain", width, 0.0, Corner.MITRE)
    return PanelPlan(
        job="", panel=panel, allowances=(allowance,) * len(panel.edges),
        corners=(None,) * len(panel.edges), mitre_limit=2.5, cloth="c", cloth_name="c",
        faces_differ=False, face="up", notch_shape=None, notch_depth=None, label_height=8.0,
        pen_folds=False, pen_stitch=False, pen_grain=True,
    )  # fmt: skip


def panel_with(*bottom: Chain, height: float = 900.0) -> Panel:
    """Give a panel whose lower edges are these chains, left to right: "bottom", "bottom 2" …"""
    up = np.array([0.0, height])
    top = [bottom[-1].last + up, bottom[0].first + up]
    lower = {f"bottom {k + 1}" if k else "bottom": chain for k, chain in enumerate(bottom)}
    return panel_of(
        "p",
        {
            **lower,
            "right": line(bottom[-1].last, top[0]),
            "top": polyline(top),
            "left": line(top[1], bottom[0].first),
        },
    )


def job_of(table: str, *entries: Mapping[str, object], cloths: Sequence[str] = ()) -> Job:
    """Give a job with these entries of one table."""
    said = {table: list(entries), "cloths": {name: {} for name in cloths}}
    return Job(JobFile.model_validate(said), Path("x.dxf"))


def in_pair(panel: Panel) -> Panel:
    """Give a panel cut once as drawn and once mirrored."""
    return replace(panel, count=1, mirrored=1)


def number(part: Part, what: str) -> float:
    """Give a number that the part tells of itself."""
    return next(reason.value for reason in part.reasons if reason.what == what)


def marks_on(marks: Sequence[Mark], edge: str) -> dict[str, float]:
    """Give the marks of an edge by name."""
    return {mark.name: mark.station for mark in marks if mark.edge == edge}


def with_panel_marks(panel: Panel, part: Part) -> Panel:
    """Give the panel with the marks that the part leaves on it."""
    added = tuple(mark for each in part.on_panels for mark in each.marks)
    return replace(panel, marks=(*panel.marks, *added))
