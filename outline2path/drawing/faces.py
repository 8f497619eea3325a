"""Faces: rings that cross, touch or repeat -> the area they fill, exactly.

In: closed rings of one shape in any unit; the rule nonzero or evenodd. The edges are cut at every
crossing, the faces between them are built, and each is kept or not by the winding number of a
point inside it. Out: the kept faces together, and the area each ring would fill by itself.
Definitions: SVG 2 section 13.4 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.drawing.loops import different_edges
from outline2path.errors import DrawingError

__all__ = ["Crossed", "crossed_area", "winding_numbers"]

_CHUNK = 2000
"""Points judged at once, to bound memory."""
_FEW = 200_000
"""Pairs of points and edges up to which looking at each is faster than a tree."""
_MOST_PAIRS = 1_000_000
"""Pairs of faces and rings that are told apart."""
_SAMPLE = 400
_LONG = 20_000
"""Edges from which those drawn again and again are looked for; stitched art has them."""
_MOST_MEETINGS = 1e5
"""Pairs of edges that may meet in one shape; stitched art has thousands."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False, slots=True)
class Crossed:
    """A shape whose rings cross, touch or repeat one another or themselves.

    Attributes
    ----------
    area : MultiPolygon
        What the rings fill together.
    rings : tuple of ndarray, shape (n, 2)
        Closed.
    alone : ndarray or None
        Area that each ring would fill by itself; None where there are too many to tell.
    """

    area: Any
    rings: tuple[Floats, ...]
    alone: Floats | None = None


def crossed_area(rings: Sequence[Floats], rule: str) -> Crossed:
    """Return the area of rings, by cutting all edges at their crossings and judging each face.

    Parameters
    ----------
    rings : sequence of ndarray, shape (n, 2)
        Closed, the first point repeated, none twice in a row.
    rule : "nonzero" or "evenodd"

    Raises
    ------
    DrawingError
        When they cross more often than any drawing's do.

    Examples
    --------
    >>> bow = np.array([[0, 0], [2, 2], [2, 0], [0, 2], [0, 0.0]])
    >>> crossed_area([bow], "nonzero").area.area
    2.0
    """
    points = np.concatenate(rings)
    ring = np.arange(len(rings)).repeat([len(r) for r in rings])
    within = ring[1:] == ring[:-1]
    edges, ring_of, weight = np.hstack([points[:-1], points[1:]])[within], ring[1:][within], None
    lines = (points, ring)
    if len(edges) > _LONG:
        edges, weight = different_edges(edges, evenodd=rule == "evenodd")
        left = _filled(weight, rule)
        edges, weight = edges[left], weight[left]
        lines = (edges.reshape(-1, 2), np.arange(len(edges)).repeat(2))
    _refuse_tangle(edges)
    noded = shapely.union_all(shapely.linestrings(lines[0], indices=lines[1]))
    faces = shapely.get_parts(shapely.polygonize([noded]))
    if not len(faces):
        return Crossed(shapely.MultiPolygon(), tuple(rings), np.zeros(len(rings)))
    with np.errstate(over="ignore"):  # of needles, whose middle is found all the same
        xy = shapely.get_coordinates(shapely.point_on_surface(faces))
    which, edge, worth = _hits(edges, xy, weight)
    winding = np.rint(np.bincount(which, weights=worth, minlength=len(xy)))
    alone = None
    if weight is None and len(faces) * len(rings) <= _MOST_PAIRS:
        pair = which * len(rings) + ring_of[edge]
        each = np.bincount(pair, weights=worth, minlength=len(faces) * len(rings))
        alone = shapely.area(faces) @ _filled(each, rule).reshape(len(faces), -1)
    return Crossed(_united(faces[_filled(winding, rule)]), tuple(rings), alone)


def _filled(winding: Floats | Ints, rule: str) -> NDArray[np.bool_]:
    return np.asarray(winding % 2 == 1) if rule == "evenodd" else np.asarray(winding != 0)


def _united(faces: NDArray[Any]) -> shapely.MultiPolygon:
    """Faces that share whole edges or points as one area."""
    area = faces
    if len(faces) > 1:
        try:
            area = shapely.coverage_union_all(faces)
        except shapely.errors.GEOSException:  # faces so thin that rounding made them overlap
            area = shapely.union_all(faces)
    parts = shapely.get_parts(area)
    parts = parts[shapely.get_type_id(parts) == 3]
    return shapely.orient_polygons(shapely.multipolygons(parts))


def _refuse_tangle(edges: Floats) -> None:
    """Refuse scribbles with more crossings than any drawing has."""
    low, high = np.minimum(edges[:, :2], edges[:, 2:]), np.maximum(edges[:, :2], edges[:, 2:])
    if min(_side_by_side(low[:, k], high[:, k]) for k in (0, 1)) <= _MOST_MEETINGS:
        return
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    some = boxes[:: len(boxes) // _SAMPLE + 1]
    pairs = len(shapely.STRtree(some).query(some)[0]) * (len(boxes) / max(len(some), 1)) ** 2 / 2
    if pairs > _MOST_MEETINGS:
        raise DrawingError(
            f"a shape of {len(edges)} edges crosses itself about {pairs:.0e} times",
            value=pairs,
            limit=_MOST_MEETINGS,
            remedy="simplify the shape or take out the scribble",
        )


def _side_by_side(low: Floats, high: Floats) -> int:
    """Count pairs of spans along one axis that meet."""
    if len(low) ** 2 / 2 <= _MOST_MEETINGS:
        return 0
    order = np.sort(low)
    return int(np.searchsorted(order, high, side="right").sum()) - len(low) * (len(low) + 1) // 2


def winding_numbers(edges: Floats, points: Floats, weight: Ints | None = None) -> Ints:
    """Return the winding number around each point.

    Parameters
    ----------
    edges : ndarray, shape (n, 4)
        x0, y0, x1, y1 of directed edges of closed rings.
    points : ndarray, shape (m, 2)
        Points off the edges.
    weight : ndarray of int, shape (n,), optional
        How often each edge counts; once unless told.

    Examples
    --------
    >>> square = np.array([[0, 0, 2, 0], [2, 0, 2, 2], [2, 2, 0, 2], [0, 2, 0, 0.0]])
    >>> winding_numbers(square, np.array([[1.0, 1.0], [3.0, 1.0]])).tolist()
    [1, 0]
    """
    which, _, worth = _hits(edges, points, weight)
    winding = np.bincount(which, weights=worth, minlength=len(points))
    return np.rint(winding).astype(np.int64)


def _hits(edges: Floats, points: Floats, weight: Ints | None) -> tuple[Ints, Ints, Floats]:
    """Edges that a level ray from each point to the right crosses, and what each counts."""
    low, high = np.minimum(edges[:, 1], edges[:, 3]), np.maximum(edges[:, 1], edges[:, 3])
    if len(edges) * len(points) <= _FEW:
        y = points[:, 1, None]
        which, edge = np.nonzero((low <= y) & (y < high))
    else:
        which, edge = _level_with(edges, points, low, high)
    e, px, py = edges[edge], points[which, 0], points[which, 1]
    side = (e[:, 2] - e[:, 0]) * (py - e[:, 1]) - (px - e[:, 0]) * (e[:, 3] - e[:, 1])
    up = e[:, 3] > e[:, 1]
    hit = np.where(up, side > 0, side < 0)
    which, edge, up = which[hit], edge[hit], up[hit]
    counts = 1.0 if weight is None else weight[edge]
    return which, edge, np.where(up, counts, -counts)


def _level_with(edges: Floats, points: Floats, low: Floats, high: Floats) -> tuple[Ints, Ints]:
    """Pairs of points and edges at the same height, the edges not wholly to the left."""
    left, right = np.minimum(edges[:, 0], edges[:, 2]), np.maximum(edges[:, 0], edges[:, 2])
    tree = shapely.STRtree(shapely.box(left, low, right, high))
    end = float(right.max(initial=0.0)) + 1.0
    found = []
    for first in range(0, len(points), _CHUNK):
        x, y = points[first : first + _CHUNK].T
        far = np.stack([np.maximum(x, end), y], axis=1)
        rays = shapely.linestrings(np.stack([np.stack([x, y], axis=1), far], axis=1))
        which, edge = tree.query(rays)
        level = (low[edge] <= y[which]) & (y[which] < high[edge])
        found.append((which[level] + first, edge[level]))
    which, edge = (np.concatenate(parts) for parts in zip(*found, strict=True))
    return which, edge
