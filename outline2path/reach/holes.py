"""Closed free pieces: holes a cutter must fit into, and the widest disc each one holds.

In: the free space as polygons in mm. Out: for each piece its middle (the centre of the widest
disc) and that disc's diameter. A cutter enters a hole if it is no wider than that.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["widest_discs"]


def widest_discs(
    pieces: NDArray[np.object_], *, within_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Find the widest disc in each polygon.

    Parameters
    ----------
    pieces : ndarray of shapely.Polygon, shape (k,)
        Closed pieces of free space in mm.
    within_mm : float
        Most the radius may be short.

    Returns
    -------
    centres, diameters : ndarray, shapes (k, 2) and (k,)
        In mm.

    Examples
    --------
    >>> triangle = np.array([shapely.Polygon([(0, 0), (4, 0), (0, 3)])])
    >>> centres, diameters = widest_discs(triangle, within_mm=0.0001)
    >>> centres.round(3).tolist(), diameters.round(3).tolist()
    ([[1.0, 1.0]], [2.0])
    """
    if not len(pieces):
        return np.zeros((0, 2)), np.zeros(0)
    radii = shapely.maximum_inscribed_circle(pieces, within_mm)
    return shapely.get_coordinates(shapely.get_point(radii, 0)), 2 * shapely.length(radii)
