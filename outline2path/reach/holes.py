"""Closed free pieces: holes a cutter must fit into, and the widest disc each one holds.

In: the free space as polygons in mm. Out: for each piece its middle (the centre of the widest
disc) and that disc's diameter. A cutter enters a hole if it is no wider than that.

A coarse search over each piece finds the disc to within a given length; then all centres climb
together, each away from its nearest edge by ever smaller steps, and keep the best they met.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.reach.boundary import Boundary, Floats

__all__ = ["widest_discs"]

CLIMBS = 64
"""Steps of the climb: the last is a 30 000th of the first."""
SHRINK = 0.85
"""Each step as a share of the one before."""


def widest_discs(
    pieces: NDArray[np.object_], boundary: Boundary, *, within_mm: Floats
) -> tuple[Floats, Floats]:
    """Find the widest disc in each polygon.

    Parameters
    ----------
    pieces : ndarray of shapely.Polygon, shape (k,)
        Closed pieces of free space in mm.
    boundary : Boundary
        Their edges.
    within_mm : ndarray, shape (k,)
        Most the coarse search may be short of each radius; the climb makes nearly all of it good.

    Returns
    -------
    centres, diameters : ndarray, shapes (k, 2) and (k,)
        In mm.

    Examples
    --------
    >>> from outline2path.reach.boundary import Boundary
    >>> triangle = shapely.Polygon([(0, 0), (4, 0), (0, 3)])
    >>> edges = Boundary.of(shapely.MultiPolygon([triangle]), free_inside=True)
    >>> centres, diameters = widest_discs(np.array([triangle]), edges, within_mm=np.array([0.01]))
    >>> centres.round(3).tolist(), diameters.round(4).tolist()
    ([[1.0, 1.0]], [2.0])
    """
    if not len(pieces):
        return np.zeros((0, 2)), np.zeros(0)
    found = shapely.maximum_inscribed_circle(pieces, within_mm)
    centre = shapely.get_coordinates(shapely.get_point(found, 0))
    return _climb(boundary, centre, 4 * within_mm)


def _climb(boundary: Boundary, centre: Floats, step_mm: Floats) -> tuple[Floats, Floats]:
    """Move centres away from their nearest edges and keep the best; twice the best distance."""
    best, widest = centre.copy(), np.zeros(len(centre))
    for _ in range(CLIMBS):
        away, nearest = boundary.nearest(centre)
        better = away > widest
        best[better], widest[better] = centre[better], away[better]
        arm = centre - nearest
        centre = centre + step_mm[:, None] * arm / np.maximum(np.hypot(*arm.T), step_mm)[:, None]
        step_mm = step_mm * SHRINK
    return best, 2 * widest
