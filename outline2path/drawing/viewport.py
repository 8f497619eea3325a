"""Viewports: viewBox and preserveAspectRatio -> a matrix, and the size of the page.

In: the attributes of an `svg` or `symbol` element. Out: the matrix from its user units to those
around it, and for the outermost one the page in CSS pixels and a word on how it was sized. Rules:
SVG 2 sections 8.2 and 8.6 (from memory): s = min (meet) or max (slice) of W/w and H/h, or both
(none); a viewBox with a zero or negative side counts as absent.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from outline2path.drawing.lengths import Basis, split_length, to_user_units

__all__ = ["Page", "fit_view", "page_of", "parse_view_box"]

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_ALIGN = re.compile(r"x(Min|Mid|Max)Y(Min|Mid|Max)")
_SHARE = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
_KINDS: tuple[list[str], ...] = ([], ["meet"], ["slice"])
_PHYSICAL = {"mm", "cm", "in", "pt", "pc", "q"}

Box = tuple[float, float, float, float]


@dataclass(frozen=True, kw_only=True)
class Page:
    """The outermost viewport.

    Attributes
    ----------
    width, height : float or None
        In CSS pixels; None where the file gives no size at all.
    view_box : tuple of float or None
        min-x, min-y, width, height in user units.
    matrix : tuple of float
        From user units to CSS pixels of the page.
    sized_by : str
        How the size was found, in words.
    physical : bool
        Whether the file itself gives a size in mm, cm, in, pt, pc or Q.
    """

    width: float | None
    height: float | None
    view_box: Box | None
    matrix: tuple[float, float, float, float, float, float]
    sized_by: str
    physical: bool

    @property
    def complete(self) -> bool:
        """Whether both sides are known."""
        return self.width is not None and self.height is not None


def parse_view_box(text: str | None) -> Box | None:
    """Read a viewBox; None where it is absent, unreadable, or has no area.

    Examples
    --------
    >>> parse_view_box("0,0 20 10"), parse_view_box("0 0 0 10")
    ((0.0, 0.0, 20.0, 10.0), None)
    """
    words = re.split(r"[\s,]+", text.strip()) if text and len(text) < 200 else []
    if len(words) != 4 or not all(_NUMBER.fullmatch(w) for w in words):
        return None
    x, y, w, h = map(float, words)
    sound = all(map(math.isfinite, (x, y, w, h))) and w > 0 and h > 0
    return (x, y, w, h) if sound else None


def fit_view(
    size: tuple[float, float], view_box: Box, aspect: str | None
) -> tuple[float, float, float, float, float, float]:
    """Return the matrix that fits a viewBox into a viewport of this size.

    Examples
    --------
    The viewport of 100 x 50 with the box 0 0 200 200 (SVG 2 section 8.2):

    >>> fit_view((100.0, 50.0), (0.0, 0.0, 200.0, 200.0), None)
    (0.25, 0.0, 0.0, 0.25, 25.0, 0.0)
    """
    x, y, w, h = view_box
    words = [word for word in (aspect or "").split() if word != "defer"]
    align = _ALIGN.fullmatch(words[0]) if words and words[1:] in _KINDS else None
    sx, sy = size[0] / w, size[1] / h
    if words and words[0] == "none":
        return (sx, 0.0, 0.0, sy, -x * sx, -y * sy)
    s = max(sx, sy) if align and words[1:] == ["slice"] else min(sx, sy)
    share_x, share_y = (_SHARE[align[1]], _SHARE[align[2]]) if align else (0.5, 0.5)
    dx = (size[0] - w * s) * share_x - x * s
    dy = (size[1] - h * s) * share_y - y * s
    return (s, 0.0, 0.0, s, dx, dy)


def page_of(attrib: dict[str, str], *, basis: Basis) -> Page:
    """Return the page of the outermost `svg`.

    Parameters
    ----------
    attrib : dict
        Attributes of the root.
    basis : Basis
        Pixels to the inch and font size; percentages are of the viewBox.

    Examples
    --------
    >>> page_of({"width": "25.4mm", "viewBox": "0 0 10 20"}, basis=Basis()).height
    192.0
    """
    box = parse_view_box(attrib.get("viewBox"))
    width, w_unit = _side(attrib.get("width"), "x", box[2] if box else None, basis)
    height, h_unit = _side(attrib.get("height"), "y", box[3] if box else None, basis)
    by = _how(w_unit or h_unit, box is not None)
    if box:
        width, height = _by_aspect(width, height, box)
    matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    if box and width and height:
        matrix = fit_view((width, height), box, attrib.get("preserveAspectRatio"))
    physical = (w_unit or "") in _PHYSICAL or (h_unit or "") in _PHYSICAL
    return Page(
        width=width, height=height, view_box=box, matrix=matrix, sized_by=by, physical=physical
    )


def _by_aspect(
    width: float | None, height: float | None, box: Box
) -> tuple[float | None, float | None]:
    """Take a missing side from the shape of the viewBox, both from its size."""
    if width is None and height is None:
        return box[2], box[3]
    if width is None and height is not None:
        return height * box[2] / box[3], height
    if height is None and width is not None:
        return width, width * box[3] / box[2]
    return width, height


def _side(
    text: str | None, along: str, whole: float | None, basis: Basis
) -> tuple[float | None, str | None]:
    parts = split_length(text) if text else None
    if text is None or parts is None or parts[0] <= 0:
        return None, None
    number, unit = parts
    if unit == "%":
        return (None, None) if whole is None else (number * whole / 100, "%")
    size = to_user_units(text, along, basis)
    return (size, unit or "px") if size else (None, None)


def _how(unit: str | None, has_box: bool) -> str:
    if unit in _PHYSICAL:
        return f"width or height in {unit}"
    if unit == "%":
        return "a percentage of the viewBox"
    if unit:
        return f"width or height in {unit}"
    return "the viewBox, one unit as one pixel" if has_box else "the extent of what is drawn"
