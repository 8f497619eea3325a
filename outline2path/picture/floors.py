"""Floors: how deep a program cuts along a line.

In: traces of cutting moves (mm) and the cutters. Out: for each place along a line the lowest z a
cutter has stood at. Exact for straight moves of flat cutters: of each move the stretch within a
cutter's radius of the place is taken, and the lower end of that stretch. Cones and balls count as
so many flat discs one above the other, each at the height of its middle: on a slope of 45 degrees
that is right to a hundredth of the cutter's diameter.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.picture.moves import Trace
from outline2path.tolerance import LENGTH_EPSILON_MM

if TYPE_CHECKING:
    from outline2path.shop.cutter import Cutter

__all__ = ["floor_along", "places_along"]

_Array = NDArray[np.float64]
_ROWS_AT_ONCE = 400_000
_DISCS = 50
_ABOVE = frozenset({"rapid", "approach", "retract"})


def places_along(
    begin: tuple[float, float], end: tuple[float, float], *, count: int = 900
) -> _Array:
    """Return `count` evenly spaced places (mm) from begin to end, both included."""
    return np.linspace(np.asarray(begin, float), np.asarray(end, float), count)


def floor_along(
    lines: Sequence[Trace], cutters: Sequence[Cutter], places: _Array, *, top_mm: float
) -> _Array:
    """Return the z of the floor at each place, mm; `top_mm` where nothing was cut.

    Parameters
    ----------
    lines : sequence of Trace
        Rapids, approaches and retracts among them are passed over.
    cutters : sequence of Cutter
        One a section.
    places : ndarray, shape (n, 2)
        Where to look, mm.
    top_mm : float
        z of the uncut stock.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> slot = Trace("cut", 0, np.array([[0.0, 0, -2], [10, 0, -2]]))
    >>> floor_along([slot], [Cutter(4)], np.array([[5.0, 1.9], [5, 2.1]]), top_mm=0.0)
    array([-2.,  0.])
    """
    floor = np.full(len(places), float(top_mm))
    cutting = [t for t in lines if t.role not in _ABOVE]
    if not cutting:
        return floor
    discs = {cutter: _discs(cutter) for cutter in set(cutters)}
    moves = [
        (np.add(t.points, (0.0, 0.0, height)), radius)
        for t in cutting
        for radius, height in discs[cutters[t.section]]
    ]
    starts = np.vstack([points[:-1] for points, _ in moves])
    ends = np.vstack([points[1:] for points, _ in moves])
    radius = np.repeat([r for _, r in moves], [len(points) - 1 for points, _ in moves])
    near = _near(starts, ends, radius, places)
    starts, ends, radius = starts[near], ends[near], radius[near]
    rows = max(_ROWS_AT_ONCE // len(places), 1)
    for k in range(0, len(starts), rows):
        part = slice(k, k + rows)
        lowest = _lowest(starts[part], ends[part], radius[part], places)
        floor = np.minimum(floor, lowest.min(axis=0))
    return floor


def _discs(cutter: Cutter) -> list[tuple[float, float]]:
    """Return the flat discs that stand for a cutter: radius, and height above the tip."""
    if cutter.shape in {"flat", "facing"}:
        return [(cutter.radius_mm, 0.0)]
    radii = np.linspace(0.0, cutter.radius_mm, _DISCS + 1)
    middles = (radii[:-1] + radii[1:]) / 2
    heights = [cutter.depth_for_radius_mm(r) for r in middles.tolist()]
    return list(zip(radii[1:].tolist(), heights, strict=True))


def _near(starts: _Array, ends: _Array, radius: _Array, places: _Array) -> NDArray[np.bool_]:
    """Which moves come near the box about all places."""
    low, high = places.min(axis=0), places.max(axis=0)
    reach = radius[:, None]
    upper = np.maximum(starts[:, :2], ends[:, :2]) + reach
    lower = np.minimum(starts[:, :2], ends[:, :2]) - reach
    return np.asarray(((upper >= low) & (lower <= high)).all(axis=1))


def _lowest(starts: _Array, ends: _Array, radius: _Array, places: _Array) -> _Array:
    """Lowest z of each move within its radius of each place, infinite where it is farther."""
    run = ends[:, :2] - starts[:, :2]
    length = np.hypot(run[:, 0], run[:, 1])[:, None]
    upright = length <= LENGTH_EPSILON_MM
    over = np.where(upright, 1.0, length)
    unit = run / over
    away = places[None, :, :] - starts[:, None, :2]
    along = (away * unit[:, None, :]).sum(axis=2)
    aside2 = (away**2).sum(axis=2) - along**2
    half2 = radius[:, None] ** 2 - aside2
    half = np.sqrt(np.maximum(half2, 0.0))
    first, last = np.clip(along - half, 0, length), np.clip(along + half, 0, length)
    touched = (half2 >= 0) & (along + half >= 0) & (along - half <= length)
    fall = (ends[:, 2:] - starts[:, 2:]) / over
    z = starts[:, 2:] + fall * np.where(fall < 0, last, first)
    z = np.where(upright, np.minimum(starts[:, 2:], ends[:, 2:]), z)
    return np.where(touched, z, np.inf)
