"""The fewest pieces there can be, by brute force: every pair of vertices, every bulge.

Independent of the package: whether an arc through two vertices fits is found by trying bulges on
a fine grid and closing in on the best one, never by the package's intervals. The rules are those
the package states: pieces end on vertices, sweeps up to 270 degrees, radii from 3 tolerances to
5 m, angles that only go forward. The minimum over all chains of pieces is then a shortest path
(dynamic program; Drysdale, Rote and Sturm 2008 do the same with faster tests).
"""

from __future__ import annotations

import math

import numpy as np

BULGES = np.geomspace(1e-5, math.tan(math.radians(270) / 4), 160)


def fewest_pieces(points, tolerance):
    """Number of pieces of the best cover of an open polyline."""
    best = [0] + [math.inf] * (len(points) - 1)
    for first in range(len(points) - 1):
        for last in range(first + 1, len(points)):
            if best[first] + 1 < best[last] and piece_fits(points[first : last + 1], tolerance):
                best[last] = best[first] + 1
    return best[-1]


def fewest_pieces_by(stretches):
    """The same for long polylines, by the package's own word on whether a stretch fits."""
    count = len(stretches.points)
    best = np.full(count, count)
    best[0] = 0
    for first in range(count - 1):
        last = np.arange(first + 1, count)
        ok, _ = stretches.try_pieces(np.full(len(last), first), last)
        best[last[ok]] = np.minimum(best[last[ok]], best[first] + 1)
    return int(best[-1])


def piece_fits(points, tolerance):
    """Whether one line or arc from the first to the last point stays within the tolerance."""
    begin, end = points[0], points[-1]
    size = math.dist(begin, end)
    if size < 1e-9:
        return False
    unit = (end - begin) / size
    along = (points - (begin + end) / 2) @ unit
    across = (points - (begin + end) / 2) @ np.array([-unit[1], unit[0]])
    beyond = np.maximum(np.abs(along) - size / 2, 0)
    if np.hypot(beyond, across).max() <= tolerance:
        return True
    return any(_arc_fits(along, side * across, size / 2, tolerance) for side in (1, -1))


def _arc_fits(along, across, half, tolerance):
    if across.min() < -tolerance or len(along) < 3:
        return False
    bulges = BULGES
    for _ in range(6):
        errors = _errors(along, across, half, bulges)
        k = int(errors.argmin())
        if errors[k] <= tolerance:
            return _proper(along, across, half, bulges[k], tolerance)
        bulges = np.linspace(bulges[max(k - 1, 0)], bulges[min(k + 1, len(bulges) - 1)], 24)
    return False


def _errors(along, across, half, bulges):
    """Greatest distance of the chords from the arc of each bulge: out at vertices, in at feet."""
    radius = half * (1 + bulges**2) / (2 * bulges)
    x, y = along[:, None], across[:, None] - (bulges * half - radius)
    dx, dy = np.diff(along)[:, None], np.diff(across)[:, None]
    foot = np.clip(-(x[:-1] * dx + y[:-1] * dy) / (dx**2 + dy**2), 0, 1)
    nearest = np.hypot(x[:-1] + foot * dx, y[:-1] + foot * dy)
    return np.maximum((np.hypot(x, y) - radius).max(axis=0), (radius - nearest).max(axis=0))


def _proper(along, across, half, bulge, tolerance):
    radius = half * (1 + bulge**2) / (2 * bulge)
    y = across - (bulge * half - radius)
    turned = (along[:-1] * y[1:] - y[:-1] * along[1:]) <= 0  # clockwise over the top
    return bool(turned.all() and 3 * tolerance <= radius <= 5000)
