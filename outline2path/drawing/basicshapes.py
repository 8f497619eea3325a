"""Basic shapes: the `circle()`, `ellipse()`, `inset()`, `polygon()` and `path()` of CSS -> Curves.

In: the value of `clip-path` and the box it is measured in, in user units. Out: curves in the same
units and the fill rule, or None where the text is no such shape. Rules: CSS Shapes 1 (from
memory): lengths are from the box's upper left corner, percentages of its sides, of a radius of
sqrt((w^2 + h^2) / 2); a radius left out reaches to the nearest side.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import partial

from outline2path.drawing.curves import Curves
from outline2path.drawing.figures import FillRule
from outline2path.drawing.lengths import Basis, to_user_units
from outline2path.drawing.pathdata import parse_path
from outline2path.drawing.shapes import curves_of

__all__ = ["Box", "basic_shape", "shape_and_box"]

Box = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y."""
Shape = tuple[Curves, FillRule]
Measure = Callable[[str, str], float]

_BOXES = ("fill-box", "stroke-box", "view-box", "border-box", "padding-box", "content-box")
_CALL = re.compile(r"\s*(circle|ellipse|inset|polygon|path)\(([^()]*)\)\s*", re.I)
_KEYWORDS = {"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}


def shape_and_box(text: str) -> tuple[str, str]:
    """Take a clip path apart into its shape and the box it names, "" for none.

    Examples
    --------
    >>> shape_and_box("circle(5px) view-box")
    ('circle(5px)', 'view-box')
    """
    for box in _BOXES:
        if box in text:
            return text.replace(box, "").strip(), box
    return text.strip(), ""


def basic_shape(text: str, box: Box, basis: Basis) -> Shape | None:
    """Return the curves of a basic shape in its box, and its fill rule.

    Parameters
    ----------
    text : str
        Such as "inset(10% 2px)".
    box : tuple of float
        Least x, least y, greatest x, greatest y in user units.
    basis : Basis
        What other lengths lean on.

    Examples
    --------
    >>> curves, rule = basic_shape("polygon(0 0, 100% 0, 0 100%)", (5, 5, 9, 8), Basis())
    >>> curves.rows[:, 7:9].tolist()
    [[9.0, 5.0], [5.0, 8.0], [5.0, 5.0]]
    """
    call = _CALL.fullmatch(text)
    if call is None:
        return None
    x0, y0, x1, y1 = box
    inner = replace(basis, width=x1 - x0, height=y1 - y0)

    def measure(word: str, along: str) -> float:
        value = to_user_units(_KEYWORDS.get(word, word), along, inner)
        if value is None:
            raise ValueError(f"{word!r} is no length")
        return value

    try:
        curves, rule = _MAKERS[call[1].lower()](call[2].strip(), measure, inner)
    except ValueError:
        return None
    return curves.transformed((1.0, 0.0, 0.0, 1.0, x0, y0)), rule


def _oval(text: str, measure: Measure, box: Basis, *, radii: int) -> Shape:
    """Circles, of one radius, and ellipses, of two."""
    sizes, _, place = text.partition("at ")
    words = place.split() or ["center"]
    if words[0] in ("top", "bottom"):
        words = words[::-1]
    x = measure(words[0] if words[0] not in ("top", "bottom") else "center", "x")
    y = measure(words[-1] if len(words) > 1 or words[0] in ("top", "bottom") else "center", "y")
    sides = {"x": (abs(x), abs(box.width - x)), "y": (abs(y), abs(box.height - y))}
    given = sizes.split() or ["closest-side"] * radii
    if len(given) != radii or len(words) > 2:
        raise ValueError(f"{text!r} has too many or too few parts")
    along = ("x", "y") if radii == 2 else ("other", "other")
    rx, ry = (
        _radius(word, a, sides, measure) for word, a in zip((given * 2)[:2], along, strict=True)
    )
    found = {"cx": x, "cy": y, "rx": rx, "ry": ry}
    return curves_of("ellipse", lambda _key: None, lambda key, _along: found.get(key))[
        0
    ], "nonzero"


def _radius(
    word: str, along: str, sides: dict[str, tuple[float, float]], measure: Measure
) -> float:
    """Return a radius, as a length or as far as a side."""
    if word not in ("closest-side", "farthest-side"):
        return measure(word, along)
    far = sides[along] if along in sides else (*sides["x"], *sides["y"])
    return min(far) if word == "closest-side" else max(far)


def _inset(text: str, measure: Measure, box: Basis) -> Shape:
    """Rectangles, given by how far each side is moved in: top, right, bottom, left."""
    sides, _, corners = text.partition("round")
    words = sides.split()
    if not 1 <= len(words) <= 4:
        raise ValueError(f"{text!r} has not one to four sides")
    top, right, bottom, left = (words * 4)[:4] if len(words) != 3 else [*words, words[1]]
    x, y = measure(left, "x"), measure(top, "y")
    found = {
        "x": x,
        "y": y,
        "width": max(box.width - x - measure(right, "x"), 0.0),
        "height": max(box.height - y - measure(bottom, "y"), 0.0),
    }
    if corners.strip():
        found["rx"], found["ry"] = measure(corners.strip(), "x"), measure(corners.strip(), "y")
    return curves_of("rect", lambda _key: None, lambda key, _along: found.get(key))[0], "nonzero"


def _polygon(text: str, measure: Measure, _box: Basis) -> Shape:
    """Polygons, perhaps with a fill rule in front."""
    pairs = [part.split() for part in text.split(",")]
    rule: FillRule = "evenodd" if pairs[0] == ["evenodd"] else "nonzero"
    pairs = pairs[1:] if pairs[0] in (["evenodd"], ["nonzero"]) else pairs
    points = [(measure(x, "x"), measure(y, "y")) for x, y in pairs]
    return Curves.from_points(points, closed=True), rule


def _path(text: str, _measure: Measure, _box: Basis) -> Shape:
    """Path data in quotes, perhaps with a fill rule in front."""
    rule: FillRule = "evenodd" if text.startswith("evenodd") else "nonzero"
    start, end = text.find(text[-1:]), len(text) - 1
    if text[-1:] not in ("'", '"') or start == end:
        raise ValueError(f"{text[:40]!r} has no quotes")
    curves, fault = parse_path(text[start + 1 : end])
    if fault is not None:
        raise ValueError(f"{fault.text!r} breaks the path")
    return curves, rule


_MAKERS: dict[str, Callable[[str, Measure, Basis], Shape]] = {
    "circle": partial(_oval, radii=1),
    "ellipse": partial(_oval, radii=2),
    "inset": _inset,
    "polygon": _polygon,
    "path": _path,
}
