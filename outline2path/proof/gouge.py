"""Gouge: how deep the cutter goes into what must stand.

In: the pieces of the path below the stock's top, and the kept material's edge. Out: for each the
depth: the radius and the allowance less the distance between the cutter's centre and the
material, and where. Exact up to the arcs' chords (0.1 micrometre); nothing is put on a grid and
nothing is offset.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from outline2path.proof.tracks import Floats, Pieces

if TYPE_CHECKING:
    from outline2path.proof.edge import Edge

__all__ = ["Worst", "sink"]

_AT_ONCE = 100_000


@dataclass(frozen=True)
class Worst:
    """The worst figure (mm), its place and the motion concerned; none where value is 0."""

    value: float
    at_mm: tuple[float, float] | None
    row: int | None


def sink(pieces: Pieces, edge: Edge, need: Floats) -> tuple[Floats, Floats]:
    """Return how deep each piece cuts into the kept material, mm, and a place on it, (n, 2).

    Parameters
    ----------
    pieces : Pieces
        The cutter's centre, only where its tip is below the stock's top, mm.
    edge : Edge
        The material that must stand.
    need : ndarray, (n,)
        Least distance that each should have from it: radius and allowance, mm.

    Examples
    --------
    >>> from outline2path.proof.edge import Edge
    >>> square = shapely.orient_polygons(shapely.MultiPolygon([shapely.box(0, 0, 10, 10)]))
    >>> edge = Edge(square, keeps_inside=True, allowance_mm=0.0)
    >>> run = Pieces(np.array([[-1.4, 0.0, -1.0]]), np.array([[-1.4, 9.0, -1.0]]), np.array([7]))
    >>> sink(run, edge, np.array([1.5]))[0].round(6).tolist()
    [0.1]
    """
    depth, place = np.empty(len(pieces)), np.empty((len(pieces), 2))
    for at in range(0, len(pieces), _AT_ONCE):
        part = np.arange(at, min(at + _AT_ONCE, len(pieces)))
        depth[part], place[part] = _depths(pieces.where(part), edge, need[part])
    return depth, place


def _depths(pieces: Pieces, edge: Edge, need: Floats) -> tuple[Floats, Floats]:
    """Depth into the material of each piece, and a place on it."""
    a, b = pieces.start[:, :2], pieces.end[:, :2]
    lines = shapely.linestrings(np.stack([a, b], axis=1))
    distance, chain = edge.nearest.from_shapes(lines, within=float(need.max()))
    depth = need - distance
    near = np.flatnonzero(depth > 0)
    place = a.copy()
    if len(near):
        place[near] = edge.nearest.feet_from(lines[near], chain[near])
    for ends in (a, b):
        sunk = np.flatnonzero(edge.inside(ends))
        if len(sunk):
            inner = need[sunk] + edge.nearest.distance(ends[sunk])
            deeper = inner > depth[sunk]
            depth[sunk[deeper]] = inner[deeper]
            place[sunk[deeper]] = ends[sunk[deeper]]
    return depth, place
