"""Cuts on the line: the cutter's centre follows the drawn line itself.

Out: how far the path strays from the line, and how much of the line it leaves out, both as the
greatest distance one way, in mm. Exact at points half a millimetre apart.
"""

from __future__ import annotations

import numpy as np

from outline2path.proof.tracks import Floats, Nearest, Pieces

__all__ = ["farthest", "uncut"]

_STEP_MM = 0.5


def farthest(pieces: Pieces, line: Nearest) -> tuple[Floats, Floats]:
    """Return how far each piece strays from a line, mm, and where, (n, 2).

    Examples
    --------
    >>> line = Nearest(np.array([[0.0, 0.0]]), np.array([[0.0, 10.0]]))
    >>> run = Pieces(np.array([[0.1, 0.0, -1.0]]), np.array([[0.1, 9.0, -1.0]]), np.array([7]))
    >>> farthest(run, line)[0].tolist()
    [0.1]
    """
    if not len(pieces):
        return np.zeros(0), np.zeros((0, 2))
    length = np.hypot(*(pieces.end - pieces.start)[:, :2].T)
    count = np.maximum(np.ceil(length / _STEP_MM), 1).astype(np.int64) + 1
    owner = np.repeat(np.arange(len(pieces)), count)
    step = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    share = (step / (count[owner] - 1))[:, None]
    spots = pieces.start[owner, :2] * (1 - share) + pieces.end[owner, :2] * share
    distance = line.distance(spots)
    order = np.lexsort((-distance, owner))
    first = order[np.searchsorted(owner[order], np.arange(len(pieces)))]
    return distance[first], spots[first]


def uncut(path: Nearest, spots: Floats) -> tuple[float, tuple[float, float] | None]:
    """Return the greatest distance of spots on the drawn line from the path, and where.

    Parameters
    ----------
    path : Nearest
        The cutter's centre at one height and below.
    spots : ndarray, (n, 2)
        Points of the drawn line, without those where stock was to stay (tabs).

    Examples
    --------
    >>> path = Nearest(np.array([[0.0, 0.0]]), np.array([[0.0, 10.0]]))
    >>> uncut(path, np.array([[0.0, 4.0], [0.0, 11.0]]))
    (1.0, (0.0, 11.0))
    """
    if not len(spots):
        return 0.0, None
    distance = path.distance(spots)
    n = int(distance.argmax())
    x, y = spots[n].tolist()
    return float(distance[n]), (x, y)
