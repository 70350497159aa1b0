"""The walk over an SVG's elements: what is drawn, where it lies and what it is called."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain
from cutpath.geometry.transform import compose, moved_points, translation
from cutpath.intake.svg.layers import Layers
from cutpath.intake.svg.ledger import Ledger
from cutpath.intake.svg.lettering import words_of
from cutpath.intake.svg.markup import Node
from cutpath.intake.svg.outline import XY
from cutpath.intake.svg.page import Page
from cutpath.intake.svg.place import Place, inherited, place_inside
from cutpath.intake.svg.placing import placed
from cutpath.intake.svg.reuse import Reuse, href_of
from cutpath.intake.svg.shapes import SHAPES, Said
from cutpath.intake.svg.styles import Styles
from cutpath.intake.svg.titles import inner_point
from cutpath.intake.svg.transforms import parse_transform
from cutpath.intake.svg.viewport import nested_viewport, with_size
from cutpath.model import Curve, Text

_DEEPEST = 100
_UNREAD = {"image", "foreignObject"}
_DRAWN = {"g", "a", "svg", "switch", "use", "text", *SHAPES}
"""What may be met; all else (defs, clipPath, marker, pattern …) draws nothing itself."""


def walk(root: Node, styles: Styles, page: Page, ledger: Ledger) -> None:
    """Enter all that ``root`` shows into ``ledger``.

    Raises InputError for what makes no sense: lengths and transforms that are none, `use`s that
    use themselves or multiply without measure.
    """
    for selector, sheet in styles.left_out:
        ledger.tell(sheet, f"the style rule '{selector}' is not understood and left out")
    _Walk(root, styles, ledger).begin(root, page)


class _Walk:
    def __init__(self, root: Node, styles: Styles, ledger: Ledger) -> None:
        self._styles = styles
        self._ledger = ledger
        self._reuse = Reuse(root)

    def begin(self, root: Node, page: Page) -> None:
        declared = self._styles.declared(root)
        if declared.get("transform"):
            self._ledger.tell(root, "the transform of the outermost svg is not applied")
        place = Place(page.to_mm, page.ruler, Layers())
        self._children(root, inherited(place, declared))

    def _visit(self, node: Node, place: Place) -> None:
        if place.depth > _DEEPEST:
            raise InputError(
                f"elements are nested more than {_DEEPEST} deep, counting what is used",
                self._source(node, place),
                "Ungroup the drawing.",
            )
        if node.name in _UNREAD:
            self._ledger.pass_over(node, node.name)
        if node.name not in _DRAWN:
            return
        declared = self._styles.declared(node)
        if declared.get("display", "").strip() == "none":
            self._ledger.hide(node)
            return
        try:
            inner = place_inside(node, declared, place, self._ledger)
            if inner is not None:
                self._draw(node, declared, inner)
        except ValueError as error:
            raise InputError(
                f"{error}", self._source(node, place), "Mend it in the drawing."
            ) from None

    def _draw(self, node: Node, declared: Mapping[str, str], place: Place) -> None:
        if node.name in SHAPES:
            self._shape(node, declared, place)
        elif node.name == "text":
            self._text(node, place)
        elif node.name == "use":
            self._use(node, declared, place)
        elif node.name == "svg":
            self._viewport(node, declared, place)
        elif node.name == "switch":
            for child in _chosen(node):
                self._visit(child, place)
        else:
            self._children(node, place)

    def _children(self, node: Node, place: Place) -> None:
        for child in node.children:
            self._visit(child, place)

    def _shape(self, node: Node, declared: Mapping[str, str], place: Place) -> None:
        if not place.is_visible:
            self._ledger.hide(node)
            return
        drawn = SHAPES[node.name](Said(declared, place.ruler))
        source = self._source(node, place)
        chains = [placed(outline, place.matrix) for outline in drawn.outlines]
        for number, chain in enumerate(chains, 1):
            part = f", part {number}" if len(chains) > 1 else ""
            entity = source.entity + part
            where = Source(source.file, source.layer, entity, _begin(chain), source.line)
            self._ledger.curves.append(Curve(chain, where))
        if drawn.fault:
            what = "what comes before is read" if chains else "nothing of it is read"
            self._ledger.tell_at(
                replace(source, xy=_begin(chains[-1]) if chains else None),
                f"a mistake in its data: {drawn.fault}; {what}",
                "Mend it, or draw it again.",
            )
        self._title(node, chains, source, place)

    def _title(self, node: Node, chains: list[Chain], source: Source, place: Place) -> None:
        """Read a closed shape's ``title`` as a text inside it."""
        title = next((child for child in node.children if child.name == "title"), None)
        words = " ".join(title.words().split()) if title else ""
        loops = [chain for chain in chains if chain.closed]
        if words and loops:
            height = place.ruler.font_size * place.scale
            self._ledger.texts.append(Text(words, inner_point(loops), height, source))

    def _text(self, node: Node, place: Place) -> None:
        words = words_of(node, self._styles, place.ruler)
        if words is None:
            return
        if not place.is_visible:
            self._ledger.hide(node)
            return
        at = moved_points(np.array([self._along(node, place) or words.at]), place.matrix)[0]
        if not np.isfinite(at).all():
            raise ValueError("its position is not finite")
        source = replace(self._source(node, place), xy=(float(at[0]), float(at[1])))
        height = words.size * place.scale
        self._ledger.texts.append(Text(words.text, at, height, source))

    def _along(self, text: Node, place: Place) -> XY | None:
        """Give the beginning of the path that a ``text`` follows, in the text's units."""
        follower = next((node for node in text.within() if node.name == "textPath"), None)
        path = self._reuse.target(follower) if follower is not None else None
        if path is None or path.name not in SHAPES:
            return None
        declared = self._styles.declared(path)
        outlines = SHAPES[path.name](Said(declared, place.ruler)).outlines
        if not outlines:
            return None
        own = parse_transform(declared.get("transform", ""), place.ruler)
        x, y = own @ [*outlines[0].points[0], 1.0]
        return float(x), float(y)

    def _use(self, node: Node, declared: Mapping[str, str], place: Place) -> None:
        target = self._reuse.target(node)
        if target is None:
            href = href_of(node)
            self._ledger.tell(node, f"it uses '{href}', which is not in this drawing; nothing read")
            return
        if target in place.used or _holds(target, node):
            raise InputError(
                "it uses itself", self._source(node, place), "Take the `use` out of what it uses."
            )
        said = Said(declared, place.ruler)
        shift = translation(said.length("x", "x"), said.length("y", "y"))
        inner = replace(
            place,
            matrix=compose(place.matrix, shift),
            used=(*place.used, target),
            user=place.user or node.entity,
        )
        if target.name not in {"symbol", "svg"}:
            self._visit(target, inner)
            return
        sized_target = with_size(self._styles.declared(target), declared)
        if sized_target.get("display", "").strip() == "none":
            self._ledger.hide(target)
            return
        laid = place_inside(target, sized_target, inner, self._ledger)
        if laid is not None:
            self._viewport(target, sized_target, laid)

    def _viewport(self, node: Node, declared: Mapping[str, str], place: Place) -> None:
        nested = nested_viewport(Said(declared, place.ruler))
        if nested is not None:
            matrix, ruler = nested
            inside = replace(place, matrix=compose(place.matrix, matrix), ruler=ruler)
            self._children(node, inside)

    def _source(self, node: Node, place: Place) -> Source:
        entity = f"{node.entity} in {place.user}" if place.user else node.entity
        return Source(self._ledger.file, place.layers.name, entity, line=node.line)


def _chosen(switch: Node) -> list[Node]:
    """Give the child that applies; where none does, what cannot be read, to be told."""
    unread = [child for child in switch.children if child.name in _UNREAD]
    return [child for child in switch.children if _applies(child)][:1] or unread


def _applies(node: Node) -> bool:
    """Tell whether a child of a ``switch`` is chosen: no extension asked for, English or any.

    A foreignObject never is, so that what the drawing gives in its stead is read.
    """
    if node.name not in _DRAWN and node.name != "image":
        return False
    if node.attributes.get("requiredExtensions") is not None:
        return False
    languages = node.attributes.get("systemLanguage")
    if languages is None:
        return True
    return any(word.strip().lower().split("-")[0] == "en" for word in languages.split(","))


def _holds(outer: Node, inner: Node) -> bool:
    at: Node | None = inner
    while at is not None and at is not outer:
        at = at.parent
    return at is outer


def _begin(chain: Chain) -> tuple[float, float]:
    return float(chain.points[0, 0]), float(chain.points[0, 1])
