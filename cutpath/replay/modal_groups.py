"""Which codes exclude each other on one line (NISTIR 6556, table 4), and which are understood."""

from __future__ import annotations

from cutpath.replay.gcode_words import Block
from cutpath.replay.view import refuse_at

MOTION = {0, 10, 20, 30, 800}
USES_AXES = {920}
FLAT_ONLY = {180, 190}
UNKNOWABLE = {
    100: "writes the machine's own offsets",
    280: "goes to a place kept in the machine",
    300: "goes to a place kept in the machine",
    430: "uses a tool length kept in the machine",
    410: "leaves the path by a tool radius",
    420: "leaves the path by a tool radius",
    382: "ends where a probe touches",
}

# G codes in tenths.
_G_GROUPS = [
    {40, 100, 280, 300, 530, 920, 921, 922, 923},
    MOTION | {382} | set(range(810, 900, 10)),
    {170, 180, 190},
    {900, 910},
    {930, 940},
    {200, 210},
    {400, 410, 420},
    {430, 490},
    {980, 990},
    {540, 550, 560, 570, 580, 590, 591, 592, 593},
    {610, 611, 640},
]
_M_GROUPS = [{0, 1, 2, 30, 60}, {6}, {3, 4, 5}, {7, 9}, {8, 9}, {48, 49}]
_KNOWN_G = set().union(*_G_GROUPS)
_KNOWN_M = set().union(*_M_GROUPS)


def check_groups(block: Block, own_m: set[int]) -> None:
    """Refuse codes that are unknown or exclude each other; ``own_m`` are the machine's own M codes.

    Raises InputError with the line.
    """
    for code in block.g:
        _check_g(code, block.line)
    for code in block.m:
        if code not in _KNOWN_M | own_m:
            refuse_at(f"M{code} is not understood", block.line)
    for codes, groups, letter in ((block.g, _G_GROUPS, "G"), (block.m, _M_GROUPS, "M")):
        if any(sum(code in group for code in codes) > 1 for group in groups):
            refuse_at(f"two {letter} codes of one group on one line", block.line)
    if USES_AXES & set(block.g) and (MOTION - {800}) & set(block.g):
        refuse_at("G92 and a move would both use the axis words", block.line)


def _check_g(code: int, line: int) -> None:
    name = f"G{code / 10:g}"
    if code not in _KNOWN_G or code in range(810, 900, 10):
        refuse_at(f"{name} is not understood", line)
    if code in UNKNOWABLE:
        refuse_at(f"{name} {UNKNOWABLE[code]}, so it cannot be replayed", line)
    if code in FLAT_ONLY:
        refuse_at(f"{name}: only the plane XY (G17) cuts cloth", line)
