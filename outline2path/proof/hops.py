"""Hops: rapids that cross the stock lower than the clearance height, where a job allows it.

In: the ends of rapids, what was expected. Out: which of them are allowed. They must not go below
the height told, must stay over the stock, and no clamp may be nearer to their way than the widest
thing that turns: cutter, shank or holder. Nothing here knows how the hops were chosen.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.proof.expected_program import ExpectedProgram

__all__ = ["hops"]

_EVEN = 0.0005
_OVER_MM = 0.001
"""How far a rounded end may lie beside the stock's edge."""

Floats = NDArray[np.float64]


def hops(start: Floats, end: Floats, expected: ExpectedProgram) -> NDArray[np.bool_]:
    """Tell which rapids, from start to end, shape (n, 3), may cross below the clearance height.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.proof.expected_program import ExpectedProgram, KeepOut
    >>> from outline2path.proof.feature import Feature
    >>> from outline2path.shop.cutter import Cutter
    >>> wanted = ExpectedProgram(
    ...     features=(Feature(kind="face", region_fine=shapely.box(0, 0, 9, 9), bottom_mm=-1),),
    ...     cutter=Cutter(3), top_mm=0, bottom_mm=-3, clearance_mm=5, stock_mm=(0, 0, 90, 60),
    ...     hop_mm=1.0, keep_out=(KeepOut(box_mm=(40, 0, 50, 10), top_mm=12.0),))
    >>> start = np.array([(5, 5, 1.0), (5, 5, 1.0), (5, 5, 0.5)])
    >>> end = np.array([(30, 5, 1.0), (80, 5, 1.0), (6, 5, 1.0)])
    >>> hops(start, end, wanted).tolist()
    [True, False, False]
    """
    if expected.hop_mm is None or expected.stock_mm is None:
        return np.zeros(len(start), bool)
    x0, y0, x1, y1 = expected.stock_mm
    ends = np.stack((start, end))
    fits = (ends[..., 2] >= expected.hop_mm - _EVEN).all(axis=0)
    inside = (ends[..., :2] >= np.array([x0, y0]) - _OVER_MM).all(axis=(0, 2))
    inside &= (ends[..., :2] <= np.array([x1, y1]) + _OVER_MM).all(axis=(0, 2))
    allowed = np.asarray(fits & inside, dtype=bool)
    some = np.flatnonzero(allowed)
    ways = shapely.linestrings(np.stack((start[some, :2], end[some, :2]), axis=1))
    for box in expected.keep_out:
        near = shapely.dwithin(ways, shapely.box(*box.box_mm), _widest_mm(expected))
        allowed[some[near]] = False
    return allowed


def _widest_mm(expected: ExpectedProgram) -> float:
    """Half the widest thing that turns."""
    cutter = expected.cutter
    wide = (cutter.diameter_mm, cutter.shank_mm or 0.0, cutter.holder_mm or 0.0)
    return max(wide) / 2
