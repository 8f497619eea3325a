"""Hairs: edges that go out and come back along the same line, and hold nothing between them.

In: polygons in mm. Out: the same without hairs of no more than a nanometre in width. A drawing
may hold a curve that runs out and returns over itself: it fills nothing, but the rounding of its
points opens it at one flattening and shuts it at another. Rings without a hair stay as they are,
to the last bit; one with hairs loses their points alone. Cost linear in the points.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.tolerance import LENGTH_EPSILON_MM, SAME_MM

__all__ = ["without_hairs"]

Floats = NDArray[np.float64]


def without_hairs(region: shapely.MultiPolygon) -> shapely.MultiPolygon:
    """Return polygons without their hairs, spikes outwards and slits inwards alike.

    Parameters
    ----------
    region : MultiPolygon
        In mm.

    Examples
    --------
    >>> spiked = shapely.Polygon([(0, 0), (9, 0), (9, 5), (12, 5), (9, 5 + 1e-12), (9, 9), (0, 9)])
    >>> without_hairs(shapely.MultiPolygon([spiked])).bounds
    (0.0, 0.0, 9.0, 9.0)
    """
    parts = shapely.get_parts(region)
    rings, owner = shapely.get_rings(parts, return_index=True)
    points, home = shapely.get_coordinates(rings, return_index=True)
    if not len(points):
        return region
    tips = _tips(points, home)
    if not len(tips):
        return region
    haired = np.unique(owner[home[tips]])
    kept: list[Any] = np.delete(parts, haired).tolist()
    for polygon in parts[haired].tolist():
        shell, *holes = [_shorn(ring) for ring in (polygon.exterior, *polygon.interiors)]
        if shell is not None:
            kept.append(shapely.Polygon(shell, [hole for hole in holes if hole is not None]))
    return _sound(kept)


def _sound(polygons: list[Any]) -> shapely.MultiPolygon:
    """Return polygons as one geometry, valid where a hair had crossed another edge."""
    whole = shapely.MultiPolygon(polygons)
    if not shapely.is_valid(whole):
        mended = shapely.make_valid(whole, method="structure", keep_collapsed=False)
        whole = shapely.MultiPolygon(shapely.get_parts(mended).tolist())
    return shapely.orient_polygons(whole)


def _tips(points: Floats, home: NDArray[np.int64]) -> NDArray[np.int64]:
    """Points, the closing ones left out, at which rings turn back over themselves.

    `points`, shape (n, 2), are those of closed rings, `home` the ring of each.
    """
    z = points.view(np.complex128)[:, 0]
    edge = z[1:] - z[:-1]
    last = np.append(np.flatnonzero(home[1:] != home[:-1]), len(edge))
    come, go = np.empty_like(z), np.empty_like(z)
    come[1:], go[:-1] = edge, edge
    come[0] = edge[last[0] - 1]
    come[last[:-1] + 1], go[last] = edge[last[1:] - 1], 0.0
    turn = np.conj(come) * go
    sharp = np.flatnonzero(turn.real < 0)
    longer = np.maximum(np.abs(come[sharp]), np.abs(go[sharp]))
    return np.asarray(sharp[np.abs(turn.imag[sharp]) <= SAME_MM * longer])


def _shorn(ring: Any) -> list[tuple[float, float]] | None:
    """Return a ring's points without its hairs, None where nothing else was."""
    points = shapely.get_coordinates(ring)
    tips = _tips(points, np.zeros(len(points), np.int64)).tolist()
    at = [(x, y) for x, y in points[:-1].tolist()]
    left = len(at)
    before, after = [k - 1 for k in range(left)], [*range(1, left), 0]
    before[0] = left - 1
    while tips and left > 2:
        k = tips.pop()
        b, n = before[k], after[k]
        if after[b] != k or not _is_tip(at[b], at[k], at[n]):  # gone already, or none any more
            continue
        after[b], before[n] = n, b
        left -= 1
        tips += [b, n]
    if left < 3:
        return None
    k = next(k for k in range(len(at)) if after[before[k]] == k)
    kept = [at[k]]
    while len(kept) < left:
        k = after[k]
        kept.append(at[k])
    return kept


def _is_tip(
    before: tuple[float, float], point: tuple[float, float], after: tuple[float, float]
) -> bool:
    """Whether a ring turns back over itself at a point, or stands still there."""
    ax, ay = before[0] - point[0], before[1] - point[1]
    cx, cy = after[0] - point[0], after[1] - point[1]
    if math.hypot(cx, cy) <= LENGTH_EPSILON_MM:
        return True
    longer = max(math.hypot(ax, ay), math.hypot(cx, cy))
    return ax * cx + ay * cy > 0 and abs(ax * cy - ay * cx) <= SAME_MM * longer
