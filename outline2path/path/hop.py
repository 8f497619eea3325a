"""Hop: how low the cutter may cross from one cut to the next.

In: the height asked for, the stock, the clamps on it, all in work coordinates, mm. Out: whether
one move across may be made at that height. It may where both of its ends lie over the stock and no
clamp is near its way: the stock's top is known, and tabs are never higher than that; what stands
beside the stock is not known.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely

__all__ = ["Hop"]

Box = tuple[float, float, float, float]


@dataclass(frozen=True, kw_only=True)
class Hop:
    """Leave to cross lower than the clearance height.

    Attributes
    ----------
    height_mm : float
        z at which it is crossed.
    over_mm : tuple of 4 floats
        x0, y0, x1, y1 of the stock.
    around_mm : tuple of (tuple of 4 floats)
        Boxes of the clamps.
    apart_mm : float
        How far the cutter's middle stays from them.

    Examples
    --------
    >>> hop = Hop(height_mm=1.0, over_mm=(0, 0, 90, 60), around_mm=((40, 0, 50, 10),), apart_mm=5)
    >>> hop.allows((5, 5), (30, 5)), hop.allows((5, 5), (80, 5)), hop.allows((5, 5), (95, 30))
    (True, False, False)
    """

    height_mm: float
    over_mm: Box
    around_mm: tuple[Box, ...] = ()
    apart_mm: float = 0.0

    def allows(self, start: tuple[float, float], to: tuple[float, float]) -> bool:
        """Whether a straight move from one place to another may be made at this height."""
        x0, y0, x1, y1 = self.over_mm
        if not all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in (start, to)):
            return False
        way = shapely.LineString([start, to])
        return all(way.distance(shapely.box(*box)) > self.apart_mm for box in self.around_mm)
