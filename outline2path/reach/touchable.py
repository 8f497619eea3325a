"""Which edges a disc of radius r might touch from the free side, and which it surely cannot.

In: a Boundary, its Mesh and a radius in mm. Out: one flag for each edge. An edge is left out only
when it is certain: at every place of it, a disc resting there would swallow a sample of another
edge. For a straight piece it is enough that both ends of it are barred by the same sample, since
how far a disc swallows a point is a convex function of where on the piece it rests; for the turn
of a disc round a poking corner the same holds for each slice of the turn.

The discs' rim is later drawn by chords, which pass the true distance by their sagitta. So that it
leaks nowhere past an edge that was left out, ask for a radius smaller by that much.

On rough outlines most edges are out of reach of a cutter; leaving them out is what keeps growing
such outlines cheap.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.reach.boundary import Boundary, Floats
    from outline2path.reach.mesh import Mesh

__all__ = ["touchable_edges"]

SLICES = 4
"""A disc's turn round a corner is judged in this many slices, each under a quarter turn."""


def touchable_edges(
    boundary: Boundary, mesh: Mesh, radius_mm: float, *, margin_mm: float
) -> NDArray[np.bool_]:
    """Flag the edges a disc of that radius might touch.

    Parameters
    ----------
    boundary, mesh : Boundary, Mesh
        Edges in mm and their samples.
    radius_mm : float
        Radius of the disc.
    margin_mm : float
        A sample counts as swallowed only when it is farther inside the disc than this.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.reach.boundary import Boundary
    >>> from outline2path.reach.mesh import sample
    >>> notched = shapely.box(0, 0, 20, 9) - shapely.box(8, 5, 10, 9)
    >>> edges = Boundary.of(shapely.MultiPolygon([notched]), free_inside=False)
    >>> flags = touchable_edges(edges, sample(edges, finest_mm=0.01), 2.0, margin_mm=0.001)
    >>> int(flags.sum()), len(flags)
    (7, 8)
    """
    inner = radius_mm - margin_mm
    p, q = mesh.links
    before = np.empty_like(mesh.onward)
    before[mesh.onward] = np.arange(len(before))
    barred = np.zeros(len(mesh.xy), dtype=bool)
    for piece in (p, before[p]):
        on = boundary.direction[mesh.upper[piece]]
        up = radius_mm * np.column_stack([-on[:, 1], on[:, 0]])
        at_start = _swallows(mesh.xy[piece] + up, mesh.xy[q], inner)
        at_end = _swallows(mesh.xy[mesh.onward[piece]] + up, mesh.xy[q], inner)
        barred[piece[at_start & at_end]] = True
    open_edge = np.zeros(len(boundary.points), dtype=bool)
    open_edge[mesh.upper[~barred]] = True
    corner = _open_corners(boundary, mesh, radius_mm, inner)
    return open_edge | corner | corner[boundary.after]


def _open_corners(
    boundary: Boundary, mesh: Mesh, radius_mm: float, inner_mm: float
) -> NDArray[np.bool_]:
    """Poking corners round which a disc might turn at least part of the way."""
    count = len(boundary.points)
    p, q = mesh.links
    poking = p < count
    poking[poking] = boundary.pokes[p[poking]]
    p, q = p[poking], q[poking]
    into = boundary.direction[boundary.before[p]]
    start = np.arctan2(into[:, 1], into[:, 0]) + np.pi / 2
    barred = np.zeros((count, SLICES), dtype=bool)
    swallowed = None
    for k in range(SLICES + 1):
        heading = start + boundary.turn[p] * (k / SLICES)
        centre = mesh.xy[p] + radius_mm * np.column_stack([np.cos(heading), np.sin(heading)])
        now = _swallows(centre, mesh.xy[q], inner_mm)
        if swallowed is not None:
            barred[p[swallowed & now], k - 1] = True
        swallowed = now
    answer: NDArray[np.bool_] = boundary.pokes & ~barred.all(axis=1)
    return answer


def _swallows(centre: Floats, points: Floats, inner_mm: float) -> NDArray[np.bool_]:
    away = points - centre
    answer: NDArray[np.bool_] = (away * away).sum(axis=1) < inner_mm * inner_mm
    return answer
