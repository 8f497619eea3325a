"""Words: text that fits, in the one typeface.

In: any text, as file names and messages bring it. Out: text that the typeface can show, widths in
points, and lines broken to a width. Nothing here loads matplotlib before it is called.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from outline2path.picture.style import FAMILY

if TYPE_CHECKING:
    from matplotlib.font_manager import FontProperties

__all__ = ["clean", "font", "in_words", "text_style", "text_width", "wrap"]

_UNKNOWN = "\u25a1"
_LONGEST = 400
_MEASURED_AT = 100.0
_FITTED = 1.03
"""Letters fitted to whole dots grow lines by up to this, at 100 dots an inch."""


def clean(text: str, *, longest: int = _LONGEST) -> str:
    r"""Make text safe to draw: one line, no control characters, no glyph the typeface lacks.

    Examples
    --------
    >>> clean("two\nlines\x07")
    'two lines'
    """
    known = _characters()
    spaced = "".join(" " if c.isspace() else c for c in text)
    kept = (c if ord(c) in known else _UNKNOWN for c in spaced if c.isprintable())
    shown = " ".join("".join(kept).split())
    return shown if len(shown) <= longest else shown[: longest - 1] + "\u2026"


def font(size_pt: float, *, bold: bool = False) -> FontProperties:
    """Return the typeface at a size in points."""
    from matplotlib.font_manager import FontProperties

    return FontProperties(family=FAMILY, size=size_pt, weight="bold" if bold else "normal")


def text_width(text: str, size_pt: float, *, bold: bool = False) -> float:
    """Return the width of one line of text in points.

    Examples
    --------
    >>> text_width("mm", 8) == 2 * text_width("m", 8) > 8
    True
    """
    return sum(_advance(c, bold) for c in text) * size_pt


def wrap(text: str, size_pt: float, width_pt: float, *, bold: bool = False) -> list[str]:
    """Break text into lines no wider than `width_pt`; a word too long is broken inside.

    Examples
    --------
    >>> wrap("narrow gap of 2.1 mm", 8, 60)
    ['narrow gap of', '2.1 mm']
    """
    lines = [""]
    for word in text.split():
        for piece in _pieces(word, size_pt, width_pt, bold):
            longer = f"{lines[-1]} {piece}".strip()
            if lines[-1] and text_width(longer, size_pt, bold=bold) * _FITTED > width_pt:
                lines.append(piece)
            else:
                lines[-1] = longer
    return lines


def in_words(seconds: float) -> str:
    """Write a time for people.

    Examples
    --------
    >>> in_words(48), in_words(380), in_words(960), in_words(7500)
    ('48 s', '6 min 20 s', '16 min', '2 h 5 min')
    """
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    count, large, small = (whole, "min", "s") if whole < 3600 else (whole // 60, "h", "min")
    rest = f" {count % 60} {small}" if count % 60 else ""
    return f"{count // 60} {large}{rest}"


def text_style(size_pt: float, colour: str, *, bold: bool = False) -> dict[str, Any]:
    """Return the keywords every text artist gets; dollar signs stay dollar signs."""
    return {"fontproperties": font(size_pt, bold=bold), "color": colour, "parse_math": False}


def _pieces(word: str, size_pt: float, width_pt: float, bold: bool) -> list[str]:
    """Break a word that is wider than the line."""
    pieces, piece = [], ""
    for c in word:
        if piece and text_width(piece + c, size_pt, bold=bold) * _FITTED > width_pt:
            pieces.append(piece)
            piece = ""
        piece += c
    return [*pieces, piece]


@lru_cache(maxsize=1)
def _characters() -> frozenset[int]:
    """Code points the typeface can show."""
    from matplotlib.font_manager import findfont, get_font

    return frozenset(get_font(findfont(font(10))).get_charmap())


@lru_cache(maxsize=4096)
def _advance(c: str, bold: bool) -> float:
    """Width of a character at one point of size."""
    from matplotlib.textpath import text_to_path

    pair = text_to_path.get_text_width_height_descent(
        f"m{c}m", font(_MEASURED_AT, bold=bold), ismath=False
    )[0]
    alone = text_to_path.get_text_width_height_descent(
        "mm", font(_MEASURED_AT, bold=bold), ismath=False
    )[0]
    return float(pair - alone) / _MEASURED_AT
