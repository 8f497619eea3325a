"""Lengths: "12mm", "3em", "50%" -> user units, exactly.

In: the text of one length and the measures it may lean on (`Basis`). Out: a float in user units
(CSS pixels), or None where the text is no length. One inch is 96 px and 25.4 mm exactly (CSS
Values and Units 3, section 5.2, from memory); another number of pixels to the inch may be asked
for, since older drawings used 72 or 90. Percentages follow SVG 2 section 8.9 (from memory): of
the viewport's width, of its height, or of sqrt((w^2 + h^2) / 2).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache

from outline2path.drawing.calculating import calculate

__all__ = ["Basis", "split_length", "to_user_units"]

_LENGTH = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(%|[a-zA-Z]*)\s*")
_LONGEST = 64
_LONGEST_SUM = 500
_INCHES = {"in": 1.0, "pt": 1 / 72, "pc": 1 / 6}
_MM = {"mm": 1.0, "cm": 10.0, "q": 0.25}
_EMS = {"em": 1.0, "ex": 0.5, "ch": 0.5, "ic": 1.0, "cap": 0.7, "lh": 1.2}


@dataclass(frozen=True, slots=True)
class Basis:
    """What relative lengths lean on, all in user units except `ppi` (pixels to the inch).

    Attributes
    ----------
    width, height : float
        Of the nearest viewport.
    font, root_font : float
        Font size of the element and of the outermost one.
    page_width, page_height : float
        Of the outermost viewport.
    ppi : float
        Pixels to the inch.
    """

    width: float = 100.0
    height: float = 100.0
    font: float = 16.0
    root_font: float = 16.0
    page_width: float = 100.0
    page_height: float = 100.0
    ppi: float = 96.0


@lru_cache(maxsize=8192)
def split_length(text: str) -> tuple[float, str] | None:
    """Take a length apart into a finite number and a lower-case unit, or return None.

    Examples
    --------
    >>> split_length(" 12.5MM "), split_length("auto")
    ((12.5, 'mm'), None)
    """
    match = _LENGTH.fullmatch(text) if len(text) <= _LONGEST else None
    if not match:
        return None
    number = float(match[1])
    return (number, match[2].lower()) if math.isfinite(number) else None


def to_user_units(text: str, along: str, basis: Basis) -> float | None:
    """Return a length in user units, or None where the text is no length.

    Parameters
    ----------
    text : str
        Number with or without a unit: px mm cm in pt pc Q em ex rem ch ic cap lh rlh % vw vh
        vmin vmax; or a `calc()` of such lengths.
    along : "x", "y" or "other"
        What a percentage is of.
    basis : Basis
        Measures for relative units.

    Examples
    --------
    >>> to_user_units("25.4mm", "x", Basis()), to_user_units("50%", "y", Basis(height=30))
    (96.0, 15.0)
    >>> to_user_units("3 parsec", "x", Basis()) is None
    True
    """
    parts = split_length(text)
    if parts is None:
        return _calculated(text, along, basis) if "calc(" in text else None
    number, unit = parts
    if unit in ("", "px"):
        return number
    if unit == "%":
        return number * _whole(along, basis) / 100
    if unit in _MM:
        return number * _MM[unit] / 25.4 * basis.ppi
    if unit in _INCHES:
        return number * basis.ppi * _INCHES[unit]
    if unit in _EMS:
        return number * _EMS[unit] * basis.font
    scale = _page_unit(unit, basis)
    return None if scale is None else number * scale


def _calculated(text: str, along: str, basis: Basis) -> float | None:
    """Return the length that a `calc()` comes to."""
    if len(text) > _LONGEST_SUM or not text.strip().startswith("calc("):
        return None
    return calculate(text, lambda part: to_user_units(part, along, basis))


def _whole(along: str, basis: Basis) -> float:
    if along == "x":
        return basis.width
    if along == "y":
        return basis.height
    return math.sqrt((basis.width**2 + basis.height**2) / 2)


def _page_unit(unit: str, basis: Basis) -> float | None:
    if unit == "rem":
        return basis.root_font
    if unit == "rlh":
        return 1.2 * basis.root_font
    w, h = basis.page_width / 100, basis.page_height / 100
    return {"vw": w, "vh": h, "vmin": min(w, h), "vmax": max(w, h)}.get(unit)
