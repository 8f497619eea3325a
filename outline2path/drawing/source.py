"""Source and reading: where an outline came from, and how its drawing was read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Paint", "Reading", "Source", "Strokes"]

Strokes = Literal["ignore", "outline", "centreline"]
"""What lines mean: nothing, the area they cover, or the line itself."""
Paint = Literal["union", "visible"]
"""What counts as material: all paint, or what a viewer would see as dark."""


@dataclass(frozen=True, kw_only=True)
class Source:
    """Where an outline came from: file name, hash, page, and how it was sized.

    Attributes
    ----------
    file, sha256 : str or None
        Name and hash of the drawing.
    page_px : tuple of float or None
        Width and height of the page in CSS pixels.
    page_mm : tuple of float or None
        The same in mm, as the file gives it.
    sized_by : str
        How the size was found, in words.

    Examples
    --------
    >>> Source().sized_by
    'made in Python'
    """

    file: str | None = None
    sha256: str | None = None
    page_px: tuple[float, float] | None = None
    page_mm: tuple[float, float] | None = None
    sized_by: str = "made in Python"


@dataclass(frozen=True, kw_only=True)
class Reading:
    """How a drawing is read.

    Attributes
    ----------
    strokes : "ignore", "outline" or "centreline"
        Leave lines out, take the area they cover, or take the line itself.
    by_policy : bool
        Whether `strokes` follows from what is drawn and not from a choice.
    paint : "union" or "visible"
        All that is painted, or what a viewer would see as dark.
    join_px : float
        Ends of lines no farther apart than this are joined, in CSS pixels of the drawing.

    Examples
    --------
    >>> Reading(strokes="outline").paint
    'union'
    """

    strokes: Strokes = "ignore"
    by_policy: bool = True
    paint: Paint = "union"
    join_px: float = 0.0
