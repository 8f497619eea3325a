"""Necks: places where two edges face one another and room is narrower than on either side.

In: a Boundary and the Mesh of its samples. Out: for each neck the two points that face, whose
circle on them as diameter holds no other edge: the saddles of the distance to the boundary. One of
the two points is always a corner that pokes into the free space, or two walls run side by
side and one of them ends there.

Where the triangles join a poking corner to any sample of an edge, the corner's foot on the whole
edge is tried, so widths are exact however coarse the samples are.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.reach.contacts import Contacts, one_of_each
from outline2path.reach.mesh import distinct

if TYPE_CHECKING:
    from outline2path.reach.boundary import Boundary, Floats, Ints
    from outline2path.reach.mesh import Mesh

__all__ = ["necks"]

SQUARE = 0.01
"""A foot may lie this much (cosine) off the square of an edge; the empty circle decides."""


def necks(boundary: Boundary, mesh: Mesh, *, touch_mm: float) -> Contacts:
    """Find every neck of the free space.

    Parameters
    ----------
    boundary, mesh : Boundary, Mesh
        Edges in mm and their samples.
    touch_mm : float
        An edge may reach this far into the circle and still count as touching it.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.reach.boundary import Boundary
    >>> from outline2path.reach.mesh import sample
    >>> two = shapely.MultiPolygon([shapely.box(0, 0, 4, 4), shapely.box(6.5, 1, 9, 9)])
    >>> edges = Boundary.of(two, free_inside=False)
    >>> necks(edges, sample(edges, finest_mm=0.01), touch_mm=0.000001).width_mm.min()
    np.float64(2.5)
    """
    corner, edge = _pairs(boundary, mesh)
    p = boundary.points[corner]
    q = boundary.foot(edge, p)
    width = np.hypot(*(q - p).T)
    good = np.flatnonzero(width > touch_mm)
    good = good[_facing(boundary, corner[good], edge[good], q[good])]
    centre = (p[good] + q[good]) / 2
    one = one_of_each(np.column_stack([centre, width[good]]), within=touch_mm)
    good, centre = good[one], centre[one]
    good = good[boundary.distance_mm(centre) >= width[good] / 2 - touch_mm]
    corner, edge, p, q, width = corner[good], edge[good], p[good], q[good], width[good]
    arc = boundary.arc_mm(corner, p, edge, q)
    return Contacts((p + q) / 2, width, np.stack([p, q, q], axis=1), (arc - width) / 2)


def _facing(boundary: Boundary, corner: Ints, edge: Ints, foot: Floats) -> NDArray[np.bool_]:
    """Whether a poking corner and a foot on an edge are each nearest to the other around."""
    toward = foot - boundary.points[corner]
    toward /= np.hypot(toward[:, 0], toward[:, 1])[:, None]
    good = _nearest_from_corner(boundary, corner, toward)
    return good & _nearest_from_edge(boundary, edge, foot, -toward)


def _pairs(boundary: Boundary, mesh: Mesh) -> tuple[Ints, Ints]:
    """Poking corners and the edges a triangle joins them to, each pair once."""
    count = len(boundary.points)
    p, q = mesh.links
    pokes = np.r_[boundary.pokes, np.zeros(len(mesh.xy) - count, dtype=bool)]
    p, q = p[pokes[p]], q[pokes[p]]
    corner = np.concatenate([p, p])
    edge = np.concatenate([mesh.lower[q], mesh.upper[q]])
    own = (edge == corner) | (edge == boundary.before[corner])
    pair = distinct(corner[~own] * count + edge[~own])
    return pair // count, pair % count


def _nearest_from_corner(boundary: Boundary, corner: Ints, toward: Floats) -> NDArray[np.bool_]:
    """Whether both edges of a poking corner lead away from where `toward` points."""
    onward = (boundary.direction[corner] * toward).sum(axis=1)
    back = -(boundary.direction[boundary.before[corner]] * toward).sum(axis=1)
    answer: NDArray[np.bool_] = (onward <= SQUARE) & (back <= SQUARE)
    return answer


def _nearest_from_edge(
    boundary: Boundary, edge: Ints, foot: Floats, toward: Floats
) -> NDArray[np.bool_]:
    """Whether the foot on an edge is the nearest one around, seen from the free side."""
    along = boundary.direction[edge]
    left = along[:, 0] * toward[:, 1] - along[:, 1] * toward[:, 0]
    step = foot - boundary.points[edge]
    place = np.hypot(step[:, 0], step[:, 1])
    at_start = place <= 0
    at_end = place >= boundary.length_mm[edge] * (1 - 1 / 2**50)
    corner = np.where(at_end, boundary.after[edge], edge)
    poking = boundary.pokes[corner] & _nearest_from_corner(boundary, corner, toward)
    answer: NDArray[np.bool_] = np.where(at_start | at_end, poking, left > 0)
    return answer
