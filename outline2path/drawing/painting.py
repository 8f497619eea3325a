"""Painting: the style of one shape -> what it is filled with and how its line is drawn.

In: an element, its inherited properties, what lengths lean on. Out: a `Paint` for the fill and
one for the line, and the `Stroke`, lengths in user units. What cannot be honoured is noted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from outline2path.drawing.figures import Stroke
from outline2path.drawing.lengths import Basis, to_user_units
from outline2path.drawing.paint import Paint, opacity_of, paint_of

if TYPE_CHECKING:
    from outline2path.drawing.document import Node
    from outline2path.drawing.notes import Notes
    from outline2path.drawing.styles import Properties

__all__ = ["note_effects", "painted", "pen_of"]

_EFFECTS = {
    "mask": (
        "mask-ignored",
        "its mask is not applied",
        "cut the shape itself, or use a clip path",
    ),
    "filter": ("filter-ignored", "its filter is not applied", "apply the effect as paths"),
}
_MARKERS = ("marker-start", "marker-mid", "marker-end")
_MARKED = frozenset({"path", "line", "polyline", "polygon"})
_MOST_DASHES = 1000


def painted(
    node: Node, style: Properties, key: str, by_id: Mapping[str, Node], *, notes: Notes
) -> Paint:
    """Return the paint of a shape's `fill` or `stroke`, its opacity included."""
    text = style.get(key, "black" if key == "fill" else "none")
    if text.startswith("context-"):
        text = style.get(text, "none")
    paint = paint_of(text, style.get("color", "black"), by_id)
    if paint is None:
        paint = Paint("colour", "#000000") if key == "fill" else Paint("none")
        read_as = paint.colour or "none"
        notes.add(
            "bad-paint", "warning", f"{node}: {key} {text[:40]!r} is no colour; read as {read_as}"
        )
    if paint.note:
        notes.add("paint-missing", "warning", f"{node}: {paint.note}")
    opacity = style.get(f"{key}-opacity")
    if opacity is not None:
        paint = replace(paint, alpha=paint.alpha * opacity_of(opacity))
    if key == "fill" and paint.visible:
        _note_fill(node, paint, notes)
    return paint


def _note_fill(node: Node, paint: Paint, notes: Notes) -> None:
    """Note fills whose area is taken although it is not all solid colour."""
    if paint.kind == "pattern":
        notes.add(
            "pattern-as-solid",
            "warning",
            f"{node}: it is filled with a pattern; its whole area was taken",
            remedy="turn the pattern into paths if its shapes are to be cut",
        )
    if paint.alpha < 1:
        _note_glass(node, notes)


def pen_of(
    node: Node, style: Properties, basis: Basis, paint: Paint, *, notes: Notes
) -> Stroke | None:
    """Return how a shape's line is drawn; None where it is not."""
    if not paint.visible:
        return None
    for key in ("stroke-width", "stroke-miterlimit", "stroke-dashoffset", "stroke-dasharray"):
        if key in style:
            _note_length(node, style, key, basis, notes)
    width = _length(style.get("stroke-width"), 1.0, basis)
    if width <= 0:
        return None
    effect = (node.rules or {}).get("vector-effect", "")
    return Stroke(
        width=width,
        cap=_word(style, "stroke-linecap", ("butt", "round", "square")),
        join=_word(style, "stroke-linejoin", ("miter", "round", "bevel")),
        miter_limit=max(_length(style.get("stroke-miterlimit"), 4.0, basis), 1.0),
        dashes=_dashes(style.get("stroke-dasharray", "none"), basis),
        dash_offset=_length(style.get("stroke-dashoffset"), 0.0, basis),
        fixed_width=effect.strip() == "non-scaling-stroke",
    )


def note_effects(node: Node, style: Properties, notes: Notes) -> None:
    """Note masks, filters and markers, which are not applied."""
    rules = node.rules or {}
    if opacity_of(rules.get("opacity")) < 1:
        _note_glass(node, notes)
    for key, (code, what, remedy) in _EFFECTS.items():
        if rules.get(key, "none").strip() not in ("none", ""):
            notes.add(code, "warning", f"{node}: {what}", remedy=remedy)
    if node.name in _MARKED and any(
        style.get(key, "none").strip() not in ("none", "") for key in _MARKERS
    ):
        notes.add(
            "marker-ignored",
            "warning",
            f"{node}: the markers on its line are not drawn",
            remedy="turn markers into paths if they are to be cut",
        )


def _note_glass(node: Node, notes: Notes) -> None:
    """Note paint that can be seen through: to a cutter it is material like any other."""
    notes.add(
        "see-through",
        "info",
        f"{node}: its paint can be seen through; it counts as material",
        remedy="take it out if it is only shading",
    )


def _length(text: str | None, default: float, basis: Basis) -> float:
    value = to_user_units(text, "other", basis) if text else None
    return default if value is None else value


def _note_length(node: Node, style: Properties, key: str, basis: Basis, notes: Notes) -> None:
    """Note a length of a line that cannot be read, so that the usual one is taken."""
    words = style.get(key, "").replace(",", " ").split()[:_MOST_DASHES]
    if "calc(" in style.get(key, "") and key != "stroke-dasharray":
        words = [style[key]]
    if any(w != "none" and to_user_units(w, "other", basis) is None for w in words):
        notes.add(
            "bad-length",
            "warning",
            f'{node}: {key}="{style[key][:40]}" is no length; its usual value was taken',
            remedy="write a number with px, mm, cm, in, pt, pc or %",
        )


def _dashes(text: str, basis: Basis) -> tuple[float, ...]:
    words = text.replace(",", " ").split()[:_MOST_DASHES]
    lengths = [_length(w, -1.0, basis) for w in words]
    if text.strip() == "none" or any(x < 0 for x in lengths) or sum(lengths) <= 0:
        return ()
    return tuple(lengths * (1 + len(lengths) % 2))


def _word(style: Properties, key: str, words: tuple[str, ...]) -> str:
    value = style.get(key, words[0]).strip()
    return value if value in words else words[0]
