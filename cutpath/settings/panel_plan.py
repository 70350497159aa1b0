"""A panel with all that the job decides about it: what the path stage works from."""

from __future__ import annotations

from dataclasses import dataclass

from cutpath.model import Allowance, Corner, NotchShape, Panel


@dataclass(frozen=True, slots=True, eq=False)
class PanelPlan:
    """One panel and how it is to be cut.

    ``allowances[i]`` belongs to ``panel.edges[i]``; ``corners[i]`` says how edge i meets the one
    before it, None leaving it to the two finishes. ``cloth`` is the job's word for it (pieces of
    one cloth are cut together), ``cloth_name`` what people call it. ``notch_shape`` and
    ``notch_depth`` None leave it to the machine's profile. ``label_height`` 0 asks for no label.
    ``pen_folds``, ``pen_stitch`` and ``pen_grain`` ask for those lines by pen. ``keep_level`` names
    the mark that lies level with those of other panels, along the roll. ``snips`` opens inward
    bends of allowances and ``vees`` takes bulk from outward ones; ``both_faces`` drills marks so
    that the back shows them. Lengths in mm.
    """

    job: str
    panel: Panel
    allowances: tuple[Allowance, ...]
    corners: tuple[Corner | None, ...]
    mitre_limit: float
    cloth: str
    cloth_name: str
    faces_differ: bool
    face: str
    notch_shape: NotchShape | None
    notch_depth: float | None
    label_height: float
    pen_folds: bool
    pen_stitch: bool
    pen_grain: bool
    keep_level: str | None = None
    snips: bool = False
    vees: bool = False
    both_faces: bool = False
