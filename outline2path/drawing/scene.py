"""Scene: the tree of a document -> the figures it draws, in painting order.

The walk follows SVG 2 chapters 5, 7 and 8 (from memory): groups, links and switches are entered;
`use` draws a copy; symbols and inner `svg` make viewports that clip; definitions are never drawn
by themselves; what is not displayed, not visible or of no opacity is left out. Every element
that cannot be honoured (text, images, masks, filters, markers) becomes a note with what to do.
The walk keeps its own stack, counts copies, and finds circles, so a small file cannot make a
large one.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.drawing.clipping import ClipReader
from outline2path.drawing.figures import Element, Figure
from outline2path.drawing.lines import hull_bounds
from outline2path.drawing.notes import Notes
from outline2path.drawing.paint import is_light, opacity_of
from outline2path.drawing.painting import note_effects, painted, pen_of
from outline2path.drawing.placing import Place, enter, length_of, own_value
from outline2path.drawing.shapes import SHAPES, curves_of
from outline2path.drawing.transforms import IDENTITY, Affine, compose
from outline2path.drawing.viewport import fit_view, parse_view_box
from outline2path.errors import DrawingError

if TYPE_CHECKING:
    from outline2path.drawing.curves import Curves
    from outline2path.drawing.document import Document, Node
    from outline2path.drawing.figures import FillRule
    from outline2path.drawing.limits import Limits

__all__ = ["walk"]

_GROUPS = frozenset({"g", "a", "switch"})
_DRAWN = SHAPES | _GROUPS | {"svg", "use", "text", "image", "foreignObject"}
_QUIET = frozenset(
    [
        "defs",
        "symbol",
        "marker",
        "mask",
        "clipPath",
        "pattern",
        "linearGradient",
        "radialGradient",
        "meshgradient",
        "meshGradient",
        "solidColor",
        "hatch",
        "style",
        "title",
        "desc",
        "metadata",
        "filter",
        "view",
        "script",
        "cursor",
        "font",
        "font-face",
        "color-profile",
        "animate",
        "animateMotion",
        "animateTransform",
        "animateColor",
        "set",
        "discard",
        "stop",
    ]
)
_MESSAGES = {
    "text": ("text-skipped", "text is not read", "convert text to paths in the drawing program"),
    "image": ("image-skipped", "a picture is not read", "trace it to paths first"),
    "foreignObject": ("foreign-skipped", "foreign content is not read", "draw it as paths"),
}
_FARTHEST_PX = 1e7


def walk(
    document: Document,
    place: Place,
    notes: Notes,
    *,
    limits: Limits,
    languages: tuple[str, ...] = ("en",),
) -> tuple[tuple[Figure, ...], NDArray[np.float64]]:
    """Return the figures of a document, in painting order, and bounds they cannot leave.

    The bounds are in CSS pixels: least x, least y, greatest x, greatest y, shape (n, 4).

    Parameters
    ----------
    document : Document
        With its styles applied.
    place : Place
        The page: matrix from the root's user units to CSS pixels, and what lengths lean on.
    notes : Notes
        Takes what must be told.
    limits : Limits
        Bounds.
    languages : tuple of str
        For `systemLanguage`, most wanted first.

    Raises
    ------
    DrawingError
        When a limit is passed.
    """
    walker = _Walker(document, notes, limits, languages)
    walker.run(document.root, place)
    return tuple(walker.figures), walker.bounds


class _Walker:
    def __init__(
        self, document: Document, notes: Notes, limits: Limits, languages: tuple[str, ...]
    ) -> None:
        self.by_id = document.by_id
        self.root = document.root
        self.notes = notes
        self.limits = limits
        self.languages = languages
        self.figures: list[Figure] = []
        self.bounds = np.zeros((0, 4))
        self.segments = 0
        self.visited = 0
        self._elements: dict[int, Element] = {}
        self._clips = ClipReader(self)

    def run(self, root: Node, place: Place) -> None:
        stack = [(root, place)]
        while stack:
            node, here = stack.pop()
            self.count(node, here)
            inner = self._visit(node, here)
            if inner:
                stack.extend(reversed(inner))
        self.bounds = self._leave_out_far()
        self._clips.finish(self.figures)

    def _leave_out_far(self) -> NDArray[np.float64]:
        """Leave out figures farther away than any page is wide; return bounds of the rest."""
        bounds = hull_bounds(self.figures)
        if -_FARTHEST_PX < bounds.min(initial=0.0) <= bounds.max(initial=0.0) < _FARTHEST_PX:
            return bounds
        reach = np.abs(bounds).max(axis=1, initial=0.0)
        near = reach < _FARTHEST_PX
        for k in np.flatnonzero(~near)[::-1].tolist():
            figure = self.figures.pop(k)
            self.notes.add(
                "too-far",
                "warning",
                f"{figure.element}: it reaches {reach[k]:.3g} px away; it was left out",
                remedy="look for a number with too many digits in it or in a transform around it",
            )
        return np.asarray(bounds[near])

    def count(self, node: Node, place: Place) -> None:
        """Keep the walk bounded."""
        self.visited += 1
        if self.visited > self.limits.drawn:
            raise DrawingError(
                f"{node}: the drawing repeats itself into more than {self.limits.drawn} elements",
                value=self.visited,
                limit=self.limits.drawn,
                remedy="take out copies of copies, or raise the limit drawn",
            )
        if place.depth > self.limits.depth:
            raise DrawingError(
                f"{node}: copies stand inside copies more than {self.limits.depth} deep",
                value=place.depth,
                limit=self.limits.depth,
                remedy="ungroup the drawing, or raise the limit depth",
            )

    def shown(self, node: Node) -> bool:
        """Whether an element and its contents are drawn at all."""
        rules = node.rules
        if rules:
            if rules.get("display", "").strip() == "none":
                return False
            if "opacity" in rules and opacity_of(rules["opacity"]) == 0:
                return False
        return self.allowed(node)

    def _speaks(self, text: str) -> bool:
        wanted = [w.strip().lower() for w in text.split(",")]
        return any(
            w == known or w.startswith(f"{known}-")
            for w in wanted
            for known in (x.lower() for x in self.languages)
        )

    def _visit(self, node: Node, place: Place) -> list[tuple[Node, Place]]:
        """Draw a shape, or return the contents of anything else."""
        name = node.name
        if not name or name in _QUIET or not self.shown(node):
            return []
        if name in SHAPES:
            self._shape(node, place)
            return []
        if name in _MESSAGES:
            code, what, remedy = _MESSAGES[name]
            self.notes.add(code, "warning", f"{node}: {what}", remedy=remedy)
            return []
        if name == "svg":
            return self._viewport(node, place)
        if name == "use":
            return self._use(node, place)
        if name not in _GROUPS:
            self.notes.add(
                "unknown-element", "warning", f"{node}: not an SVG shape; it was left out"
            )
            return []
        inner = self._enter(node, place)
        return [(child, inner) for child in self._children(node)] if inner else []

    def _children(self, node: Node) -> list[Node]:
        if node.name != "switch":
            return node.children
        return [c for c in node.children if c.name in _DRAWN and self.allowed(c)][:1]

    def allowed(self, node: Node) -> bool:
        """Whether the conditions an element states are met."""
        attrib = node.attrib
        if "systemLanguage" in attrib and not self._speaks(attrib["systemLanguage"]):
            return False
        return not attrib.get("requiredExtensions", "").strip()

    def _enter(self, node: Node, place: Place) -> Place | None:
        """Place inside a group; None where its clip path leaves nothing."""
        inner = enter(node, place, self.notes)
        clips = self._clips.of(node, inner)
        if clips is None:
            return None
        note_effects(node, inner.style, self.notes)
        return replace(
            inner,
            clips=inner.clips + clips,
            lineage=(*place.lineage, self.element(node)),
            depth=place.depth + 1,
            size=None,
        )

    def element(self, node: Node) -> Element:
        """Return the element as findings and choices know it."""
        known = self._elements.get(id(node))
        if known is None:
            attrib = node.attrib
            known = self._elements[id(node)] = Element(
                name=node.name,
                line=node.line,
                id=attrib.get("id") or None,
                label=attrib.get("*:label") or attrib.get("data-name") or None,
                classes=tuple(attrib.get("class", "").split()),
                is_layer=attrib.get("*:groupmode") == "layer",
            )
        return known

    def _viewport(self, node: Node, place: Place) -> list[tuple[Node, Place]]:
        """Contents of an `svg` or `symbol` with its own view."""
        inner = self._enter(node, place)
        if inner is not None and node is not self.root:
            inner = self._view(node, inner, place)
        return [] if inner is None else [(child, inner) for child in node.children]

    def _view(self, node: Node, outer: Place, place: Place) -> Place | None:
        """Place inside an inner viewport: moved, clipped and scaled; None where it has no area."""
        wide, high = place.size or (None, None)
        w = self._extent(node, "width", wide, place)
        h = self._extent(node, "height", high, place)
        if w <= 0 or h <= 0:
            return None
        matrix = compose(outer.matrix, self._corner(node, outer))
        clips = outer.clips
        if _overflow(node) not in ("visible", "auto"):
            clips = (*clips, self._clips.rectangle(w, h, matrix))
        box = parse_view_box(node.attrib.get("viewBox"))
        if box:
            view = fit_view((w, h), box, node.attrib.get("preserveAspectRatio"))
            matrix, w, h = compose(matrix, view), box[2], box[3]
        basis = replace(outer.basis, width=w, height=h)
        return replace(outer, matrix=matrix, clips=clips, basis=basis)

    def _corner(self, node: Node, place: Place) -> Affine:
        """Move to the x and y that an inner `svg` or a `use` gives; a symbol has none."""
        if node.name == "symbol":
            return IDENTITY
        x = length_of(node, "x", "x", place.basis, notes=self.notes) or 0.0
        y = length_of(node, "y", "y", place.basis, notes=self.notes) or 0.0
        return (1.0, 0.0, 0.0, 1.0, x, y)

    def _extent(self, node: Node, key: str, given: str | None, place: Place) -> float:
        """Width or height of an inner viewport: from the `use`, from itself, or all there is."""
        along = "x" if key == "width" else "y"
        whole = place.basis.width if along == "x" else place.basis.height
        if given is not None:
            copy = replace_attribute(node, key, given)
            value = length_of(copy, key, along, place.basis, notes=self.notes)
        elif node.name == "symbol":
            value = None
        else:
            value = length_of(node, key, along, place.basis, notes=self.notes)
        return whole if value is None else value

    def _use(self, node: Node, place: Place) -> list[tuple[Node, Place]]:
        """Return the element a `use` copies, placed where the copy stands."""
        target = self.target(node, place)
        inner = self._enter(node, place) if target is not None else None
        if target is None or inner is None:
            return []
        inner = replace(
            inner,
            matrix=compose(inner.matrix, self._corner(node, inner)),
            uses=(*place.uses, id(target)),
            style={
                **inner.style,
                "context-fill": inner.style.get("fill", "black"),
                "context-stroke": inner.style.get("stroke", "none"),
            },
            size=(own_value(node, "width"), own_value(node, "height")),
        )
        if target.name == "symbol":
            self.count(target, inner)
            return self._viewport(target, inner)
        return [(target, inner)]

    def target(self, node: Node, place: Place) -> Node | None:
        """Return what a `use` refers to; None, with a note, where there is none to draw."""
        link = (node.attrib.get("href") or node.attrib.get("xlink:href") or "").strip()
        target = self.by_id.get(link[1:]) if link.startswith("#") else None
        if target is None:
            what = "is in another file" if link and link[0] != "#" else "is not in the drawing"
            self.notes.add(
                "use-missing",
                "warning",
                f"{node}: what it copies, {link[:60]!r}, {what}; it was left out",
                remedy="copy the original into the drawing",
            )
            return None
        above: Node | None = node
        while above is not None and above is not target:
            above = above.parent
        if above is not None or id(target) in place.uses:
            self.notes.add("use-circle", "warning", f"{node}: it copies itself; it was left out")
            return None
        return target

    def _shape(self, node: Node, place: Place) -> None:
        """Add the figure of one shape, where it is painted."""
        here = enter(node, place, self.notes)
        style = here.style
        if style.get("visibility", "visible").strip() in ("hidden", "collapse"):
            return
        fill = painted(node, style, "fill", self.by_id, notes=self.notes)
        stroke = painted(node, style, "stroke", self.by_id, notes=self.notes)
        pen = pen_of(node, style, here.basis, stroke, notes=self.notes)
        if not fill.visible and pen is None:
            return
        clips = self._clips.of(node, here)
        curves = None if clips is None else self._curves(node, here)
        if curves is None or clips is None:
            return
        note_effects(node, style, self.notes)
        self.figures.append(
            Figure(
                curves=curves,
                matrix=here.matrix,
                rule=_rule(here, "fill-rule"),
                fill=(fill.colour or fill.kind) if fill.visible else None,
                light=is_light(fill.colour) and fill.alpha > 0.5,
                stroke_colour=(stroke.colour or stroke.kind) if pen else None,
                stroke=pen,
                clips=here.clips + clips,
                lineage=(*place.lineage, self.element(node)),
            )
        )

    def figure(self, node: Node, here: Place, *, rule: str = "fill-rule") -> Figure | None:
        """Curves of a shape under its matrix, filled; None where nothing is left to draw."""
        curves = self._curves(node, here)
        if curves is None:
            return None
        return Figure(curves=curves, matrix=here.matrix, rule=_rule(here, rule))

    def _curves(self, node: Node, here: Place) -> Curves | None:
        """Curves of a shape; None where nothing is left to draw."""
        curves, note = curves_of(
            node.name,
            lambda key: self._data(node, key),
            lambda key, along: length_of(node, key, along, here.basis, notes=self.notes),
            most=self.limits.segments,
        )
        if note:
            self.notes.add("bad-shape", "warning", f"{node}: {note}", remedy="mend it there")
        if not len(curves.rows):
            return None
        self.segments += len(curves.rows)
        if self.segments > self.limits.segments:
            raise DrawingError(
                f"{node}: the drawing holds more than {self.limits.segments} lines and curves",
                value=self.segments,
                limit=self.limits.segments,
                remedy="simplify it, or raise the limit segments",
            )
        return curves

    def _data(self, node: Node, key: str) -> str | None:
        """Path data or points; `d` may also stand in a style, as path("...")."""
        text = own_value(node, key)
        if key == "d" and text and text.lstrip().startswith("path("):
            return text.strip()[5:-1].strip().strip("\"'")
        return text


def _rule(place: Place, key: str) -> FillRule:
    """Return the fill rule that holds at a place, by `fill-rule` or `clip-rule`."""
    return "evenodd" if place.style.get(key, "nonzero").strip() == "evenodd" else "nonzero"


def _overflow(node: Node) -> str:
    """Return whether an inner viewport clips; `inherit` takes the word of the element around."""
    value = (node.rules or {}).get("overflow", "hidden").strip()
    if value == "inherit" and node.parent is not None:
        return (node.parent.rules or {}).get("overflow", "visible").strip()
    return value


def replace_attribute(node: Node, key: str, value: str) -> Node:
    """Return a copy of a node with one attribute set, as a `use` sets the size of a viewport."""
    return replace(node, attrib={**node.attrib, key: value}, rules=None)
