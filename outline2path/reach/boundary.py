"""The boundary of a region as flat arrays, seen from the free side.

In: polygons in mm and which side of their edges is free. Out: one array of corner points, the
chain that links them into rings, directions and lengths of the edges, and the exact distance
from any point to the nearest edge. Everything in reach is asked of these arrays at once, never
of one ring at a time.

Every ring runs so that the free side lies on its left. A corner that turns right there pokes into
the free space; one that turns left is an inner corner of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["Boundary", "Floats", "Ints"]

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Boundary:
    """The edges round a region. Edge k runs from `points[k]` to `points[after[k]]`.

    Attributes
    ----------
    points : ndarray, shape (n, 2)
        Corner points in mm, y up, each ring's first point once.
    after, before : ndarray, shape (n,)
        Index of the next and of the previous corner on the same ring.
    ring : ndarray, shape (n,)
        Number of the ring the corner belongs to.

    Examples
    --------
    >>> square = Boundary.of(shapely.MultiPolygon([shapely.box(0, 0, 4, 4)]), free_inside=True)
    >>> square.distance_mm(np.array([[1.0, 2.0]]))
    array([1.])
    """

    points: Floats
    after: Ints
    before: Ints
    ring: Ints

    @classmethod
    def of(cls, region: shapely.MultiPolygon, *, free_inside: bool) -> Boundary:
        """Take the boundary of `region` (mm); its inside is free, or its outside.

        Examples
        --------
        >>> Boundary.of(shapely.MultiPolygon([shapely.box(0, 0, 4, 4)]), free_inside=False).pokes
        array([ True,  True,  True,  True])
        """
        turned = shapely.orient_polygons(
            shapely.remove_repeated_points(region), exterior_cw=not free_inside
        )
        parts, owner = shapely.get_rings(shapely.get_parts(turned), return_index=True)
        del owner
        points, ring = shapely.get_coordinates(parts, return_index=True)
        last = np.r_[ring[1:] != ring[:-1], True][: len(ring)]
        points, ring = points[~last], ring[~last]
        number = np.arange(len(points))
        first = np.searchsorted(ring, ring)
        end = np.searchsorted(ring, ring, side="right") - 1
        after = np.where(number == end, first, number + 1)
        before = np.where(number == first, end, number - 1)
        return cls(points, after, before, ring)

    @cached_property
    def length_mm(self) -> Floats:
        """Length of each edge, shape (n,)."""
        step = self.points[self.after] - self.points
        return np.hypot(step[:, 0], step[:, 1])

    @cached_property
    def direction(self) -> Floats:
        """Unit direction of each edge, shape (n, 2); the free side is on its left."""
        step: Floats = (self.points[self.after] - self.points) / self.length_mm[:, None]
        return step

    @cached_property
    def turn(self) -> Floats:
        """Angle each corner turns by, in radians: positive at inner corners of the free space."""
        into, out = self.direction[self.before], self.direction
        cross = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
        angle: Floats = np.arctan2(cross, (into * out).sum(axis=1))
        return angle

    @cached_property
    def pokes(self) -> NDArray[np.bool_]:
        """Whether each corner pokes into the free space, shape (n,)."""
        answer: NDArray[np.bool_] = self.turn < 0
        return answer

    @cached_property
    def _walked_mm(self) -> Floats:
        return np.concatenate([[0.0], np.cumsum(self.length_mm)])

    @cached_property
    def _tree(self) -> shapely.STRtree:
        ends = np.stack([self.points, self.points[self.after]], axis=1)
        return shapely.STRtree(shapely.linestrings(ends))

    def distance_mm(self, points: Floats) -> Floats:
        """Distance from each point, shape (m, 2), to the nearest edge, exact, in mm.

        Examples
        --------
        >>> triangle = shapely.MultiPolygon([shapely.Polygon([(0, 0), (4, 0), (0, 3)])])
        >>> Boundary.of(triangle, free_inside=True).distance_mm(np.array([[1.0, 1.0], [4, 0]]))
        array([1., 0.])
        """
        return self.nearest(points)[0]

    def nearest(self, points: Floats) -> tuple[Floats, Floats]:
        """Distance to the nearest edge in mm, shape (m,), and the place on it, shape (m, 2).

        Examples
        --------
        >>> square = Boundary.of(shapely.MultiPolygon([shapely.box(0, 0, 4, 4)]), free_inside=True)
        >>> square.nearest(np.array([[1.0, 2.0]]))[1].tolist()
        [[0.0, 2.0]]
        """
        if not len(points):
            return np.zeros(0), np.zeros((0, 2))
        (_, edge), away = self._tree.query_nearest(
            shapely.points(points), return_distance=True, all_matches=False
        )
        return np.asarray(away, dtype=np.float64), self.foot(edge, points)

    def foot(self, edges: Ints, points: Floats) -> Floats:
        """Nearest point of `edges` to `points`, one to one; both may have more leading axes.

        Examples
        --------
        >>> square = Boundary.of(shapely.MultiPolygon([shapely.box(0, 0, 4, 4)]), free_inside=True)
        >>> square.foot(np.array([0, 0]), np.array([[9.0, 1.0], [1.0, 1.0]])).tolist()
        [[4.0, 1.0], [4.0, 1.0]]
        """
        start, along = self.points[edges], self.direction[edges]
        reach = ((points - start) * along).sum(axis=-1)
        reach = np.clip(reach, 0.0, self.length_mm[edges])
        return np.asarray(start + reach[..., None] * along)

    def arc_mm(self, edge_p: Ints, at_p: Floats, edge_q: Ints, at_q: Floats) -> Floats:
        """Shorter way along the boundary from points p on their edges to points q, mm.

        Infinite between two rings.

        Examples
        --------
        >>> square = Boundary.of(shapely.MultiPolygon([shapely.box(0, 0, 4, 4)]), free_inside=True)
        >>> zero, two = np.array([0]), np.array([2])
        >>> square.arc_mm(zero, square.points[zero], two, square.points[two])
        array([8.])
        """
        walked = []
        for edge, at in ((edge_p, at_p), (edge_q, at_q)):
            step = at - self.points[edge]
            walked.append(self._walked_mm[edge] + np.hypot(step[:, 0], step[:, 1]))
        way = np.abs(walked[0] - walked[1])
        ring = self.ring[edge_p]
        first = np.searchsorted(self.ring, ring)
        end = np.searchsorted(self.ring, ring, side="right")
        whole = self._walked_mm[end] - self._walked_mm[first]
        return np.asarray(
            np.where(ring == self.ring[edge_q], np.minimum(way, whole - way), np.inf)
        )
