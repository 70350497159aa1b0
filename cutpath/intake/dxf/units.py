"""What one drawing unit of a DXF file is."""

from __future__ import annotations

import math
from collections.abc import Iterable

from cutpath.errors import InputError, Source
from cutpath.intake.dxf.loading import Loaded
from cutpath.units import unit_factor

_CODES: dict[int, tuple[str, float]] = {
    1: ("in", 25.4), 2: ("ft", 304.8), 3: ("mile", 1_609_344.0), 4: ("mm", 1.0), 5: ("cm", 10.0),
    6: ("m", 1e3), 7: ("km", 1e6), 8: ("microinch", 25.4e-6), 9: ("mil", 0.0254),
    10: ("yd", 914.4), 11: ("ångström", 1e-7), 12: ("nm", 1e-6), 13: ("µm", 1e-3),
    14: ("dm", 100.0), 15: ("dam", 1e4), 16: ("hm", 1e5), 17: ("Gm", 1e12),
    21: ("US survey ft", 1_200_000 / 3937), 22: ("US survey in", 100_000 / 3937),
    23: ("US survey yd", 3_600_000 / 3937), 24: ("US survey mile", 1_200_000 / 3937 * 5280),
}  # fmt: skip
"""$INSUNITS codes, DXF reference; astronomical ones are left out on purpose."""

Box = tuple[float, float, float, float]


def unit_of(loaded: Loaded, wanted: str | None) -> tuple[str, float] | None:
    """Give the unit's words and its mm, as ``wanted`` or as $INSUNITS says; None when neither does.

    $MEASUREMENT only picks line-type files and decides nothing.
    """
    if wanted is not None:
        return wanted, unit_factor(wanted)
    if not loaded.says_unit:
        return None
    return _CODES.get(loaded.document.header.get("$INSUNITS", 0))


def exchange_unit(texts: Iterable[str]) -> tuple[str, float] | None:
    """Give the unit that a pattern-exchange drawing's UNITS text names, if it has one."""
    for text in texts:
        keyword, _, value = text.partition(":")
        if keyword.strip().upper() == "UNITS":
            word = value.strip().upper()
            if word.startswith("ENGLISH"):
                return "in", 25.4
            if word.startswith("METRIC"):
                return "mm", 1.0
    return None


def ask_for_unit(file: str, raw: Box | None) -> InputError:
    """Give the error that asks for the unit, with the drawing's size in both likely ones."""
    size = ""
    if raw is not None and all(math.isfinite(value) for value in raw):
        width, height = raw[2] - raw[0], raw[3] - raw[1]
        size = (
            f"; it is {width:g} × {height:g} units: {width:.0f} × {height:.0f} mm if they are mm, "
            f"{width * 25.4:.0f} × {height * 25.4:.0f} mm if they are inches"
        )
    return InputError(
        f"the drawing does not say its unit{size}",
        Source(file=file),
        'Say it with --units mm (or in, cm, …), or units = "mm" in the job file.',
    )
