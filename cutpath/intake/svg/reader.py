"""One SVG file to a Drawing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from cutpath.errors import InputError, reading
from cutpath.intake.svg.ledger import Ledger
from cutpath.intake.svg.markup import parse_markup
from cutpath.intake.svg.page import lay_page
from cutpath.intake.svg.styles import Styles
from cutpath.intake.svg.walking import walk
from cutpath.model import Drawing, Finding


def read_svg(path: Path, units: str | None = None) -> tuple[Drawing, tuple[Finding, ...]]:
    """Read the outlines and texts of an SVG in mm, y up from the page's lower edge.

    ``units`` None: a px is 1/96 in, as CSS has it; "px72", "px90": so many px to the inch; "mm",
    "in" …: what one user unit stands for, where the drawing does not say its size in the world.
    Raises InputError for a file that cannot be read, is not SVG or holds what makes no sense.
    """
    with reading(path.name):
        try:
            data = path.read_bytes()
        except OSError as error:
            raise InputError(
                f"it cannot be read: {error.strerror}", remedy="Check the name and the rights."
            ) from None
        root = parse_markup(data)
        styles = Styles(root)
        page = lay_page(root, styles.declared(root), units)
        ledger = Ledger(path.name)
        walk(root, styles, page, ledger)
    findings = tuple(
        replace(finding, source=replace(finding.source, file=path.name))
        for finding in (*page.findings, *ledger.findings)
    )
    drawing = Drawing(path.name, page.unit, tuple(ledger.curves), (), tuple(ledger.texts), facts={})
    return drawing, findings
