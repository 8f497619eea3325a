"""Clipping: the clip paths an element refers to -> figures to intersect with.

A clip path is the union of its children, each by its own clip rule, under the matrix of the
element it clips; it may be clipped itself. Children may be shapes, or copies of one shape. With
`objectBoundingBox` units the children are measured in the box of what is clipped, which is known
only after the walk: `finish` fills those in, and shapes written in a style likewise. An empty
clip path leaves nothing. Rules: CSS Masking 1 (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

import numpy as np

from outline2path.drawing.basicshapes import Box, basic_shape, shape_and_box
from outline2path.drawing.curves import Curves
from outline2path.drawing.figures import Clip, Figure
from outline2path.drawing.flatten import flatten
from outline2path.drawing.placing import Place, enter, length_of
from outline2path.drawing.shapes import SHAPES
from outline2path.drawing.styles import Properties, inherit
from outline2path.drawing.transforms import IDENTITY, Affine, compose, greatest_scale, invert
from outline2path.tolerance import TINY

if TYPE_CHECKING:
    from outline2path.drawing.document import Node
    from outline2path.drawing.notes import Notes

__all__ = ["ClipReader", "page_clip"]

_URL = re.compile(r"\s*url\(\s*[\"']?\s*#([^\"')]*?)\s*[\"']?\s*\)\s*")
_NESTED = 20
_UNIT = (0.0, 0.0, 1.0, 1.0)
_CHILDREN = SHAPES | {"use"}


class Walker(Protocol):
    """What the reader of clip paths needs of the walk."""

    by_id: dict[str, Node]
    notes: Notes

    def count(self, node: Node, place: Place) -> None:
        """Count one visited element."""

    def shown(self, node: Node) -> bool:
        """Whether an element is drawn at all."""

    def target(self, node: Node, place: Place) -> Node | None:
        """Return the element a `use` refers to."""

    def figure(self, node: Node, here: Place, *, rule: str = "fill-rule") -> Figure | None:
        """Curves of one shape."""


def page_clip(size: tuple[float, float], matrix: Affine = IDENTITY) -> Clip:
    """Return the clip of a viewport of this size in user units, under a matrix to the page."""
    w, h = size
    curves = Curves.from_points([[0, 0], [w, 0], [w, h], [0, h]], closed=True)
    return Clip((Figure(curves=curves, matrix=matrix),))


class ClipReader:
    """Reads clip paths for a walk."""

    def __init__(self, walker: Walker) -> None:
        self._walker = walker
        self._boxed: list[tuple[Clip, Place, Callable[[Box], tuple[Figure, ...]]]] = []

    def rectangle(self, w: float, h: float, matrix: Affine) -> Clip:
        """Return the clip of a viewport of w x h user units."""
        return page_clip((w, h), matrix)

    def of(self, node: Node, place: Place, nested: int = 0) -> tuple[Clip, ...] | None:
        """Return the clip paths of an element; None where they leave nothing of it."""
        text = (node.rules or {}).get("clip-path", "none").strip()
        if text in ("none", ""):
            return ()
        if basic_shape(shape_and_box(text)[0], _UNIT, place.basis):
            return (self._basic(text, node, place),)
        target = self._target(node, text, place, nested)
        if target is None:
            return ()
        inside = replace(place, uses=(*place.uses, id(target)))
        over = self.of(target, inside, nested + 1)
        if over is None:
            return None
        clip = Clip(over=over)
        if target.attrib.get("clipPathUnits", "").strip() == "objectBoundingBox":
            self._boxed.append((clip, inside, lambda b: self._in_box(target, inside, b)))
        else:
            clip.figures = self._children(target, inside, nested)
            if not clip.figures:
                return None
        return (clip,)

    def _target(self, node: Node, text: str, place: Place, nested: int) -> Node | None:
        """Return the clip path an element refers to; None, with a note, where there is none."""
        link = _URL.fullmatch(text)
        target = self._walker.by_id.get(link[1]) if link else None
        if target is None or target.name != "clipPath":
            self._walker.notes.add(
                "clip-missing",
                "warning",
                f"{node}: the clip path {text[:60]!r} is not read; nothing was clipped",
                remedy="clip with a clipPath element of the same drawing",
            )
            return None
        if nested > _NESTED or id(target) in place.uses:
            self._walker.notes.add(
                "clip-circle", "warning", f"{node}: its clip path clips itself; not clipped again"
            )
            return None
        return target

    def finish(self, figures: list[Figure]) -> None:
        """Fill in the clip paths that are measured in the box of what they clip."""
        while self._boxed:
            clip, place, made = self._boxed.pop()
            covered = [f for f in figures if clip in f.clips]
            box = _bounds(covered, place.matrix)
            if box is not None:
                clip.figures = made(box)

    def _in_box(self, target: Node, place: Place, box: Box) -> tuple[Figure, ...]:
        """Children of a clip path whose unit is the box of what it clips."""
        x0, y0, x1, y1 = box
        matrix = compose(place.matrix, (x1 - x0, 0.0, 0.0, y1 - y0, x0, y0))
        return self._children(target, replace(place, matrix=matrix), 0)

    def _basic(self, text: str, node: Node, place: Place) -> Clip:
        """Clip of a shape written in the style itself."""
        shape, named = shape_and_box(text)

        def made(box: Box) -> tuple[Figure, ...]:
            found = basic_shape(shape, box, place.basis)
            if found is None or not len(found[0].rows):
                return ()
            return (Figure(curves=found[0], matrix=place.matrix, rule=found[1]),)

        clip = Clip()
        if named == "view-box":
            clip.figures = made((0.0, 0.0, place.basis.width, place.basis.height))
            return clip
        self._boxed.append((clip, place, made))
        if named != "fill-box" and place.style.get("stroke", "none").strip() != "none":
            self._walker.notes.add(
                "clip-box",
                "warning",
                f"{node}: its clip path {text[:60]!r} was measured in what is filled, "
                "without the line around it",
                remedy="clip with a clipPath element of the same drawing",
            )
        return clip

    def _children(self, target: Node, place: Place, nested: int) -> tuple[Figure, ...]:
        above: Properties = {}
        for node in reversed(_ancestors(target)):
            above = inherit(above, node.rules)
        inner = enter(target, replace(place, style=above), self._walker.notes)
        found = []
        for child in target.children:
            self._walker.count(child, inner)
            figure = self._child(child, inner, nested)
            if figure is not None:
                found.append(figure)
        return tuple(found)

    def _child(self, node: Node, place: Place, nested: int) -> Figure | None:
        """Figure of one child of a clip path; None where it adds nothing."""
        walker = self._walker
        if node.name == "text":
            walker.notes.add(
                "text-skipped",
                "warning",
                f"{node}: text in a clip path is not read",
                remedy="convert text to paths in the drawing program",
            )
        if not walker.shown(node) or node.name not in _CHILDREN:
            return None
        here = enter(node, place, walker.notes)
        clips = self.of(node, here, nested + 1)
        if clips is None:
            return None
        if node.name == "use":
            copied = self._copied(node, here)
            return None if copied is None else self._shape(*copied, clips, nested)
        return self._shape(node, here, clips, None)

    def _copied(self, node: Node, here: Place) -> tuple[Node, Place] | None:
        """Return the shape that a `use` in a clip path copies, and where it stands."""
        walker = self._walker
        target = walker.target(node, here)
        if target is None or target.name not in SHAPES or not walker.shown(target):
            return None
        x = length_of(node, "x", "x", here.basis, notes=walker.notes) or 0.0
        y = length_of(node, "y", "y", here.basis, notes=walker.notes) or 0.0
        moved = replace(here, matrix=compose(here.matrix, (1.0, 0.0, 0.0, 1.0, x, y)))
        return target, enter(target, moved, walker.notes)

    def _shape(
        self, node: Node, here: Place, clips: tuple[Clip, ...], nested: int | None
    ) -> Figure | None:
        """Figure of a shape; one copied by `use` (nested is given) has clip paths of its own."""
        more = () if nested is None else self.of(node, here, nested + 1)
        hidden = here.style.get("visibility", "visible").strip() in ("hidden", "collapse")
        if more is None or hidden:
            return None
        figure = self._walker.figure(node, here, rule="clip-rule")
        return None if figure is None else replace(figure, clips=clips + more)


def _ancestors(node: Node) -> list[Node]:
    found = []
    while node.parent is not None:
        node = node.parent
        found.append(node)
    return found


def _bounds(figures: list[Figure], matrix: Affine) -> Box | None:
    """Box of figures in the user space of a matrix, lines and clips left out."""
    inverse = invert(matrix)
    if inverse is None or not figures:
        return None
    low, high = np.full(2, np.inf), np.full(2, -np.inf)
    for figure in figures:
        local = figure.curves.transformed(compose(inverse, figure.matrix))
        points, _ = flatten(local.rows, 1.0 / max(greatest_scale(matrix), TINY))
        points = np.concatenate([points, local.rows[:, 7:9]])
        low, high = np.minimum(low, points.min(axis=0)), np.maximum(high, points.max(axis=0))
    if (high <= low).any():
        return None
    return (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
