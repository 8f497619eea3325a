"""Placing: what an element inherits from the elements around it.

A `Place` is where the walk through a drawing stands: the matrix to the page, the inherited
properties, what lengths lean on, the clip paths, the elements walked through. Entering an
element makes the next place; nothing is ever changed in place.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from outline2path.drawing.lengths import Basis, to_user_units
from outline2path.drawing.styles import Properties, inherit
from outline2path.drawing.transforms import IDENTITY, Affine, compose, parse_transform

if TYPE_CHECKING:
    from outline2path.drawing.document import Node
    from outline2path.drawing.figures import Clip, Element
    from outline2path.drawing.notes import Notes

__all__ = ["Place", "enter", "length_of", "own_value"]

_FONT_SIZES = {
    "xx-small": 9.0,
    "x-small": 10.0,
    "small": 13.0,
    "medium": 16.0,
    "large": 18.0,
    "x-large": 24.0,
    "xx-large": 32.0,
}
_MOVES = ("translate", "rotate", "scale")
"""Properties applied before `transform`, in this order (CSS Transforms 2, from memory)."""
_ORIGIN = {"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}


@dataclass(frozen=True, slots=True)
class Place:
    """Where the walk stands.

    Attributes
    ----------
    matrix : tuple of float
        From user units to CSS pixels of the page.
    style : dict
        Inherited properties, as text.
    basis : Basis
        What lengths lean on.
    clips : tuple of Clip
        Clip paths over everything here.
    lineage : tuple of Element
        Elements walked through, outermost first.
    depth : int
        How many elements deep, copies by `use` counted.
    uses : tuple of int
        Identities of the elements being copied by `use`, to find circles.
    size : tuple of float or None
        Width and height that a `use` gives to the viewport it refers to.
    """

    matrix: Affine = IDENTITY
    style: Properties = field(default_factory=dict)
    basis: Basis = field(default_factory=Basis)
    clips: tuple[Clip, ...] = ()
    lineage: tuple[Element, ...] = ()
    depth: int = 0
    uses: tuple[int, ...] = ()
    size: tuple[str | None, str | None] | None = None


def own_value(node: Node, key: str) -> str | None:
    """Return a property or attribute that an element sets itself, `style` before attribute."""
    rules = node.rules
    if rules is not None and key in rules:
        return rules[key]
    return node.attrib.get(key)


def length_of(node: Node, key: str, along: str, basis: Basis, *, notes: Notes) -> float | None:
    """Return a length attribute in user units; None where absent, `auto` or not understood."""
    text = own_value(node, key)
    if text is None:
        return None
    value = to_user_units(text, along, basis)
    if value is None and text.strip().lower() not in ("auto", "inherit", "initial", "unset"):
        notes.add(
            "bad-length",
            "warning",
            f'{node}: {key}="{text[:40]}" is no length; it was left out',
            remedy="write a number with px, mm, cm, in, pt, pc or %",
        )
    return value


def enter(node: Node, place: Place, notes: Notes) -> Place:
    """Return the place inside an element: its transform, properties and font size applied."""
    rules = node.rules
    style = inherit(place.style, rules)
    basis = place.basis
    if rules and "font-size" in rules:
        basis = replace(basis, font=_font_size(rules["font-size"], basis))
    matrix = _transform(node, basis, notes)
    if matrix is IDENTITY and style is place.style and basis is place.basis:
        return place
    total = place.matrix if matrix is IDENTITY else compose(place.matrix, matrix)
    return replace(place, matrix=total, style=style, basis=basis)


def _font_size(text: str, basis: Basis) -> float:
    word = text.strip().lower()
    if word in _FONT_SIZES:
        return _FONT_SIZES[word]
    if word.endswith("%"):
        word = f"{word[:-1]}em"
        scale = 0.01
    else:
        scale = 1.0
    size = to_user_units(word, "other", basis)
    return basis.font if size is None or size < 0 else size * scale


def _transform(node: Node, basis: Basis, notes: Notes) -> Affine:
    """Return the element's own matrix, with its origin; the identity where it has none."""
    rules = node.rules or {}
    text = _transform_text(node, rules)
    if not text.strip():
        return IDENTITY
    matrix = parse_transform(text, basis=basis)
    if matrix is None:
        notes.add(
            "bad-transform",
            "warning",
            f"{node}: the transform {text[:60]!r} is not understood and was left out",
            remedy="use translate, scale, rotate, skewX, skewY or matrix with plain numbers",
        )
        return IDENTITY
    origin, box = rules.get("transform-origin"), rules.get("transform-box", "view-box").strip()
    if origin is None and box == "view-box":
        return matrix
    origin = origin or "0 0"
    shift = _origin(origin, basis)
    if shift is None or box != "view-box":
        notes.add(
            "bad-transform",
            "warning",
            f"{node}: transform-origin {origin[:40]!r} with "
            f"transform-box {box!r} is not understood; the origin 0 0 of the drawing was taken",
            remedy="apply the transform in the drawing program",
        )
        return matrix
    there, back = (1.0, 0.0, 0.0, 1.0, *shift), (1.0, 0.0, 0.0, 1.0, -shift[0], -shift[1])
    return compose(there, compose(matrix, back))


def _transform_text(node: Node, rules: Properties) -> str:
    """Return the transforms of an element as one list; "" where it has none."""
    text: str = rules.get("transform", node.attrib.get("transform", ""))
    moves = [f"{key}({rules[key]})" for key in _MOVES if rules.get(key, "none") != "none"]
    return " ".join([*moves, "" if text == "none" else text]) if moves else text


def _origin(text: str, basis: Basis) -> tuple[float, float] | None:
    words = text.replace(",", " ").split()[:2]
    if words and words[0] in ("top", "bottom"):
        words = [*words[1:], "center"][:1] + words[:1]
    if len(words) == 1:
        words.append("center")
    x = to_user_units(_ORIGIN.get(words[0], words[0]), "x", basis) if words else None
    y = to_user_units(_ORIGIN.get(words[1], words[1]), "y", basis) if words else None
    return None if x is None or y is None else (x, y)
