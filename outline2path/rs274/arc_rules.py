"""Where the centre of an arc lies (NISTIR 6556, 3.5.3).

In: start and end in the plane (mm) and what the block tells: offsets to the centre, always from
the start, or a radius. Out: the centre; the caller refuses what cannot be. The two radii of the
centre form may differ by 0.002 mm, or 0.0002 in where the program is in inches; lenient reading
allows what small controllers are said to allow (from memory): 0.005 mm or a thousandth of the
radius, never above 0.5 mm.
"""

from __future__ import annotations

import math

__all__ = ["RADII_DIFFER_IN", "RADII_DIFFER_MM", "centre_form", "lenient_limit", "radius_form"]

RADII_DIFFER_MM = 0.002
"""Most the two radii may differ, mm programs."""
RADII_DIFFER_IN = 0.0002
"""Most the two radii may differ, inch programs, in inches."""
_LENIENT_MM = 0.005
_LENIENT_SHARE = 0.001
_LENIENT_MOST_MM = 0.5

Point = tuple[float, float]


def centre_form(start: Point, end: Point, offset: Point) -> tuple[Point, float, float]:
    """Return the centre of an arc told by its offset from the start, and both radii, mm.

    Examples
    --------
    >>> centre_form((7, 7), (10, 16), (3, 4))
    ((10, 11), 5.0, 5.0)
    """
    centre = (start[0] + offset[0], start[1] + offset[1])
    return centre, math.hypot(*offset), math.hypot(end[0] - centre[0], end[1] - centre[1])


def lenient_limit(radius: float) -> float:
    """Return the most the radii may differ in lenient reading, mm.

    Examples
    --------
    >>> lenient_limit(1.0), lenient_limit(50.0), lenient_limit(5000.0)
    (0.005, 0.05, 0.5)
    """
    return max(_LENIENT_MM, min(_LENIENT_SHARE * radius, _LENIENT_MOST_MM))


def radius_form(
    start: Point, end: Point, radius: float, turn: int, *, limit_mm: float
) -> Point | None:
    """Return the centre (mm) of an arc told by its radius, None where there is none.

    A positive radius turns at most 180 degrees, a negative one more. There is no centre where
    the ends are one point, or farther apart than twice the radius and `limit_mm` allow.

    Examples
    --------
    >>> x, y = radius_form((64, 4), (69, 4), 4, -1, limit_mm=0.002)
    >>> round(x, 6), round(y, 6)
    (66.5, 0.877501)
    """
    dx, dy = end[0] - start[0], end[1] - start[1]
    chord = math.hypot(dx, dy)
    if chord == 0 or chord / 2 > abs(radius) + limit_mm:
        return None
    height = math.sqrt(max(radius * radius - chord * chord / 4, 0.0))
    side = turn * math.copysign(1.0, radius) * height / chord
    return (start[0] + dx / 2 - dy * side, start[1] + dy / 2 + dx * side)
