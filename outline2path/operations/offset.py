"""Offset: a region grown or shrunk by a disc, within the tolerance budget.

In: a region in mm (valid polygons, holes included), a signed distance in mm, the budget. Out: a
valid MultiPolygon, outer rings counter-clockwise. Every point of its edge lies at the asked
distance from the given region's edge, to within

    simplify_mm + chords_mm + 4 x GRID_MM

to either side. Why: the outline is first thinned so that no point of it moves by more than
simplify_mm (the area between the old and the new edge lies within that distance of both, so
distances to the region change by no more); corners are rounded by chords whose ends lie on the
circle, at most chords_mm inside it; and points are rounded to the integer grid.

Three ways, the cheapest that is right. Where the edges simply move sideways without meeting
(`parallels`), that is the offset, in linear time. Else one integer sweep over all rings; it costs
the square of the number of points where an outline is dense, which is why thinning comes first.
Outlines that stay dense because they are rough are cut into short pieces, each piece is thickened
in a sweep of its own, and the bands are united (the region and its bands, or the region less its
bands): the definition of the offset, read literally.

Refused: coordinates that are no finite numbers or lie beyond 1e6 mm from the origin, and
distances beyond 1e4 mm.

Sources: integer clipping after Vatti, CACM 35(7) 1992; the winding rule for offsets after Chen
and McMains, DETC2005-85513 (sources of the method, not of code).
"""

from __future__ import annotations

import math

import numpy as np
import pyclipper
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.errors import SettingError
from outline2path.operations.parallels import parallels
from outline2path.tolerance import GRID_MM, Budget

__all__ = ["FARTHEST_MM", "offset", "thinned"]

Floats = NDArray[np.float64]

FARTHEST_MM = 1e6
"""Coordinates farther from the origin are refused: no workshop is a kilometre wide."""
LARGEST_DISTANCE_MM = 1e4
"""Offsets beyond ten metres are refused."""
_FEW_POINTS = 2000
"""Up to here thinning costs more than it saves, where parallels will do."""
_SWEPT_GROWING, _SWEPT_SHRINKING = 8000, 16000
"""Up to here one sweep is faster than pieces, measured on rough outlines."""
_PIECE_POINTS = 24
"""Points in a piece of a rough outline: the fastest of 16 to 1024, measured."""
_THIN_POINTS = 4096
"""Points thinned at a time, so that thinning stays linear on any outline."""


def offset(
    region: BaseGeometry, distance_mm: float, *, budget: Budget | None = None
) -> shapely.MultiPolygon:
    """Grow (distance above 0) or shrink (below 0) a region, corners rounded.

    Parameters
    ----------
    region : Polygon or MultiPolygon
        Valid region in mm.
    distance_mm : float
        How far the edge moves, mm; positive is outwards.
    budget : Budget, optional
        Where the error comes from; see the module's head for the bound.

    Returns
    -------
    MultiPolygon
        Valid, oriented; empty where nothing is left.

    Raises
    ------
    SettingError
        When a coordinate or the distance is not finite or too large.

    Examples
    --------
    >>> grown = offset(shapely.box(0, 0, 10, 10), 2.0)  # Steiner: 192.566371
    >>> abs(grown.area - 192.566371) < 0.1
    True
    >>> offset(shapely.box(0, 0, 10, 10), -5.1).is_empty
    True
    """
    budget = budget or Budget()
    _refuse_far(region, distance_mm)
    parts = _rings(region)
    if not parts or abs(distance_mm) <= GRID_MM:
        return _polygons(_region(thinned(region, budget.simplify_mm)))
    moved = _moved(parts, distance_mm, budget.chords_mm) if _count(parts) <= _FEW_POINTS else None
    if moved is not None:
        return moved
    parts = thinned(region, budget.simplify_mm)
    moved = _moved(parts, distance_mm, budget.chords_mm)
    if moved is not None:
        return moved
    if _count(parts) <= (_SWEPT_GROWING if distance_mm > 0 else _SWEPT_SHRINKING):
        return _swept(parts, distance_mm, budget.chords_mm)
    return _pieced(region, distance_mm, budget)


def _count(parts: list[list[Floats]]) -> int:
    return sum(len(ring) for part in parts for ring in part)


def thinned(region: BaseGeometry, within_mm: float) -> list[list[Floats]]:
    """Leave out the points of a region that its other points stand for within a distance.

    Parameters
    ----------
    region : Polygon or MultiPolygon
        In mm.
    within_mm : float
        No point of the edge moves farther than this, mm.

    Returns
    -------
    list of list of ndarray, shape (n, 2)
        For each part its closed rings (last point = first): the outer one, counter-clockwise,
        then its holes, clockwise.

    Examples
    --------
    >>> ((ring,),) = thinned(shapely.Point(0, 0).buffer(10, quad_segs=4096), 0.01)
    >>> len(ring) < 200
    True
    """
    return [[_thin_ring(ring, within_mm) for ring in part] for part in _rings(region)]


def _rings(region: BaseGeometry) -> list[list[Floats]]:
    """Return the rings of each part, turned as `thinned` says."""
    parts = shapely.get_parts(shapely.orient_polygons(region))
    return [
        [shapely.get_coordinates(ring) for ring in shapely.get_rings(part)]
        for part in parts[~shapely.is_empty(parts)]
    ]


def _region(parts: list[list[Floats]]) -> shapely.MultiPolygon:
    return shapely.MultiPolygon([shapely.Polygon(part[0], part[1:]) for part in parts])


def _moved(
    parts: list[list[Floats]], distance_mm: float, chords_mm: float
) -> shapely.MultiPolygon | None:
    """Offset by parallels alone, where they neither vanish nor cross."""
    rings = parallels([ring for part in parts for ring in part], distance_mm, chords_mm=chords_mm)
    if rings is None:
        return None
    before = [
        (ring, (k == 0) == (distance_mm < 0)) for part in parts for k, ring in enumerate(part)
    ]
    shrunk = [(old, new) for (old, shrinks), new in zip(before, rings, strict=True) if shrinks]
    if shrunk and not _lie_in(shrunk):
        return None
    queue = iter(rings)
    moved = _region([[next(queue) for _ in part] for part in parts])
    return shapely.orient_polygons(moved) if shapely.is_valid(moved) else None


def _lie_in(rings: list[tuple[Floats, Floats]]) -> bool:
    """Whether rings that shrank lie in what they were: a sliver's come out on its other side."""
    old, new = (np.array([shapely.Polygon(pair[k]) for pair in rings]) for k in (0, 1))
    return bool(
        shapely.contains_xy(old, *shapely.get_coordinates(shapely.point_on_surface(new)).T).all()
    )


def _thin_ring(points: Floats, within_mm: float) -> Floats:
    """Thin one closed ring, a stretch at a time; a ring that would collapse stays as it is."""
    starts = np.arange(0, len(points) - 1, _THIN_POINTS)
    counts = np.minimum(_THIN_POINTS + 1, len(points) - starts)
    if len(starts) == 1:  # two stretches, since a closed line has no chord to measure from
        half = len(points) // 2
        starts, counts = np.array([0, half]), np.array([half + 1, len(points) - half])
    which = np.repeat(np.arange(len(starts)), counts)
    index = np.concatenate([np.arange(s, s + c) for s, c in zip(starts, counts, strict=True)])
    lines = shapely.linestrings(points[index], indices=which)
    thin, line = shapely.get_coordinates(
        shapely.simplify(lines, within_mm, preserve_topology=False), return_index=True
    )
    keep = np.append(line[1:] == line[:-1], True)  # stretches share their ends
    thin = thin[keep]
    return thin if len(thin) > 3 else points


def _refuse_far(region: BaseGeometry, distance_mm: float) -> None:
    if not (math.isfinite(distance_mm) and abs(distance_mm) <= LARGEST_DISTANCE_MM):
        raise SettingError(
            f"an offset of {distance_mm:g} mm is outside +-{LARGEST_DISTANCE_MM:g} mm",
            value=distance_mm,
            limit=LARGEST_DISTANCE_MM,
        )
    points = shapely.get_coordinates(region)
    if not np.all(np.abs(points) <= FARTHEST_MM):  # false for NaN as well
        raise SettingError(
            f"the region has points {np.max(np.abs(points)):g} mm from the origin, "
            f"beyond {FARTHEST_MM:g} mm",
            limit=FARTHEST_MM,
            remedy="check the drawing's size and units",
        )


def _swept(
    parts: list[list[Floats]], distance_mm: float, chords_mm: float
) -> shapely.MultiPolygon:
    """Offset all rings in one integer sweep about their middle."""
    rings = [ring for part in parts for ring in part]
    every = np.concatenate(rings)
    middle = np.rint((every.min(axis=0) + every.max(axis=0)) / 2 / GRID_MM) * GRID_MM
    worker = pyclipper.PyclipperOffset(2.0, chords_mm / GRID_MM)
    for ring in rings:
        path = _on_grid(ring[:-1], middle)
        worker.AddPath(path, pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    return _polygons(
        shapely.MultiPolygon(_off_grid(worker.Execute2(distance_mm / GRID_MM), middle))
    )


def _pieced(region: BaseGeometry, distance_mm: float, budget: Budget) -> shapely.MultiPolygon:
    """Offset a rough region by uniting the bands round its pieces.

    Thinning does little for such outlines; half its share is spent afterwards, where bands cross.
    """
    half = budget.simplify_mm / 2
    parts = thinned(region, half)
    thin: BaseGeometry = _region(parts)
    if not shapely.is_valid(thin):
        thin = shapely.make_valid(thin)
    pieces = [
        band for part in parts for ring in part for band in _bands(ring, distance_mm, budget)
    ]
    bands = shapely.union_all(shapely.make_valid(pieces))  # integer sweeps may touch themselves
    rough = thin.union(bands) if distance_mm > 0 else thin.difference(bands)
    return _polygons(_region(thinned(_polygons(rough), half)))


def _bands(ring: Floats, distance_mm: float, budget: Budget) -> list[shapely.Polygon]:
    """Thicken short pieces of a ring, each in a sweep of its own."""
    bands = []
    for first in range(0, len(ring) - 1, _PIECE_POINTS):
        piece = ring[first : first + _PIECE_POINTS + 1]
        middle = np.rint(piece[0] / GRID_MM) * GRID_MM
        worker = pyclipper.PyclipperOffset(2.0, budget.chords_mm / GRID_MM)
        worker.AddPath(_on_grid(piece, middle), pyclipper.JT_ROUND, pyclipper.ET_OPENROUND)
        bands += _off_grid(worker.Execute2(abs(distance_mm) / GRID_MM), middle)
    return bands


def _on_grid(points: Floats, middle: Floats) -> list[list[int]]:
    whole = np.rint((points - middle) / GRID_MM).astype(np.int64)
    moved = np.append(True, np.any(whole[1:] != whole[:-1], axis=1))
    path: list[list[int]] = whole[moved].tolist()
    return path


def _off_grid(tree: pyclipper.PyPolyNode, middle: Floats) -> list[shapely.Polygon]:
    """Read a tree of integer contours as polygons in mm: shells, their holes, islands in them."""
    polygons, waiting = [], list(tree.Childs)
    while waiting:
        shell = waiting.pop()
        holes = [np.asarray(hole.Contour) * GRID_MM + middle for hole in shell.Childs]
        polygons.append(shapely.Polygon(np.asarray(shell.Contour) * GRID_MM + middle, holes))
        waiting += [island for hole in shell.Childs for island in hole.Childs]
    return polygons


def _polygons(geometry: BaseGeometry) -> shapely.MultiPolygon:
    """Keep what has area, valid and oriented."""
    if not shapely.is_valid(geometry):
        geometry = shapely.make_valid(geometry)
    parts = shapely.get_parts(shapely.get_parts(geometry))
    parts = parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0)]
    return shapely.orient_polygons(shapely.MultiPolygon(list(parts)))
