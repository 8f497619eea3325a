"""Single line: text as lines for a cutter to follow, each stroke once.

In: one line of text and the height of its capitals, in mm. Out: an Outline whose lines are the
strokes of our own alphabet, baseline on y = 0, start at x = 0. Closed strokes, as of an O, are
areas whose edge is the stroke: engraving follows edges and lines alike. Refused: signs the
alphabet has not, named one by one; text as filled shapes in any installed font comes from
`Outline.from_text`.
"""

from __future__ import annotations

from dataclasses import replace
from unicodedata import normalize

from outline2path.drawing.accents import Piece, pieces
from outline2path.drawing.alphabet import CAPITAL, GAP, SPACE
from outline2path.drawing.figures import Figure, Stroke
from outline2path.drawing.making import figure_from_path
from outline2path.drawing.outline import Outline
from outline2path.drawing.source import Reading
from outline2path.errors import DrawingError, SettingError
from outline2path.units import parse_length

__all__ = ["single_line"]

_LONGEST = 200
"""Letters on a line: no workshop's stock is longer."""


def single_line(text: str, *, height: str | float, spacing: float = 1.0) -> Outline:
    """Return a line of text as strokes.

    Parameters
    ----------
    text : str
        Letters A to Z, a to z, with accents too, digits, common signs and spaces.
    height : str or float
        Height of a capital, with unit or mm.
    spacing : float
        Room between letters, 1 as drawn.

    Raises
    ------
    DrawingError
        When the alphabet lacks a sign, or the text draws nothing or is too long.
    SettingError
        When the height or the spacing is not above 0.

    Examples
    --------
    >>> name = single_line("HI", height="12 mm")
    >>> name.size_mm, len(name.lines.geoms)
    ((10.6, 12.0), 4)
    """
    tall = parse_length(height)
    if not (tall > 0 and 0 < spacing < 100):
        raise SettingError(
            f"letters {tall:g} mm high at a spacing of {spacing:g} cannot be cut",
            value=tall,
            remedy="give a height and a spacing above 0",
        )
    text = normalize("NFC", text)
    missing = sorted({sign for sign in text if sign != " " and not pieces(sign)})
    if missing or not text.strip() or len(text) > _LONGEST:
        raise DrawingError(
            f"the text {text[:40]!r} of {len(text)} letters cannot be set"
            + (f": the alphabet has no {missing}" if missing else ""),
            value=text[:_LONGEST],
            remedy="use plain letters, digits and signs on one line, or text in a font",
        )
    scale, along, figures = tall / CAPITAL, 0.0, list[Figure]()
    for sign in text:
        letter = pieces(sign)
        if letter is None:
            along += SPACE * spacing
            continue
        figures += [_stroke(piece, scale=scale, along=along) for piece in letter[1]]
        along += letter[0] + GAP * spacing
    reading = Reading(strokes="centreline", by_policy=False)
    return Outline(tuple(figures), matrix=(1.0, 0.0, 0.0, -1.0, 0.0, 0.0), reading=reading)


def _stroke(piece: Piece, *, scale: float, along: float) -> Figure:
    """One stroke of a letter as lines without area, at its place."""
    right, up, path = piece
    return replace(
        figure_from_path(path, y_up=True),
        matrix=(scale, 0.0, 0.0, -scale, (along + right) * scale, -up * scale),
        fill=None,
        stroke_colour="#000000",
        stroke=Stroke(width=0.1),
    )
