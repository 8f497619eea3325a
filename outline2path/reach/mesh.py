"""Samples of a boundary and the Delaunay triangles between them: who faces whom.

In: a Boundary. Out: points on its edges, dense where edges run close to one another, and the
triangles of their Delaunay triangulation as one array. Two places that hold one empty disc between
them are joined by a triangle's side, so narrow places are found among a number of pairs that
grows with the outline's detail alone, at every scale at once and without a grid.

The triangles only say where to look: widths are measured on the edges themselves.
"""

from __future__ import annotations

import contextlib
import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from outline2path.reach.boundary import Boundary, Floats, Ints

__all__ = ["Mesh", "distinct", "sample"]

ROUNDS = 3
"""Times the samples are made denser; each round may bring up to 2 x DOUBLINGS per edge."""
DOUBLINGS = 12
"""Steps double away from a narrow place: twelve of them span a factor of 4000."""
FEW = 0.1
"""A round that would add a smaller share of samples is left out."""
MOST_PER_CORNER = 4
MOST_BESIDE = 20_000
"""Samples in all: so many times the corners, and so many besides. Long seams between edges that
nearly coincide would take more; then steps are made coarser, as widths do not depend on them."""
SPACING = 0.5
"""Step between samples as a share of the distance to the nearest edge that is no neighbour."""
STEPS = 1000
"""Samples along the whole boundary to begin with, so that plain outlines are seen well."""
END_TURN = math.radians(30)
"""An edge between two inner corners that turn more than this in all may be a slot's end."""


@dataclass(frozen=True, eq=False)
class Mesh:
    """Samples and triangles. Piece i of the boundary runs from sample i to sample `onward[i]`.

    Attributes
    ----------
    xy : ndarray, shape (m, 2)
        Samples in mm; the first n are the boundary's corners.
    lower, upper : ndarray, shape (m,)
        The edges a sample lies on: two at a corner, the same twice elsewhere. Piece i lies on
        edge `upper[i]`.
    share : ndarray, shape (m,)
        Place of the sample on edge `upper[i]`: 0 at its start, below 1.
    onward : ndarray, shape (m,)
        The next sample on the ring.
    triangles : ndarray, shape (t, 3)
        Indices of samples.
    """

    xy: Floats
    lower: Ints
    upper: Ints
    share: Floats
    onward: Ints
    triangles: Ints

    @cached_property
    def links(self) -> tuple[Ints, Ints]:
        """Both ends of every triangle's sides, each side both ways and once each."""
        a, b, c = self.triangles.T
        p, q = np.concatenate([a, b, c, b, c, a]), np.concatenate([b, c, a, a, b, c])
        pair = distinct(p * len(self.xy) + q)
        return pair // len(self.xy), pair % len(self.xy)


def distinct(numbers: Ints) -> Ints:
    """Each number once, in order: by sorting, which is far faster here than by hashing.

    Examples
    --------
    >>> distinct(np.array([3, 1, 3])).tolist()
    [1, 3]
    """
    ordered = np.sort(numbers)
    first = np.r_[True, ordered[1:] != ordered[:-1]][: len(ordered)]
    return np.asarray(ordered[first])


def sample(boundary: Boundary, *, finest_mm: float) -> Mesh:
    """Sample a boundary until neighbouring samples are nearer than opposite edges.

    Parameters
    ----------
    boundary : Boundary
        Edges in mm.
    finest_mm : float
        Steps below this are never made.

    Examples
    --------
    >>> from outline2path.reach.boundary import Boundary
    >>> plate = shapely.MultiPolygon([shapely.box(0, 0, 40, 2)])
    >>> mesh = sample(Boundary.of(plate, free_inside=True), finest_mm=0.01)
    >>> len(mesh.xy) > 40
    True
    """
    edge, share = _first(boundary)
    shake_mm = finest_mm / 1000
    mesh = _mesh(boundary, edge, share, shake_mm)
    for _ in range(ROUNDS):
        edge, share = _finer(boundary, mesh, finest_mm)
        if len(edge) <= FEW * len(mesh.xy):
            break
        old = slice(len(boundary.points), None)
        mesh = _mesh(
            boundary,
            np.concatenate([mesh.upper[old], edge]),
            np.concatenate([mesh.share[old], share]),
            shake_mm,
        )
    return mesh


def _first(boundary: Boundary) -> tuple[Ints, Floats]:
    """Even steps along long edges, and middles of edges that may be the end of a slot."""
    turn = boundary.turn
    both = np.minimum(turn, turn[boundary.after]) > 0
    end = both & (turn + turn[boundary.after] > END_TURN)
    even = boundary.length_mm * (STEPS / boundary.length_mm.sum())
    steps = np.maximum(even.astype(np.intp), np.where(end, 2, 1))
    edge = np.repeat(np.arange(len(steps)), steps - 1)
    first = np.cumsum(steps - 1) - (steps - 1)
    number = np.arange(len(edge)) - first[edge] + 1
    return edge, number / steps[edge]


def _mesh(boundary: Boundary, edge: Ints, share: Floats, shake_mm: float) -> Mesh:
    """Corners and further samples (edge, share of its length) with their triangles."""
    corners = np.arange(len(boundary.points))
    lower = np.concatenate([boundary.before, edge])
    upper = np.concatenate([corners, edge])
    share = np.concatenate([np.zeros(len(corners)), share])
    step = boundary.points[boundary.after] - boundary.points
    xy = boundary.points[upper] + share[:, None] * step[upper]
    order = np.lexsort((share, upper))
    last = np.r_[upper[order][1:] != upper[order][:-1], True]
    onward = np.empty_like(upper)
    onward[order] = np.where(last, boundary.after[upper[order]], np.roll(order, -1))
    return Mesh(xy, lower, upper, share, onward, _triangles(xy, shake_mm))


def _triangles(xy: Floats, shake_mm: float) -> Ints:
    """Delaunay triangles of the points, as indices.

    The triangulation may fail on points that are in line but for rounding, so they are shaken a
    little first, more where that was not enough.
    """
    for more in (1.0, 10.0):
        with contextlib.suppress(shapely.errors.GEOSException):
            return _delaunay(xy, more * shake_mm)
    return _delaunay(xy, 100 * shake_mm)


def _delaunay(xy: Floats, shake_mm: float) -> Ints:
    """Triangles of shaken points; each point carries its number as height."""
    shaken = xy + np.random.default_rng(0).uniform(-shake_mm, shake_mm, xy.shape)
    numbered = np.column_stack([shaken, np.arange(len(xy))])
    found = shapely.delaunay_triangles(shapely.multipoints(numbered))
    heights = shapely.get_coordinates(found, include_z=True)[:, 2]
    return np.asarray(heights.reshape(-1, 4)[:, :3], dtype=np.intp)


def _finer(boundary: Boundary, mesh: Mesh, finest_mm: float) -> tuple[Ints, Floats]:
    """Further samples where two on one edge are farther apart than an edge that faces them."""
    nearest = _nearest_stranger(boundary, mesh)
    length = np.hypot(*(mesh.xy[mesh.onward] - mesh.xy).T)
    most = MOST_PER_CORNER * len(boundary.points) + MOST_BESIDE - len(mesh.xy)
    while True:
        room = SPACING * np.maximum(nearest, finest_mm)
        places, piece = _graded(length, room, room[mesh.onward])
        if len(piece) <= max(most, 0):
            break
        finest_mm *= 2
    edge = mesh.upper[piece]
    return edge, mesh.share[piece] + places / boundary.length_mm[edge]


def _graded(length: Floats, first: Floats, last: Floats) -> tuple[Floats, Ints]:
    """Places along pieces, steps doubling from both ends, and the piece each belongs to."""
    places, owners = [np.zeros(0)], [np.zeros(0, dtype=np.intp)]
    wide = np.flatnonzero(length > 1.5 * np.minimum(first, last))
    for doubling in range(1, DOUBLINGS + 1):
        reach = float(2**doubling - 1)
        for steps, from_end in ((first, False), (last, True)):
            place = reach * steps[wide]
            fits = place < length[wide] / 2
            at = place[fits]
            places.append(length[wide][fits] - at if from_end else at)
            owners.append(wide[fits])
    places.append(length[wide] / 2)
    owners.append(wide)
    return np.concatenate(places), np.concatenate(owners)


def _nearest_stranger(boundary: Boundary, mesh: Mesh) -> Floats:
    """Distance from each sample to the nearest linked one on an edge that is no neighbour."""
    p, q = mesh.triangles.ravel(), mesh.triangles[:, [1, 2, 0]].ravel()
    around = (boundary.before[mesh.lower], mesh.lower, mesh.upper, boundary.after[mesh.upper])
    near = np.zeros(len(p), dtype=bool)
    for mine in around:
        near |= (mine[p] == mesh.lower[q]) | (mine[p] == mesh.upper[q])
    p, q = p[~near], q[~near]
    away = np.hypot(*(mesh.xy[p] - mesh.xy[q]).T)
    nearest = np.full(len(mesh.xy), np.inf)
    np.minimum.at(nearest, p, away)
    np.minimum.at(nearest, q, away)
    return nearest
