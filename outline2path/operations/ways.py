"""Ways: how to get from one place to another without leaving an area.

In: a polygon and two places in it or on its edge, mm. Out: a short polyline between them that
stays in it: the straight line, and round by the edge where that line would leave. It is short,
not shortest: what goes round is then pulled straight where it can be.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.tolerance import SAME_MM

__all__ = ["split_way", "way_within"]

Floats = NDArray[np.float64]
_SOME = np.linspace(0, 1, 9)[1:-1]
"""Shares of a line at which it is looked whether it has left an area."""


def way_within(
    area: shapely.Polygon, start: Floats, end: Floats, *, off_mm: float = 0.0
) -> Floats:
    """Return a way between two places of an area that stays in the area.

    Parameters
    ----------
    area : Polygon
        Where the way may run, mm; its edge belongs to it.
    start, end : ndarray, shape (2,)
        Places in it, mm.
    off_mm : float
        Where the way must go round, it keeps this far off the edge if it can, mm.

    Returns
    -------
    ndarray, shape (n, 2)
        From start to end, n >= 2.

    Examples
    --------
    >>> block = shapely.box(0, 0, 9, 9).difference(shapely.box(3, 2, 6, 8))
    >>> way_within(block, np.array([1.0, 3]), np.array([8.0, 3])).tolist()
    [[1.0, 3.0], [3.0, 2.0], [6.0, 2.0], [8.0, 3.0]]
    """
    straight = np.stack((start, end))
    outside = _outside(area, straight)
    if not outside:
        return straight
    if off_mm > 0:
        inner = _way_off_edge(area, start, end, off_mm)
        if inner is not None:
            return inner
    points = [start[None]]
    for leave, back in outside:
        points.append(_round_by_edge(area, leave, back))
    points.append(end[None])
    return _taut(area, _distinct(np.vstack(points)))


def _way_off_edge(
    area: shapely.Polygon, start: Floats, end: Floats, off_mm: float
) -> Floats | None:
    """Go straight into the area as shrunk, stay in it, and go straight out of it at the end."""
    ends = shapely.points(np.stack((start, end)))
    pieces = shapely.get_parts(shapely.buffer(area, -off_mm, quad_segs=4))
    for piece in pieces[~shapely.is_empty(pieces)]:
        into = shapely.get_coordinates(shapely.shortest_line(piece, ends))[::2]
        steps = [np.stack((start, into[0])), np.stack((into[1], end))]
        if np.hypot(*(steps[0][1] - steps[0][0])) > 2 * off_mm:
            continue
        if not any(_outside(area, step) for step in steps):
            return _distinct(np.vstack((start, way_within(piece, into[0], into[1]), end)))
    return None


def _outside(area: BaseGeometry, line: Floats) -> list[tuple[Floats, Floats]]:
    """Return the ends of each stretch of a straight line that lies outside, in order."""
    left = shapely.difference(shapely.LineString(line), area)
    parts = shapely.get_parts(left)
    parts = parts[shapely.length(parts) > SAME_MM]
    looked_at = [shapely.line_interpolate_point(parts, s, normalized=True) for s in _SOME]
    far = shapely.distance(area, np.array(looked_at)).max(axis=0, initial=0.0)
    parts = parts[far > SAME_MM]  # rounding puts stretches of an edge beside itself
    ends = [shapely.get_coordinates(part)[[0, -1]] for part in parts]
    ends.sort(key=lambda pair: float(np.hypot(*(pair[0] - line[0]))))
    return [(pair[0], pair[1]) for pair in ends]


def _round_by_edge(area: shapely.Polygon, leave: Floats, back: Floats) -> Floats:
    """Follow the ring that a line crosses at two places, the shorter way round."""
    rings = shapely.get_rings(area)
    spots = shapely.points(np.stack((leave, back)))
    far = shapely.distance(rings[:, None], spots[None]).max(axis=1)
    ring = shapely.LineString(rings[int(np.argmin(far))])
    a, b = shapely.line_locate_point(ring, spots).tolist()
    points = shapely.get_coordinates(ring)
    marks = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
    low, high = min(a, b), max(a, b)
    if high - low <= marks[-1] / 2:
        way = points[(marks > low) & (marks < high)]
    else:
        way = np.vstack((points[:-1][marks[:-1] > high], points[:-1][marks[:-1] < low]))
        way = way[::-1]
    return np.vstack((leave, way if a < b else way[::-1], back))


def _distinct(points: Floats) -> Floats:
    """Leave out points that are one with the point before; the ends stay."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    kept = np.vstack((points[:1], points[1:][steps > SAME_MM]))
    if len(kept) < 2:
        return points[[0, -1]]
    kept[-1] = points[-1]
    return kept


def _taut(area: shapely.Polygon, points: Floats) -> Floats:
    """Leave out points where a straight line stays in the area; look twice as far each time."""
    shapely.prepare(area)
    kept, here, last = [0], 0, len(points) - 1
    while here < last:
        reach = 1
        while here + reach < last:
            further = min(2 * reach, last - here)
            if not _sees(area, points[here], points[here + further]):
                break
            reach = further
        here += reach
        kept.append(here)
    return points[kept]


def _sees(area: shapely.Polygon, start: Floats, end: Floats) -> bool:
    """Tell whether a straight line stays in a prepared area; a few points settle most cases."""
    some = start + np.outer(_SOME, end - start)
    if not np.all(shapely.intersects_xy(area, some)):
        return False
    return not _outside(area, np.stack((start, end)))


def split_way(way: Floats, cleared: BaseGeometry | None) -> list[tuple[bool, Floats]]:
    """Split a way into stretches inside (True) and outside (False) a cleared area, in order.

    Examples
    --------
    >>> way = np.array([[0.0, 0], [4, 0], [8, 0]])
    >>> [(inside, part.tolist()) for inside, part in split_way(way, shapely.box(-1, -1, 3, 1))]
    [(True, [[0.0, 0.0], [3.0, 0.0]]), (False, [[3.0, 0.0], [4.0, 0.0], [8.0, 0.0]])]
    """
    line = shapely.LineString(way)
    if cleared is None or cleared.is_empty:
        return [(False, way)]
    inside = shapely.get_parts(shapely.intersection(line, cleared))
    inside = inside[shapely.length(inside) > SAME_MM]
    if not len(inside):
        return [(False, way)]
    ends = shapely.points(np.array([shapely.get_coordinates(part)[[0, -1]] for part in inside]))
    spans = np.sort(shapely.line_locate_point(line, ends), axis=1)
    spans = spans[np.argsort(spans[:, 0])]
    parts, here = [], 0.0
    for low, high in spans.tolist():
        if low - here > SAME_MM:
            parts.append((False, _between(way, here, low)))
        else:
            low = here
        parts.append((True, _between(way, low, high)))
        here = high
    if line.length - here > SAME_MM:
        parts.append((False, _between(way, here, line.length)))
    else:
        parts[-1][1][-1] = way[-1]
    return parts


def _between(way: Floats, low: float, high: float) -> Floats:
    marks = np.append(0.0, np.cumsum(np.hypot(*np.diff(way, axis=0).T)))
    stops = np.concatenate(
        ([low], marks[(marks > low + SAME_MM) & (marks < high - SAME_MM)], [high])
    )
    return np.column_stack(
        (np.interp(stops, marks, way[:, 0]), np.interp(stops, marks, way[:, 1]))
    )
