"""Words: counts, sizes and times as a person says them."""

from __future__ import annotations

from outline2path.drawing.outline import Outline
from outline2path.units import format_length

__all__ = ["count", "duration", "outline_words", "size_words"]


def count(number: int, noun: str) -> str:
    """Return a number with its noun, in the plural where it is not one.

    Examples
    --------
    >>> count(1, "hole"), count(3, "pass")
    ('1 hole', '3 passes')
    """
    plural = "es" if noun.endswith("s") else "s"
    return f"{number} {noun}{'' if number == 1 else plural}"


def duration(seconds: float) -> str:
    """Return a time as minutes and seconds.

    Examples
    --------
    >>> duration(42.4), duration(125), duration(3725)
    ('42 s', '2 min 5 s', '1 h 2 min')
    """
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min {whole % 60} s"
    return f"{whole // 3600} h {whole % 3600 // 60} min"


def size_words(outline: Outline, *, units: str = "mm") -> str:
    """Return the finished size, width before height.

    Examples
    --------
    >>> import shapely
    >>> size_words(Outline.from_shapely(shapely.box(0, 0, 140, 95)))
    '140.00 x 95.00 mm'
    """
    width, height = (format_length(side, units=units) for side in outline.size_mm)
    return f"{width.split()[0]} x {height}"


def outline_words(outline: Outline, *, units: str = "mm") -> str:
    """Return size, regions and holes of an outline in one phrase.

    Examples
    --------
    >>> import shapely
    >>> outline_words(Outline.from_shapely(shapely.box(0, 0, 140, 95)))
    '140.00 x 95.00 mm, 1 region, 0 holes'
    """
    regions = len(outline.region.geoms)
    holes = sum(len(part.interiors) for part in outline.region.geoms)
    return (
        f"{size_words(outline, units=units)}, {count(regions, 'region')}, {count(holes, 'hole')}"
    )
