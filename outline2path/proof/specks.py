"""Specks: ground on a floor that no cutter ran over although it could.

In: the ground that must be gone at one height, and what was swept there. Out: the greatest disc
that fits into unswept ground with its centre where it must be gone. The distance from swept ground
changes no faster than the point moves, so a square whose middle lies deep enough in swept ground
holds no speck; others are quartered until they do, or until the figure is sure within a part of
the tolerance. Nothing is offset or united, memory is bounded. Lengths in mm.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.proof.gouge import Worst
from outline2path.proof.sweep import Sweep
from outline2path.proof.tracks import Floats

__all__ = ["widest_speck"]

_SURE_SHARE = 0.1
_HALF = np.sqrt(0.5)
_QUARTERS = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
_AT_ONCE = 50_000


def widest_speck(must: BaseGeometry, swept: Sweep, *, tolerance_mm: float) -> Worst:
    """Return the width of the widest speck, mm, and its middle; 0 where none exceeds T.

    Parameters
    ----------
    must : shapely geometry
        Where the middle of a speck would be wrong.
    swept : Sweep
        What is gone.
    tolerance_mm : float
        T: specks up to this width may stay.

    Examples
    --------
    >>> from outline2path.proof.tracks import Nearest
    >>> rows = Nearest(np.array([[0.0, 0.0], [0.0, 2.5]]), np.array([[9.0, 0.0], [9.0, 2.5]]))
    >>> worst = widest_speck(shapely.box(0, 0, 9, 2), Sweep([(rows, 1.0)]), tolerance_mm=0.02)
    >>> round(worst.value, 2)  # between rows 2.5 mm apart
    0.5
    """
    if must.is_empty:
        return Worst(0.0, None, None)
    if not swept.parts:
        circle = shapely.maximum_inscribed_circle(must)
        x, y = shapely.get_coordinates(circle)[0].tolist()
        return Worst(2 * float(circle.length), (x, y), None)
    shapely.prepare(must)
    x0, y0, x1, y1 = must.bounds
    side = max(x1 - x0, y1 - y0)
    waiting = [(np.array([[(x0 + x1) / 2, (y0 + y1) / 2]]), side)]
    best, place = tolerance_mm / 2, None
    while waiting:
        cells, side = waiting.pop()
        short = swept.short(cells)
        inside = np.flatnonzero(short > best)
        inside = inside[shapely.contains_xy(must, *cells[inside].T)]
        if len(inside):
            n = int(inside[short[inside].argmax()])
            x, y = cells[n].tolist()
            best, place = float(short[n]), (x, y)
        if side * _HALF > tolerance_mm * _SURE_SHARE:
            left = cells[short + side * _HALF > best]
            for at in range(0, len(left), _AT_ONCE):
                waiting.append((_quarters(must, left[at : at + _AT_ONCE], side), side / 2))
    return Worst(2 * best if place else 0.0, place, swept.row_near(place))


def _quarters(must: BaseGeometry, cells: Floats, side: float) -> Floats:
    """Return the middles of the quarters of squares, those that touch a region, (n, 2)."""
    middles = (cells[:, None] + _QUARTERS * (side / 4)).reshape(-1, 2)
    low, high = middles - side / 4, middles + side / 4
    squares = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    touching: NDArray[np.bool_] = np.asarray(shapely.intersects(must, squares), dtype=bool)
    return np.asarray(middles[touching])
