"""What a disc cannot clear: the free space less everything a disc of radius r reaches in it.

In: the free space as polygons, its Boundary and Mesh, a radius in mm. Out: the lost parts as
polygons, and the rim, on which the disc's centre rolls when it touches the boundary. The disc
reaches what lies within r of the rim's far side, so the depth lost at a point is its distance from
the rim less r. (In the words of mathematical morphology: free space less its opening by a disc;
Matheron, Serra, from memory.)

The rim is found literally: free space less a band of width r along the edges the disc might
touch. Edges the disc surely cannot touch get none, so the cost stays near-linear where growing a
rough outline in one piece costs the square of its detail. Patches left between the bands are no
room for the disc unless a point of them lies r away from every edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.reach.band import band, chords_for
from outline2path.reach.boundary import Boundary
from outline2path.tolerance import SAME_MM

if TYPE_CHECKING:
    from outline2path.reach.boundary import Floats, Ints

__all__ = ["Opening", "open_space"]

LEAST_CHORDS = 32
"""Chords to a quarter turn of the reached space, at least. The disc is taken a little larger, so
that its chords enclose as much as the circle: areas of corners are right to 0.0006."""
REGROWN = 30
"""A part freed of slivers is given back its points this many times a sliver's width away: the tips
of corners down to 4 degrees."""
APART = 0.05
"""Resting places farther apart than this share of the radius belong to different mouths."""
DEPTH_PLACES = 48
"""Places along the edge of a lost part at which its depth is measured first."""
PEAKS = 4
"""So many of the deepest places are closed in on."""
DEPTH_STEPS = tuple(1 / (200 * 4**k) for k in range(6))
"""Steps, as shares of that edge, by which the deepest place is then closed in on."""


@dataclass(frozen=True, eq=False)
class Opening:
    """The lost parts of a free space.

    Attributes
    ----------
    lost : ndarray of shapely.Polygon
        Connected parts no disc reaches, in mm.
    area_mm2 : float
        Area of all that is lost, slivers along rounded walls included.
    rim : Boundary or None
        On which the disc's centre rolls; None when there is no room for the disc anywhere.
    radius_mm, sliver_mm : float
        The disc's radius; lost parts no wider than twice the second were left out.
    """

    lost: NDArray[np.object_]
    area_mm2: float
    rim: Boundary | None
    radius_mm: float
    sliver_mm: float

    def depths_mm(self) -> tuple[Floats, Floats]:
        """Deepest place of each lost part, shape (k, 2), and its depth, shape (k,).

        The depth is how far the place is from what the disc reaches at the mouths of that part;
        infinite where the part has no mouth.
        """
        lines = shapely.simplify(shapely.get_exterior_ring(self.lost), self.sliver_mm)
        if not len(lines):
            return np.zeros((0, 2)), np.zeros(0)
        corners, owner = shapely.get_coordinates(lines, return_index=True)
        mouths = self._mouths(corners, owner, len(lines))
        depth = mouths.distance_mm(corners, owner) - self.radius_mm
        best = _deepest(owner, depth, len(lines))
        deepest, deep = corners[best], depth[best]
        self._climb(lines, mouths, deepest, deep)
        return deepest, np.maximum(deep, 0.0)

    def _climb(
        self, lines: NDArray[np.object_], mouths: _Mouths, deepest: Floats, deep: Floats
    ) -> None:
        """Look between the corners for deeper places, where a part has several mouths.

        The distance from one mouth is convex along an edge, so without a second one the deepest
        place is a corner.
        """
        rest = np.flatnonzero(mouths.several)
        if not len(rest):
            return
        length = shapely.length(lines[rest])[:, None]
        place = (np.arange(DEPTH_PLACES) + 0.5) / DEPTH_PLACES * length
        _, depth = self._along(lines, mouths, rest, place)
        peak = (depth >= np.roll(depth, 1, axis=1)) & (depth >= np.roll(depth, -1, axis=1))
        highest = np.argsort(np.where(peak, -depth, np.inf), axis=1)[:, :PEAKS]
        first = shapely.line_locate_point(lines[rest], shapely.points(deepest[rest]))
        start = np.column_stack([first, np.take_along_axis(place, highest, axis=1)])
        rest, length = np.repeat(rest, PEAKS + 1), np.repeat(length, PEAKS + 1, axis=0)
        middle, row = start.ravel(), np.arange(len(rest))
        for step in DEPTH_STEPS:
            around = middle[:, None] + length * step * np.arange(-5, 6)
            place = np.clip(around, 0.0, length)
            points, depth = self._along(lines, mouths, rest, place)
            best = np.argmax(depth, axis=1)
            middle = place[row, best]
        order = np.argsort(depth[row, best], kind="stable")
        deepest[rest[order]] = points[row, best][order]
        deep[rest[order]] = depth[row, best][order]

    def _along(
        self, lines: NDArray[np.object_], mouths: _Mouths, rest: Ints, place: Floats
    ) -> tuple[Floats, Floats]:
        """Points and depths at places, a row for each line."""
        part = np.repeat(rest, place.shape[1])
        at = shapely.line_interpolate_point(lines[part], place.ravel())
        points = shapely.get_coordinates(at)
        depth = mouths.distance_mm(points, part) - self.radius_mm
        return points.reshape(*place.shape, 2), depth.reshape(place.shape)

    def _mouths(self, corners: Floats, owner: Ints, count: int) -> _Mouths:
        """Where the disc's centre rests at the mouths of each part."""
        span = np.concatenate([corners, np.zeros((0, 2)) if self.rim is None else self.rim.points])
        if self.rim is None:
            return _Mouths(span[:0], owner[:0], count=count, span=span, apart_mm=0.0)
        same = owner[1:] == owner[:-1]
        middle = ((corners[1:] + corners[:-1]) / 2)[same]
        away, rest = self.rim.nearest(middle)
        touching = away <= self.radius_mm + 4 * self.sliver_mm
        return _Mouths(
            rest[touching],
            owner[1:][same][touching],
            count=count,
            span=span,
            apart_mm=APART * self.radius_mm,
        )


class _Mouths:
    """Resting places of the disc, each asked only about its own part.

    All parts share one search tree: each is moved to a lane of its own, wider apart than anything
    in it is.
    """

    def __init__(
        self, centres: Floats, owner: Ints, *, count: int, span: Floats, apart_mm: float
    ) -> None:
        low, high = span.min(axis=0), span.max(axis=0)
        self._middle = (low + high) / 2
        self._lane = 4 * float((high - low).max())
        self._tree = shapely.STRtree(shapely.points(self._moved(centres, owner)))
        self._has_mouth = np.zeros(count, dtype=bool)
        self._has_mouth[owner] = True
        least, most = np.full((count, 2), np.inf), np.full((count, 2), -np.inf)
        np.minimum.at(least, owner, centres)
        np.maximum.at(most, owner, centres)
        self.several = (most - least).max(axis=1) > apart_mm

    def _moved(self, points: Floats, owner: Ints) -> Floats:
        moved = points - self._middle
        moved[:, 0] += owner * self._lane
        return np.asarray(moved)

    def distance_mm(self, points: Floats, owner: Ints) -> Floats:
        """Distance of points from their own part's nearest resting place."""
        far = np.full(len(points), np.inf)
        chosen = np.flatnonzero(self._has_mouth[owner])
        if len(chosen):
            moved = shapely.points(self._moved(points[chosen], owner[chosen]))
            _, away = self._tree.query_nearest(moved, return_distance=True, all_matches=False)
            far[chosen] = away
        return far


def open_space(
    space: shapely.MultiPolygon,
    boundary: Boundary,
    *,
    touchable: NDArray[np.bool_],
    radius_mm: float,
    sliver_mm: float,
) -> Opening:
    """Find what a disc of that radius cannot reach in a free space.

    Parameters
    ----------
    space : MultiPolygon
        The free space in mm.
    boundary : Boundary
        The edges the disc must not cross; edges of `space` that are none may be left out.
    touchable : ndarray of bool
        The edges the disc might touch.
    radius_mm : float
        The disc's radius.
    sliver_mm : float
        Lost parts nowhere wider than twice this are slivers, and part others they join.

    Examples
    --------
    >>> square = shapely.MultiPolygon([shapely.box(0, 0, 10, 10)])
    >>> edges = Boundary.of(square, free_inside=True)
    >>> opened = open_space(square, edges, touchable=edges.turn > 0, radius_mm=2.0,
    ...                     sliver_mm=0.001)
    >>> len(opened.lost), round(opened.area_mm2, 2), opened.depths_mm()[1].round(4).tolist()
    (4, 3.43, [0.8284, 0.8284, 0.8284, 0.8284])
    """
    walls = band(
        boundary, touchable, radius_mm, chords=chords_for(radius_mm, sagitta_mm=sliver_mm / 2)
    )
    room = shapely.get_parts(shapely.difference(space, walls))
    room = room[shapely.area(room) > 0]
    inside = shapely.get_coordinates(shapely.point_on_surface(room))
    room = room[boundary.distance_mm(inside) >= radius_mm - sliver_mm]
    if not len(room):
        lost = shapely.get_parts(space)
        return Opening(lost, float(shapely.area(space)), None, radius_mm, sliver_mm)
    centres = shapely.multipolygons(room)
    rim = Boundary.of(centres, free_inside=False)
    chords = max(LEAST_CHORDS, chords_for(radius_mm, sagitta_mm=sliver_mm))
    every = np.ones(len(rim.points), dtype=bool)
    reached = band(rim, every, radius_mm, chords=chords, even=True)
    shut = shapely.get_parts(shapely.difference(shapely.difference(space, centres), reached))
    shut = shut[shapely.area(shut) > SAME_MM * shapely.length(shut)]
    area = float(shapely.area(shut).sum())
    return Opening(_split(shut, sliver_mm), area, rim, radius_mm, sliver_mm)


def _split(parts: NDArray[np.object_], sliver_mm: float) -> NDArray[np.object_]:
    """Lost parts without slivers; parts that hang together by slivers are taken apart."""
    parts = parts[shapely.area(parts) > sliver_mm * sliver_mm]
    eroded = shapely.buffer(parts, -sliver_mm, join_style="mitre")
    cores, owner = shapely.get_parts(eroded, return_index=True)
    cores, owner = cores[shapely.area(cores) > 0], owner[shapely.area(cores) > 0]
    tail = shapely.length(parts[owner]) - shapely.length(cores)
    clean = (np.bincount(owner)[owner] == 1) & (tail < 2 * REGROWN * sliver_mm)
    grown = shapely.buffer(cores[~clean], REGROWN * sliver_mm)
    pieces = shapely.get_parts(shapely.intersection(parts[owner[~clean]], grown))
    pieces = pieces[shapely.get_dimensions(pieces) == 2]
    kept: NDArray[np.object_] = np.concatenate([parts[owner[clean]], pieces])
    return kept


def _deepest(owner: Ints, depth: Floats, count: int) -> Ints:
    """Index of the greatest depth for each owner."""
    order = np.lexsort((depth, owner))
    last = np.searchsorted(owner[order], np.arange(count), side="right") - 1
    return order[last]
