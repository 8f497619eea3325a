"""Raising: how much of a ring is raised so that a tab keeps its length on a bend.

In: rings, the place and length of a tab along them, cutter, mm. Out: the stretch to be raised, and
where a tab would need too much of it.

On a straight the path is raised for the tab's length and a cutter's diameter, since a flat cutter
sweeps its radius beyond both ends. Beyond a bend the path comes back nearer to the tab's end than
it has run; there it stays up until all of the tab's middle line is a radius away, less the
tolerance. For a corner of angle b between its two legs that is at most r / sin(b / 2) from the
tab's end, along the path (the isosceles triangle over a base of r; elementary geometry).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.operations.loops import Loop

__all__ = ["crooked", "raised_over", "tab_line"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
_FINE = 64
"""Steps to a diameter in which the end of a raised stretch is looked for."""
_FARTHER = 3.0
"""Diameters beyond a straight tab's raised stretch in which the path may have to stay up."""
_ALLOWED = 0.5
"""Diameters a tab may need to be raised for beyond what a straight one needs: a corner of 60
degrees. Raised stretches are at least a diameter apart on straights, so they stay two."""


def tab_line(loop: Loop, middle_mm: float, length_mm: float) -> shapely.LineString:
    """Return the middle line of a tab: the path over it, less what the cutter sweeps beyond.

    Examples
    --------
    >>> from outline2path.operations.loops import Loop
    >>> loop = Loop.of([(0, 0), (20, 0), (20, 20), (0, 20)])
    >>> tab_line(loop, 10.0, 6.0).wkt
    'LINESTRING (7 0, 13 0)'
    """
    half = min(length_mm, loop.length_mm) / 2
    return shapely.LineString(loop.piece(middle_mm - half, middle_mm + half))


def raised_over(
    loop: Loop,
    middle_mm: float,
    tab: shapely.LineString,
    *,
    cutter_mm: float,
    tolerance_mm: float,
) -> tuple[float, float]:
    """Return the stretch of a ring that is raised over a tab.

    Parameters
    ----------
    loop : Loop
        The tab's own ring or one beside it, mm.
    middle_mm : float
        Distance along it of the place beside the tab's middle.
    tab : LineString
        Middle line of the tab.
    cutter_mm : float
        Cutting diameter.
    tolerance_mm : float
        How far a low pass may sweep into the tab's end.

    Returns
    -------
    start, end : float
        Distances along the ring, mm; start within one round, end greater than start.

    Examples
    --------
    >>> from outline2path.operations.loops import Loop
    >>> loop = Loop.of([(0, 0), (20, 0), (20, 20), (0, 20)])
    >>> sizes = {"cutter_mm": 2.0, "tolerance_mm": 0.0}
    >>> raised_over(loop, 10.0, tab_line(loop, 10.0, 6.0), **sizes)
    (6.0, 14.0)
    >>> low, high = raised_over(loop, 16.4, tab_line(loop, 16.4, 6.0), **sizes)
    >>> round(low, 3), 20.8 <= high < 20.84  # 0.6 before the corner, 0.8 beyond: a radius away
    (12.4, True)
    """
    half = (tab.length + cutter_mm) / 2
    if 2 * half >= loop.length_mm:
        low = middle_mm - loop.length_mm / 2
        return low % loop.length_mm, low % loop.length_mm + loop.length_mm
    step = cutter_mm / _FINE
    more = np.arange(step, min(_FARTHER * cutter_mm, loop.length_mm / 2 - half), step)
    ends = []
    for way in (-1.0, 1.0):
        points = shapely.points(loop.at(middle_mm + way * (half + more)))
        near = shapely.distance(points, tab) < cutter_mm / 2 - tolerance_mm
        beyond = float(more[np.flatnonzero(near)[-1]]) + step if near.any() else 0.0
        ends.append(half + beyond)
    back, on = ends
    low = (middle_mm - back) % loop.length_mm
    return low, low + min(back + on, loop.length_mm)


def crooked(places: Floats, *, step_mm: float, length_mm: float, cutter_mm: float) -> Flags:
    """Flag where the ring bends back too near for a tab to be raised over.

    Parameters
    ----------
    places : ndarray, shape (n, 2)
        The ring in even steps, mm.
    step_mm, length_mm, cutter_mm : float
        Between places; of a tab; cutting diameter.

    Returns
    -------
    ndarray, shape (n,)
        True where a tab with its middle there would need more than half a diameter beyond what a
        straight one needs.

    Examples
    --------
    >>> there = np.column_stack((np.arange(0, 40.0, 0.5), np.zeros(80)))
    >>> back = there[::-1] + (0, 1)  # a hairpin, nearer than a radius
    >>> ring = np.vstack((there, back))
    >>> flags = crooked(ring, step_mm=0.5, length_mm=6.0, cutter_mm=4.0)
    >>> bool(flags[40]), bool(flags[76])
    (False, True)
    """
    count = len(places)
    least = math.floor((0.5 + _ALLOWED) * cutter_mm / step_mm) + 1
    most = min(math.floor((0.5 + _FARTHER) * cutter_mm / step_mm), count // 2)
    window = math.ceil(length_mm / step_mm)
    before, behind = np.zeros(count, dtype=bool), np.zeros(count, dtype=bool)
    for apart in range(least, most + 1):
        gone = np.roll(places, -apart, axis=0) - places
        near = np.einsum("ij,ij->i", gone, gone) < (cutter_mm / 2) ** 2
        if not near.any():
            continue
        for ahead in range(min(apart - least, window) + 1):  # the tab's end, of the near pair
            before |= np.roll(near, ahead)
            behind |= np.roll(near, apart - ahead)
    half = round(length_mm / 2 / step_mm)
    return np.roll(before, -half) | np.roll(behind, half)
