"""Paint: the text of a fill or stroke -> is anything painted, and in what colour.

In: the value as written and the drawing's elements by id. Out: a `Paint`: none, a colour as
#rrggbb with its opacity, a gradient or a pattern. A reference to nothing is no paint unless a
fallback colour follows it (SVG 2 section 13.2, from memory). A cutter only needs to know whether
there is material; the colour is for choosing by it and for telling dark from light.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from outline2path.drawing.document import Node

__all__ = ["Paint", "is_light", "opacity_of", "paint_of", "parse_colour"]

_URL = re.compile(r"url\(\s*[\"']?\s*(?P<target>[^\"')]*?)\s*[\"']?\s*\)\s*(?P<rest>.*)", re.S)
_HEX = re.compile(r"#(?:[0-9a-fA-F]{3,4}|[0-9a-fA-F]{6}|[0-9a-fA-F]{8})")
_GRADIENTS = {"linearGradient", "radialGradient", "meshgradient", "meshGradient"}
_CHAIN = 20


@dataclass(frozen=True, slots=True)
class Paint:
    """What a shape is painted with.

    `colour` is #rrggbb, or None for a gradient or a pattern; `alpha` is its opacity, 0 to 1.
    """

    kind: Literal["none", "colour", "gradient", "pattern"]
    colour: str | None = None
    alpha: float = 1.0
    note: str | None = None

    @property
    def visible(self) -> bool:
        """Whether anything would be seen."""
        return self.kind != "none" and self.alpha > 0


_NONE = Paint("none")


@lru_cache(maxsize=1024)
def parse_colour(text: str) -> Paint | None:
    """Read a colour; None where the text is no colour.

    Examples
    --------
    >>> parse_colour("#f00").colour, parse_colour("teal").colour, parse_colour("no such")
    ('#ff0000', '#008080', None)
    """
    text = text.strip()
    if _HEX.fullmatch(text):
        digits = text[1:]
        if len(digits) < 6:
            digits = "".join(2 * c for c in digits)
        alpha = int(digits[6:8], 16) / 255 if len(digits) == 8 else 1.0
        return Paint("colour", f"#{digits[:6].lower()}", alpha)
    if len(text) > 200:
        return None
    from tinycss2.color3 import parse_color as parse_level_3
    from tinycss2.color4 import parse_color

    old = parse_level_3(text)
    if old is not None and old != "currentColor":
        return Paint("colour", _as_hex(*old[:3]), float(old[3]))
    new = parse_color(text)
    if new is None or isinstance(new, str):
        return None
    new = new.to("srgb")
    return Paint("colour", _as_hex(*new.coordinates), float(new.alpha))


def _as_hex(*channels: float | None) -> str:
    return "#" + "".join(f"{round(255 * min(max(c or 0.0, 0.0), 1.0)):02x}" for c in channels)


@lru_cache(maxsize=1024)
def is_light(colour: str | None) -> bool:
    """Tell a colour nearer to white than to black, by relative luminance (WCAG 2, from memory).

    Examples
    --------
    >>> is_light("#ffffff"), is_light("#000000"), is_light(None)
    (True, False, False)
    """
    if colour is None or not colour.startswith("#"):
        return False
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2] > 0.5


def opacity_of(text: str | None) -> float:
    """Read an opacity, a number or a percentage, held between 0 and 1; 1 where unreadable.

    Examples
    --------
    >>> opacity_of("50%"), opacity_of("0"), opacity_of(None)
    (0.5, 0.0, 1.0)
    """
    match = re.fullmatch(r"\s*([+-]?[\d.]+(?:[eE][+-]?\d+)?)\s*(%?)\s*", (text or "1")[:40])
    try:
        value = float(match[1]) / (100 if match[2] else 1) if match else 1.0
    except ValueError:
        return 1.0
    return min(max(value, 0.0), 1.0)


def paint_of(text: str, current: str, by_id: Mapping[str, Node]) -> Paint | None:
    """Resolve a fill or stroke; None where the text is no paint at all.

    Parameters
    ----------
    text : str
        The property as written.
    current : str
        The property `color`, for `currentColor`.
    by_id : mapping
        The drawing's elements by id.

    Examples
    --------
    >>> paint_of("none", "black", {}).visible, paint_of("url(#gone)", "black", {}).visible
    (False, False)
    >>> paint_of("url(#gone) red", "black", {}).colour
    '#ff0000'
    """
    text = text.strip()
    low = text.lower()
    if low in ("none", "transparent"):
        return _NONE
    if low == "currentcolor":
        return parse_colour(current)
    link = _URL.match(text)
    if link is None:
        return parse_colour(text.partition(" icc-color")[0])
    rest = link["rest"].strip()
    found = _server(link["target"], by_id)
    if found is None:
        if not rest:
            return Paint("none", note=f"the paint {text[:40]!r} is not in the file")
        return paint_of(rest, current, by_id) if not rest.startswith("url") else _NONE
    return found


def _server(target: str, by_id: Mapping[str, Node]) -> Paint | None:
    """Paint of a gradient or pattern; None where there is no such thing."""
    node = by_id.get(target[1:]) if target.startswith("#") else None
    if node is None:
        return None
    if node.name == "pattern":
        return _pattern(node, by_id)
    if node.name not in _GRADIENTS:
        return None
    stops = _stops(node, by_id)
    if not stops:
        return _NONE
    return Paint("gradient", None, max(_stop_alpha(s) for s in stops))


def _pattern(node: Node, by_id: Mapping[str, Node]) -> Paint:
    for _ in range(_CHAIN):
        if node.children:
            return Paint("pattern")
        link = node.attrib.get("href") or node.attrib.get("xlink:href") or ""
        other = by_id.get(link[1:])
        if other is None or other.name != "pattern":
            return _NONE
        node = other
    return _NONE


def _stops(node: Node, by_id: Mapping[str, Node]) -> list[Node]:
    """Return the stops of a gradient or of the one it refers to."""
    for _ in range(_CHAIN):
        stops = [c for c in node.children if c.name == "stop"]
        if stops or node.name.startswith("mesh"):
            return stops or [node]
        link = node.attrib.get("href") or node.attrib.get("xlink:href") or ""
        other = by_id.get(link[1:])
        if other is None or other.name not in _GRADIENTS:
            return []
        node = other
    return []


def _stop_alpha(stop: Node) -> float:
    style = stop.rules or {}
    colour = style.get("stop-color", stop.attrib.get("stop-color", "black"))
    opacity = opacity_of(style.get("stop-opacity", stop.attrib.get("stop-opacity")))
    paint = parse_colour(colour)
    return opacity * (paint.alpha if paint else 1.0)
