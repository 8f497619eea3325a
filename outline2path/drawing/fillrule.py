"""Fill rules: closed rings, as drawn -> the area they fill, as valid polygons.

In: rings of one shape in any unit, with crossings, overlaps, spikes and doubled edges as they
come; the rule nonzero or evenodd. Out: a MultiPolygon, the exact set of points whose winding
number is nonzero (odd). Rings that neither touch nor cross are nested by containment, which is
fast. Otherwise the edges are cut at every crossing, the faces between them are built, and each
face is kept or not by the winding number of a point inside it. Definitions: SVG 2 section 13.4
(from memory).
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["EMPTY", "area_and_soundness", "filled_area", "single_areas", "winding_numbers"]

EMPTY = shapely.MultiPolygon()
"""No area."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def filled_area(rings: list[Floats], rule: str) -> shapely.MultiPolygon:
    """Return the area that rings fill.

    Parameters
    ----------
    rings : list of ndarray, shape (n, 2)
        Closed rings; the first point need not be repeated.
    rule : "nonzero" or "evenodd"

    Examples
    --------
    Two nested squares of 10 and 4 in the same direction (SVG 2 section 13.4):

    >>> big = np.array([[0, 0], [10, 0], [10, 10], [0, 10.0]])
    >>> small = np.array([[3, 3], [7, 3], [7, 7], [3, 7.0]])
    >>> filled_area([big, small], "nonzero").area, filled_area([big, small], "evenodd").area
    (100.0, 84.0)
    """
    return area_and_soundness(rings, rule)[0]


def area_and_soundness(rings: list[Floats], rule: str) -> tuple[shapely.MultiPolygon, bool]:
    """Return the filled area, and whether no ring crosses, touches or repeats another or itself.

    Examples
    --------
    >>> bow = np.array([[0, 0], [2, 2], [2, 0], [0, 2.0]])
    >>> area_and_soundness([bow], "nonzero")[1]
    False
    """
    rings = [r for r in map(_tidy, rings) if len(r) >= 4]
    if not rings:
        return EMPTY, True
    index = np.repeat(np.arange(len(rings)), [len(r) for r in rings])
    polygons = shapely.polygons(shapely.linearrings(np.concatenate(rings), indices=index))
    valid = shapely.is_valid(polygons)
    if valid.all():
        nested = _nested(polygons, rings, rule)
        if nested is not None:
            return nested, True
    return _by_faces(rings, rule), False


def single_areas(rings: list[Floats]) -> list[shapely.MultiPolygon | None]:
    """Return the area of each ring by itself, all at once; None for those that need more care.

    Examples
    --------
    >>> [a.area for a in single_areas([np.array([[0, 0], [2, 0], [2, 2], [0, 2.0]])])]
    [4.0]
    """
    long = [k for k, r in enumerate(rings) if len(r) >= 4]
    result: list[shapely.MultiPolygon | None] = [None] * len(rings)
    if not long:
        return result
    index = np.repeat(np.arange(len(long)), [len(rings[k]) for k in long])
    points = np.concatenate([rings[k] for k in long])
    polygons = shapely.polygons(shapely.linearrings(points, indices=index))
    valid = shapely.is_valid(polygons)
    polygons = shapely.orient_polygons(shapely.remove_repeated_points(polygons[valid], 0.0))
    areas = shapely.multipolygons(polygons, indices=np.arange(len(polygons)))
    for k, area in zip(np.flatnonzero(valid).tolist(), areas.tolist(), strict=True):
        result[long[k]] = area
    return result


def _tidy(ring: Floats) -> Floats:
    """Close a ring and drop repeated points."""
    if len(ring) and not np.array_equal(ring[0], ring[-1]):
        ring = np.concatenate([ring, ring[:1]])
    moved = np.ones(len(ring), dtype=bool)
    moved[1:] = (ring[1:] != ring[:-1]).any(axis=1)
    return ring[moved]


def _signed_area(ring: Floats) -> float:
    x, y = ring[:, 0] - ring[0, 0], ring[:, 1] - ring[0, 1]
    return float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum()) / 2


def _nested(
    polygons: NDArray[np.object_], rings: list[Floats], rule: str
) -> shapely.MultiPolygon | None:
    """Area of rings that neither touch nor cross one another; None where they do."""
    signs = np.array([1 if _signed_area(r) > 0 else -1 for r in rings])
    if len(rings) == 1:
        return shapely.orient_polygons(shapely.MultiPolygon([polygons[0]]))
    shapely.prepare(polygons)
    tree = shapely.STRtree(polygons)
    first, second = tree.query(polygons, predicate="intersects")
    other = first != second
    first, second = first[other], second[other]
    within = shapely.contains_properly(polygons[second], polygons[first])
    around = shapely.contains_properly(polygons[first], polygons[second])
    if not (within | around).all():
        return None
    inner, outer = first[within], second[within]
    depth = np.bincount(inner, minlength=len(rings))
    around_sum = np.bincount(inner, weights=signs[outer], minlength=len(rings)).astype(np.int64)
    if rule == "evenodd":
        inside, outside = (depth % 2 == 0), (depth % 2 == 1)
    else:
        inside, outside = (around_sum + signs != 0), (around_sum != 0)
    return _assemble(polygons, inner, outer, depth, inside & ~outside, outside & ~inside)


def _assemble(
    polygons: NDArray[np.object_],
    inner: Ints,
    outer: Ints,
    depth: Ints,
    shells: NDArray[np.bool_],
    holes: NDArray[np.bool_],
) -> shapely.MultiPolygon:
    """Give each hole to the deepest shell around it."""
    rings = shapely.get_exterior_ring(polygons)
    pair = holes[inner] & shells[outer]
    hole, shell = inner[pair], outer[pair]
    order = np.lexsort((depth[shell], hole))
    hole, shell = hole[order], shell[order]
    last = np.append(hole[1:] != hole[:-1], True) if len(hole) else np.zeros(0, dtype=bool)
    home: dict[int, list[int]] = {}
    for h, s in zip(hole[last].tolist(), shell[last].tolist(), strict=True):
        home.setdefault(s, []).append(h)
    built = [
        shapely.polygons(rings[s], holes=rings[home[s]]) if s in home else polygons[s]
        for s in np.flatnonzero(shells).tolist()
    ]
    return shapely.orient_polygons(shapely.MultiPolygon(built))


def _by_faces(rings: list[Floats], rule: str) -> shapely.MultiPolygon:
    """Area by cutting all edges at their crossings and judging each face."""
    index = np.repeat(np.arange(len(rings)), [len(r) for r in rings])
    lines = shapely.linestrings(np.concatenate(rings), indices=index)
    noded = shapely.union_all(lines)
    faces = shapely.get_parts(shapely.polygonize([noded]))
    if not len(faces):
        return EMPTY
    points = shapely.point_on_surface(faces)
    xy = shapely.get_coordinates(points)
    edges = np.concatenate([np.hstack([r[:-1], r[1:]]) for r in rings])
    winding, crossings = winding_numbers(edges, xy)
    keep = (crossings % 2 == 1) if rule == "evenodd" else (winding != 0)
    area = shapely.union_all(faces[keep])
    parts = [p for p in shapely.get_parts(area).tolist() if p.geom_type == "Polygon"]
    return shapely.orient_polygons(shapely.MultiPolygon(parts))


def winding_numbers(edges: Floats, points: Floats) -> tuple[Ints, Ints]:
    """Return the winding number and the count of crossings around each point.

    Parameters
    ----------
    edges : ndarray, shape (n, 4)
        x0, y0, x1, y1 of directed edges of closed rings.
    points : ndarray, shape (m, 2)
        Points off the edges.

    Examples
    --------
    >>> square = np.array([[0, 0, 2, 0], [2, 0, 2, 2], [2, 2, 0, 2], [0, 2, 0, 0.0]])
    >>> winding_numbers(square, np.array([[1.0, 1.0], [3.0, 1.0]]))[0].tolist()
    [1, 0]
    """
    steep = edges[edges[:, 1] != edges[:, 3]]
    winding = np.zeros(len(points), dtype=np.int64)
    crossings = np.zeros(len(points), dtype=np.int64)
    if not len(steep):
        return winding, crossings
    low, high = np.minimum(steep[:, 1], steep[:, 3]), np.maximum(steep[:, 1], steep[:, 3])
    right = np.maximum(steep[:, 0], steep[:, 2])
    left = np.minimum(steep[:, 0], steep[:, 2])
    tree = shapely.STRtree(shapely.box(left, low, right, high))
    end = float(right.max()) + 1.0
    rays = shapely.linestrings(
        np.stack([points, np.stack([np.maximum(points[:, 0], end), points[:, 1]], 1)], 1)
    )
    which, edge = tree.query(rays)
    x, y = points[which, 0], points[which, 1]
    e = steep[edge]
    spans = (low[edge] <= y) & (y < high[edge])
    side = (e[:, 2] - e[:, 0]) * (y - e[:, 1]) - (x - e[:, 0]) * (e[:, 3] - e[:, 1])
    up = e[:, 3] > e[:, 1]
    hit = spans & np.where(up, side > 0, side < 0)
    np.add.at(winding, which[hit], np.where(up[hit], 1, -1))
    np.add.at(crossings, which[hit], 1)
    return winding, crossings
