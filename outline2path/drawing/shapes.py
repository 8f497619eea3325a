"""Shapes: rect, circle, ellipse, line, polyline, polygon and path -> Curves.

In: the element's name, its attributes as text, and a resolver of lengths. Out: curves in the
element's own user units. Rules of SVG 2 chapter 10 (from memory): a missing radius copies the
other, corner radii are at most half the side, a zero or negative size draws nothing, an odd
number of coordinates is read up to the fault. Faults come back as text, never as exceptions.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from outline2path.drawing.curves import ARC, LINE, Curves, Row, circle_rows
from outline2path.drawing.pathdata import parse_path
from outline2path.errors import DrawingError

__all__ = ["SHAPES", "curves_of"]

SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
"""Names of the elements that are shapes."""

Resolve = Callable[[str, str], float | None]
"""(attribute, along) -> length in user units; None where it is absent or not understood."""

_EMPTY = Curves.from_lists([], [], [])
_COORDINATE = re.compile(r"[\s,]*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)")


def curves_of(
    name: str, text: Callable[[str], str | None], resolve: Resolve, *, most: int = 250_000
) -> tuple[Curves, str | None]:
    """Return the curves of one shape and a note on what was wrong with it.

    Parameters
    ----------
    name : str
        One of `SHAPES`.
    text : callable
        Gives an attribute's text, or None.
    resolve : callable
        Gives a length attribute in user units; `along` is "x", "y" or "other".
    most : int
        Segments read at most.

    Raises
    ------
    DrawingError
        When the shape holds more segments.

    Examples
    --------
    >>> sizes = {"width": 4.0, "height": 2.0}
    >>> curves, note = curves_of("rect", {}.get, lambda key, along: sizes.get(key))
    >>> len(curves.rows), note
    (4, None)
    """
    if name == "path":
        curves, fault = parse_path(text("d") or "", most=most)
        if fault is None:
            return curves, None
        return (
            curves,
            f"path data breaks at {fault.text!r}; pieces kept before it: {fault.kept}",
        )
    if name in ("polyline", "polygon"):
        return _poly(text("points") or "", most, closed=name == "polygon")
    return {"rect": _rect, "circle": _circle, "ellipse": _ellipse, "line": _line}[name](resolve)


def _line(resolve: Resolve) -> tuple[Curves, str | None]:
    x1, y1 = resolve("x1", "x") or 0.0, resolve("y1", "y") or 0.0
    x2, y2 = resolve("x2", "x") or 0.0, resolve("y2", "y") or 0.0
    return Curves.from_points([[x1, y1], [x2, y2]], closed=False), None


def _circle(resolve: Resolve) -> tuple[Curves, str | None]:
    r = resolve("r", "other") or 0.0
    return _oval(resolve, r, r)


def _ellipse(resolve: Resolve) -> tuple[Curves, str | None]:
    rx, ry = resolve("rx", "x"), resolve("ry", "y")
    return _oval(resolve, (ry if rx is None else rx) or 0.0, (rx if ry is None else ry) or 0.0)


def _oval(resolve: Resolve, rx: float, ry: float) -> tuple[Curves, str | None]:
    if rx < 0 or ry < 0:
        return _EMPTY, f"the radius {min(rx, ry):g} is negative; nothing is drawn"
    if rx == 0 or ry == 0:
        return _EMPTY, None
    cx, cy = resolve("cx", "x") or 0.0, resolve("cy", "y") or 0.0
    return Curves.from_lists(circle_rows(cx, cy, rx, ry), [0], [True]), None


def _rect(resolve: Resolve) -> tuple[Curves, str | None]:
    x, y = resolve("x", "x") or 0.0, resolve("y", "y") or 0.0
    w, h = resolve("width", "x") or 0.0, resolve("height", "y") or 0.0
    if w < 0 or h < 0:
        return _EMPTY, f"the size {w:g} x {h:g} is negative; nothing is drawn"
    if w == 0 or h == 0:
        return _EMPTY, None
    rx, ry = _radii(resolve, w, h)
    if rx == 0 or ry == 0:
        corners = [[x, y], [x + w, y], [x + w, y + h], [x, y + h]]
        return Curves.from_points(corners, closed=True), None
    return Curves.from_lists(_rounded(x, y, w, h, rx, ry), [0], [True]), None


def _radii(resolve: Resolve, w: float, h: float) -> tuple[float, float]:
    """Corner radii: a missing or negative one copies the other, none passes half a side."""
    rx, ry = resolve("rx", "x"), resolve("ry", "y")
    known = [r for r in (rx, ry) if r is not None and r >= 0] or [0.0]
    rx, ry = (r if r is not None and r >= 0 else known[0] for r in (rx, ry))
    return min(rx, w / 2), min(ry, h / 2)


def _rounded(x: float, y: float, w: float, h: float, rx: float, ry: float) -> list[Row]:
    """Lines and quarter arcs of a rounded rectangle, as SVG 2 section 10.2 orders them."""
    x2, y2 = x + w, y + h
    points = [(x + rx, y), (x2 - rx, y), (x2, y + ry), (x2, y2 - ry)]
    points += [(x2 - rx, y2), (x + rx, y2), (x, y2 - ry), (x, y + ry), (x + rx, y)]
    centres = [(x2 - rx, y + ry), (x2 - rx, y2 - ry), (x + rx, y2 - ry), (x + rx, y + ry)]
    rows: list[Row] = []
    for k in range(8):
        p, q = points[k], points[k + 1]
        if k % 2 == 0:
            if p != q:
                rows.append((LINE, *p, *p, *q, *q, 0.0, 0.0, 0.0, 0.0))
        else:
            turn = (k // 2 - 1) * math.pi / 2
            rows.append((ARC, *p, rx, 0.0, 0.0, ry, *q, *centres[k // 2], turn, math.pi / 2))
    return rows


def _poly(points: str, most: int, *, closed: bool) -> tuple[Curves, str | None]:
    numbers: list[float] = []
    at, note = 0, None
    while match := _COORDINATE.match(points, at):
        numbers.append(float(match[1]))
        at = match.end()
        if len(numbers) > 2 * most:
            raise DrawingError(
                f"a polygon holds more than {most} points",
                value=len(numbers) // 2,
                limit=most,
                remedy="simplify it, or raise the limit segments",
            )
    rest = points[at:].strip(" \t\r\n\f,")
    if rest:
        note = f"the points break at {rest[:30]!r}; points kept before it: {len(numbers) // 2}"
    elif len(numbers) % 2:
        note = f"the points end with half a pair; points kept before it: {len(numbers) // 2}"
    pairs = [numbers[k : k + 2] for k in range(0, len(numbers) - 1, 2)]
    if not all(map(math.isfinite, numbers)):
        return _EMPTY, "the points hold a number that is not finite; nothing is drawn"
    return Curves.from_points(pairs, closed=closed), note
