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

from outline2path.errors import DrawingError

__all__ = [
    "EMPTY",
    "area_and_soundness",
    "filled_area",
    "single_areas",
    "sound_area",
    "winding_numbers",
]

EMPTY = shapely.MultiPolygon()
"""No area."""
_CHUNK = 2000
"""Points judged at once, to bound memory."""
_SAMPLE = 400
_LONG = 20_000
_MOST_MEETINGS = 1e5
"""Pairs of edges that may meet in one shape; stitched art has thousands."""

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


def area_and_soundness(
    rings: list[Floats], rule: str, *, crossed: bool = False
) -> tuple[shapely.MultiPolygon, bool]:
    """Return the filled area, and whether no ring crosses, touches or repeats another or itself.

    `crossed` tells that they are known to, so that it need not be found out again.

    Examples
    --------
    >>> bow = np.array([[0, 0], [2, 2], [2, 0], [0, 2.0]])
    >>> area_and_soundness([bow], "nonzero")[1]
    False
    """
    area = None if crossed else sound_area(rings, rule)
    if area is not None:
        return area, True
    rings = [r for r in map(_tidy, rings) if len(r) >= 4]
    return (_by_faces(rings, rule) if rings else EMPTY), not rings


def sound_area(rings: list[Floats], rule: str) -> shapely.MultiPolygon | None:
    """Return the filled area of rings that neither cross nor touch; None for any others.

    Examples
    --------
    >>> sound_area([np.array([[0, 0], [2, 0], [2, 2.0]])], "nonzero").area
    2.0
    """
    rings = [r for r in map(_tidy, rings) if len(r) >= 4]
    if not rings:
        return EMPTY
    if any(map(_repeats, rings)):
        return None
    index = np.repeat(np.arange(len(rings)), [len(r) for r in rings])
    polygons = shapely.polygons(shapely.linearrings(np.concatenate(rings), indices=index))
    return _nested(polygons, rings, rule) if shapely.is_valid(polygons).all() else None


def single_areas(rings: list[Floats]) -> list[shapely.MultiPolygon | None]:
    """Return the area of each ring by itself, all at once; None for those that need more care.

    Examples
    --------
    >>> [a.area for a in single_areas([np.array([[0, 0], [2, 0], [2, 2], [0, 2.0]])])]
    [4.0]
    """
    long = [k for k, r in enumerate(rings) if len(r) >= 4 and not _repeats(r)]
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


def _repeats(ring: Floats) -> bool:
    """Whether a long ring goes over its own edges again and again."""
    if len(ring) < _LONG:
        return False
    edges, _ = _different_edges([ring], "nonzero")
    return len(edges) < 0.9 * len(ring)


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
    edges, weight = _net_edges(rings, rule)
    _refuse_tangle(edges)
    if not len(edges):
        return EMPTY
    noded = shapely.union_all(shapely.linestrings(edges.reshape(-1, 2, 2)))
    faces = shapely.get_parts(shapely.polygonize([noded]))
    if not len(faces):
        return EMPTY
    xy = shapely.get_coordinates(shapely.point_on_surface(faces))
    winding = winding_numbers(edges, xy, weight)
    keep = (winding % 2 == 1) if rule == "evenodd" else (winding != 0)
    try:
        area = shapely.coverage_union_all(faces[keep])
    except shapely.errors.GEOSException:  # faces so thin that rounding made them overlap
        area = shapely.union_all(faces[keep])
    parts = [p for p in shapely.get_parts(area).tolist() if p.geom_type == "Polygon"]
    return shapely.orient_polygons(shapely.MultiPolygon(parts))


def _net_edges(rings: list[Floats], rule: str) -> tuple[Floats, Ints]:
    """Different edges and what each counts, those that cancel left out."""
    edges, weight = _different_edges(rings, rule)
    counts = weight % 2 == 1 if rule == "evenodd" else weight != 0
    return edges[counts], weight[counts]


def _different_edges(rings: list[Floats], rule: str) -> tuple[Floats, Ints]:
    """Different edges, whatever their direction, and the sum of what each counts."""
    edges = np.concatenate([np.hstack([r[:-1], r[1:]]) for r in rings])
    back = (edges[:, 0] > edges[:, 2]) | (
        (edges[:, 0] == edges[:, 2]) & (edges[:, 1] > edges[:, 3])
    )
    edges[back] = edges[back][:, [2, 3, 0, 1]]
    order = np.lexsort(edges.T)
    edges, back = edges[order], back[order]
    new = np.append(True, (edges[1:] != edges[:-1]).any(axis=1))
    which = np.cumsum(new) - 1
    worth = np.ones(len(edges)) if rule == "evenodd" else np.where(back, -1.0, 1.0)
    return edges[new], np.bincount(which, weights=worth).astype(np.int64)


def _refuse_tangle(edges: Floats) -> None:
    """Refuse scribbles with more crossings than any drawing has."""
    low, high = np.minimum(edges[:, :2], edges[:, 2:]), np.maximum(edges[:, :2], edges[:, 2:])
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
    steep = edges[:, 1] != edges[:, 3]
    counts = np.ones(len(edges), dtype=np.int64) if weight is None else weight
    edges, counts = edges[steep], counts[steep]
    winding = np.zeros(len(points))
    if not len(edges):
        return winding.astype(np.int64)
    low, high = np.minimum(edges[:, 1], edges[:, 3]), np.maximum(edges[:, 1], edges[:, 3])
    left, right = np.minimum(edges[:, 0], edges[:, 2]), np.maximum(edges[:, 0], edges[:, 2])
    tree = shapely.STRtree(shapely.box(left, low, right, high))
    end = float(right.max()) + 1.0
    for first in range(0, len(points), _CHUNK):
        x, y = points[first : first + _CHUNK].T
        far = np.stack([np.maximum(x, end), y], axis=1)
        rays = shapely.linestrings(np.stack([np.stack([x, y], axis=1), far], axis=1))
        which, edge = tree.query(rays)
        e, px, py = edges[edge], x[which], y[which]
        side = (e[:, 2] - e[:, 0]) * (py - e[:, 1]) - (px - e[:, 0]) * (e[:, 3] - e[:, 1])
        up = e[:, 3] > e[:, 1]
        hit = (low[edge] <= py) & (py < high[edge]) & np.where(up, side > 0, side < 0)
        worth = np.where(up, counts[edge], -counts[edge])[hit]
        winding[first : first + _CHUNK] += np.bincount(which[hit], weights=worth, minlength=len(x))
    return np.rint(winding).astype(np.int64)
