"""Bands: everything within a width of some edges, on their free side.

In: a Boundary, the edges chosen, a width in mm. Out: one region. Each edge gives one piece: the
rectangle on it, and at its start the turn of a disc round the corner. Pieces reach a little back
over the piece before, so that no hair line is left open between them. Nothing is smoothed away
beforehand (general buffers leave out shallow hollows, up to a hundredth of the distance): the band
is exact where edges are straight, and short by a sagitta where corners turn. A piece may reach
across a thin part into the free space behind it, where it is as near an edge as it says.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.reach.boundary import Boundary

__all__ = ["band", "chords_for"]

BACK = 0.02
"""Pieces reach back by a sector of this many radians."""


def chords_for(radius_mm: float, *, sagitta_mm: float) -> int:
    """Return how many chords to a quarter turn lie no farther from the circle than a sagitta.

    Examples
    --------
    >>> chords_for(10.0, sagitta_mm=0.01)  # 71 round the whole circle, sources.md W8
    18
    """
    half_turn = math.acos(max(0.0, 1 - sagitta_mm / radius_mm))
    return math.ceil(math.pi / (4 * half_turn))


def band(
    boundary: Boundary, chosen: NDArray[np.bool_], width_mm: float, *, chords: int
) -> shapely.Geometry:
    """Unite the strips along chosen edges, on their free side.

    Parameters
    ----------
    boundary : Boundary
        Edges in mm.
    chosen : ndarray of bool
        The edges that get a strip.
    width_mm : float
        Width of the strips, and radius of the turns.
    chords : int
        Chords to a quarter turn; their ends lie on the circle.

    Examples
    --------
    >>> from outline2path.reach.boundary import Boundary
    >>> square = Boundary.of(shapely.MultiPolygon([shapely.box(0, 0, 9, 9)]), free_inside=True)
    >>> strips = band(square, square.turn > 0, 1.0, chords=8)
    >>> round(shapely.difference(shapely.box(0, 0, 9, 9), strips).area, 6)
    49.0
    """
    edges = np.flatnonzero(chosen)
    start, end = boundary.points[edges], boundary.points[boundary.after[edges]]
    along = boundary.direction[edges]
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    sweep = np.maximum(-boundary.turn[edges], 0.0) + BACK
    steps = np.ceil(sweep * (2 * chords / np.pi)).astype(np.intp)
    owner = np.repeat(np.arange(len(edges)), steps)
    number = np.arange(len(owner)) - (np.cumsum(steps) - steps)[owner]
    heading = np.arctan2(normal[:, 1], normal[:, 0])[owner]
    heading += sweep[owner] * (1 - number / steps[owner])
    turning = start[owner] + width_mm * np.column_stack([np.cos(heading), np.sin(heading)])
    every = np.arange(len(edges))
    corners = [start, turning, start + width_mm * normal, end + width_mm * normal, end]
    owners = np.concatenate([every, owner, every, every, every])
    order = np.argsort(owners, kind="stable")
    rings = shapely.linearrings(np.concatenate(corners)[order], indices=owners[order])
    return shapely.union_all(shapely.polygons(rings))
