"""Transforms: the text of a transform list -> one matrix.

A matrix is [a, b, c, d, e, f]: x' = a x + c y + e, y' = b x + d y + f, in float64. The list is
read in one linear pass; the leftmost transform is the outermost (SVG 2 section 8.5 and CSS
Transforms 1, from memory). Lists in an attribute and in a style are both read: lengths with
units, angles in deg, rad, grad and turn. A list with a fault anywhere counts as no list at all,
as the standard says; the caller tells the user so.
"""

from __future__ import annotations

import math
import re

from outline2path.drawing.lengths import Basis, to_user_units

__all__ = ["IDENTITY", "Affine", "apply", "compose", "greatest_scale", "invert", "parse_transform"]

Affine = tuple[float, float, float, float, float, float]
"""[a, b, c, d, e, f]: x' = a x + c y + e, y' = b x + d y + f."""
IDENTITY: Affine = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

_CALL = re.compile(r"\s*,?\s*([a-zA-Z]{1,10})\s*\(([^()]{0,1000})\)")
_SEPARATOR = re.compile(r"\s*,\s*|\s+|(?<=[0-9.a-zA-Z%])(?=[+-])(?<![eE])")
_ANGLE = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)(deg|rad|grad|turn)?")
_FACTOR = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)(%)?")
_DEGREES = {None: 1.0, "deg": 1.0, "rad": 180 / math.pi, "grad": 0.9, "turn": 360.0}
_COUNTS = {
    "matrix": (6,),
    "translate": (1, 2),
    "translatex": (1,),
    "translatey": (1,),
    "scale": (1, 2),
    "scalex": (1,),
    "scaley": (1,),
    "rotate": (1, 3),
    "skew": (1, 2),
    "skewx": (1,),
    "skewy": (1,),
}


def apply(m: Affine, x: float, y: float) -> tuple[float, float]:
    """Return the image of one point.

    Examples
    --------
    >>> apply((2, 0, 0, 2, 1, 0), 3, 4)
    (7, 8)
    """
    return (m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5])


def compose(outer: Affine, inner: Affine) -> Affine:
    """Return the matrix that applies `inner` first, then `outer`.

    Examples
    --------
    >>> compose((1, 0, 0, 1, 5, 0), (2, 0, 0, 2, 0, 0))
    (2, 0, 0, 2, 5, 0)
    """
    a, b, c, d, e, f = inner
    g, h, i, j, k, m = outer
    return (
        g * a + i * b,
        h * a + j * b,
        g * c + i * d,
        h * c + j * d,
        g * e + i * f + k,
        h * e + j * f + m,
    )


def invert(m: Affine) -> Affine | None:
    """Return the inverse, or None where the matrix squeezes the plane flat.

    Examples
    --------
    >>> invert((2.0, 0.0, 0.0, 4.0, 1.0, 0.0))
    (0.5, -0.0, -0.0, 0.25, -0.5, -0.0)
    """
    a, b, c, d, e, f = m
    det = a * d - b * c
    if det == 0 or not math.isfinite(det):
        return None
    p, q, r, s = d / det, -b / det, -c / det, a / det
    return (p, q, r, s, -(p * e + r * f), -(q * e + s * f))


def greatest_scale(m: Affine) -> float:
    """Return the largest singular value: the most any length is stretched.

    Examples
    --------
    >>> greatest_scale((3.0, 0.0, 0.0, 2.0, 9.0, 9.0))
    3.0
    """
    a, b, c, d = m[:4]
    return (math.hypot(a + d, b - c) + math.hypot(a - d, b + c)) / 2


def parse_transform(text: str, *, basis: Basis | None = None) -> Affine | None:
    """Read a transform list; None where any part of it is not understood.

    Parameters
    ----------
    text : str
        As in the attribute `transform` or the style property of that name.
    basis : Basis, optional
        What lengths with units or percentages lean on.

    Examples
    --------
    >>> parse_transform("translate(10 20) scale(2)")
    (2.0, 0.0, 0.0, 2.0, 10.0, 20.0)
    >>> parse_transform("rotate(a)") is None
    True
    """
    basis = basis or Basis()
    text = text.strip()
    matrix = IDENTITY
    if text == "none":
        return matrix
    at = 0
    while at < len(text):
        call = _CALL.match(text, at)
        part = _one(call[1].lower(), call[2], basis) if call else None
        if call is None or part is None:
            return None
        matrix = compose(matrix, part)
        at = call.end()
    return matrix if all(map(math.isfinite, matrix)) else None


def _one(name: str, arguments: str, basis: Basis) -> Affine | None:
    words = _SEPARATOR.split(arguments.strip())
    if len(words) not in _COUNTS.get(name, ()):
        return None
    numbers = [_argument(name, k, word, basis) for k, word in enumerate(words)]
    known = [x for x in numbers if x is not None]
    return _matrix(name, known) if len(known) == len(words) else None


def _argument(name: str, k: int, word: str, basis: Basis) -> float | None:
    if name.startswith("skew") or (name == "rotate" and k == 0):
        return _angle(word)
    if name.startswith("scale") or (name == "matrix" and k < 4):
        return _factor(word)
    return to_user_units(word, "y" if k == 1 or name == "translatey" else "x", basis)


def _angle(word: str) -> float | None:
    """Radians of an angle; plain numbers are degrees."""
    match = _ANGLE.fullmatch(word)
    return math.radians(float(match[1]) * _DEGREES[match[2]]) if match else None


def _factor(word: str) -> float | None:
    """Read a plain number or a percentage."""
    match = _FACTOR.fullmatch(word)
    return float(match[1]) / (100 if match[2] else 1) if match else None


def _matrix(name: str, v: list[float]) -> Affine:
    if name == "matrix":
        return (v[0], v[1], v[2], v[3], v[4], v[5])
    if name.startswith("translate"):
        x, y = (0.0, v[0]) if name == "translatey" else (v[0], v[1] if len(v) > 1 else 0.0)
        return (1.0, 0.0, 0.0, 1.0, x, y)
    if name.startswith("scale"):
        x, y = v[0], v[-1]
        return (1.0 if name == "scaley" else x, 0.0, 0.0, 1.0 if name == "scalex" else y, 0.0, 0.0)
    if name.startswith("skew"):
        x, y = (0.0, v[0]) if name == "skewy" else (v[0], v[1] if len(v) > 1 else 0.0)
        return (1.0, math.tan(y), math.tan(x), 1.0, 0.0, 0.0)
    turn: Affine = (math.cos(v[0]), math.sin(v[0]), -math.sin(v[0]), math.cos(v[0]), 0.0, 0.0)
    if len(v) == 1:
        return turn
    there, back = (1.0, 0.0, 0.0, 1.0, v[1], v[2]), (1.0, 0.0, 0.0, 1.0, -v[1], -v[2])
    return compose(there, compose(turn, back))
