"""Cuts on the line: the cutter's centre follows the drawn edge itself.

Out: how far the path strays from the edge, and how much of the edge it leaves out, both as the
greatest distance one way, in mm. Exact up to the chords.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.edge import Edge
from outline2path.proof.gouge import Worst
from outline2path.proof.tracks import Floats, Nearest, Pieces

__all__ = ["spots_of", "strays", "uncut"]

_STEP_MM = 0.5


def strays(pieces: Pieces, edge: Edge) -> Worst:
    """Return the greatest distance of the path from the drawn edge.

    Examples
    --------
    >>> import shapely
    >>> square = shapely.orient_polygons(shapely.MultiPolygon([shapely.box(0, 0, 10, 10)]))
    >>> edge = Edge(square, keeps_inside=True, allowance_mm=0.0)
    >>> run = Pieces(np.array([[0.1, 0.0, -1.0]]), np.array([[0.1, 9.0, -1.0]]), np.array([7]))
    >>> strays(run, edge).value
    0.1
    """
    if not len(pieces):
        return Worst(0.0, None, None)
    length = np.hypot(*(pieces.end - pieces.start)[:, :2].T)
    count = np.maximum(np.ceil(length / _STEP_MM), 1).astype(np.int64)
    owner = np.repeat(np.arange(len(pieces)), count)
    step = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    share = ((step + 1) / count[owner])[:, None]
    spots = pieces.start[owner, :2] * (1 - share) + pieces.end[owner, :2] * share
    spots = np.concatenate([spots, pieces.start[:, :2]])
    owner = np.concatenate([owner, np.arange(len(pieces))])
    distance = edge.nearest.distance(spots)
    n = int(distance.argmax())
    x, y = spots[n].tolist()
    return Worst(float(distance[n]), (x, y), int(pieces.row[owner[n]]))


def uncut(
    path: Nearest, edge: Edge, exempt: NDArray[np.bool_] | None = None
) -> tuple[float, tuple[float, float] | None]:
    """Return the greatest distance of the drawn edge from the path, and where.

    Parameters
    ----------
    path : Nearest
        The cutter's centre at one height and below.
    edge : Edge
        The drawn edge.
    exempt : ndarray of bool, optional
        Spots, one for each of `edge.rays(0.5)`, where stock was to stay (tabs).
    """
    spots: Floats = edge.rays(_STEP_MM).origin
    spots = spots if exempt is None else spots[~exempt]
    if not len(spots):
        return 0.0, None
    distance = path.distance(spots)
    n = int(distance.argmax())
    x, y = spots[n].tolist()
    return float(distance[n]), (x, y)


def spots_of(edge: Edge) -> Floats:
    """Return the points of the edge that `uncut` looks at, (n, 2)."""
    return edge.rays(_STEP_MM).origin
