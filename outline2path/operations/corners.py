"""Corners: the straight edges of a region and the corners between them.

In: a region in mm and the side a cutter works on. Out: arrays, one row for each edge or corner.
Points that lie on a straight line between their neighbours are no corners. `side` says where the
void is, the place the cutter works in: "outside" the region, or "inside" it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.errors import SettingError
from outline2path.tolerance import SAME_MM

__all__ = ["Edges", "VoidSide", "checked_side", "edges_of"]

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
VoidSide = Literal["outside", "inside"]


@dataclass(frozen=True, eq=False)
class Edges:
    """The straight edges of a region, ring by ring.

    Attributes
    ----------
    start, end : ndarray, shape (n, 2)
        In mm; the region lies on the left.
    along : ndarray, shape (n, 2)
        Unit vectors from start to end.
    length : ndarray, shape (n,)
        In mm.
    ring : ndarray of int, shape (n,)
        Which ring an edge belongs to.
    before : ndarray of int, shape (n,)
        The edge that ends where this one starts.
    """

    start: Floats
    end: Floats
    along: Floats
    length: Floats
    ring: Ints
    before: Ints

    def into_void(self, side: VoidSide) -> Floats:
        """Return the unit normal of each edge that points into the void, shape (n, 2)."""
        left = np.column_stack((-self.along[:, 1], self.along[:, 0]))
        return left if side == "inside" else -left

    def void_angle(self, side: VoidSide) -> Floats:
        """Return the void's angle at each edge's start, degrees from 0 to 360, shape (n,)."""
        into, out = self.along[self.before], self.along
        cross = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
        turn = np.degrees(np.arctan2(cross, np.sum(into * out, axis=1)))
        angle: Floats = 180.0 - turn if side == "inside" else 180.0 + turn
        return angle


def edges_of(region: BaseGeometry) -> Edges:
    """Return the straight edges of a region.

    Parameters
    ----------
    region : Polygon or MultiPolygon
        Valid, in mm.

    Examples
    --------
    >>> edges = edges_of(shapely.box(0, 0, 4, 2))
    >>> edges.length.tolist(), edges.void_angle("inside").tolist()
    ([2.0, 4.0, 2.0, 4.0], [90.0, 90.0, 90.0, 90.0])
    """
    sides: list[Floats] = []
    rings: list[Ints] = []
    before: list[Ints] = []
    first = 0
    parts = shapely.get_parts(shapely.orient_polygons(region))
    for number, ring in enumerate(shapely.get_rings(parts)):
        points = _bends(shapely.get_coordinates(ring)[:-1])
        count = len(points)
        sides.append(np.stack((points, np.roll(points, -1, axis=0)), axis=1))
        rings.append(np.full(count, number))
        before.append(first + np.roll(np.arange(count), 1))
        first += count
    pairs = np.concatenate(sides) if sides else np.empty((0, 2, 2))
    across = pairs[:, 1] - pairs[:, 0]
    length = np.hypot(across[:, 0], across[:, 1])
    return Edges(
        start=pairs[:, 0],
        end=pairs[:, 1],
        along=across / length[:, None],
        length=length,
        ring=np.concatenate(rings) if rings else np.empty(0, dtype=np.intp),
        before=np.concatenate(before) if before else np.empty(0, dtype=np.intp),
    )


def checked_side(side: str) -> VoidSide:
    """Return a side that is known.

    Raises
    ------
    SettingError
        When it is neither "outside" nor "inside".

    Examples
    --------
    >>> checked_side("outside")
    'outside'
    """
    if side not in ("outside", "inside"):
        raise SettingError(
            f"side {side!r} is neither outside nor inside",
            value=side,
            remedy="outside: the drawn regions are the part; inside: they are the opening",
        )
    return "inside" if side == "inside" else "outside"


def _bends(points: Floats) -> Floats:
    """Leave out points on a straight line, and points on top of one another."""
    step = np.roll(points, -1, axis=0) - points
    points = points[np.hypot(step[:, 0], step[:, 1]) > SAME_MM]
    if len(points) < 4:
        return points
    into = points - np.roll(points, 1, axis=0)
    across = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    off = np.abs(into[:, 0] * across[:, 1] - into[:, 1] * across[:, 0])
    kept = off > SAME_MM * np.maximum(np.hypot(across[:, 0], across[:, 1]), SAME_MM)
    return points[kept] if kept.sum() >= 3 else points
