"""The edge that must stand: which side of the drawn outline is kept, and how near a point is.

Outside profiles keep the drawn region; inside profiles keep everything else. Either way the
kept material is told by the same rings and by which side of them it lies, so no frame has to be
invented and nothing is offset. An allowance above zero moves the edge away from the material by
a distance only; one below zero shrinks the material, which shapely's buffer does.

`Rays` are the edge seen from the free side: points on it with the direction away from the
material, close enough together that what lies between two can be followed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.proof.tracks import Floats, Nearest, thin

__all__ = ["Edge", "Rays"]

_FAN_STEP = np.radians(15.0)
_STANDS_OUT_MM = 0.0002
_LIES_BACK_MM = 0.0012
"""How far a blunt corner may stand out, or lie back, between the rays of its two edges. The second
is a little above what a curve's chords do, so that smooth edges cost nothing more."""
_QUADRANT = 64


@dataclass(frozen=True, eq=False)
class Rays:
    """Points on an edge and unit directions away from the material.

    Attributes
    ----------
    origin, direction : ndarray, (n, 2)
        mm, and unit length.
    follower : ndarray of int, (n,)
        Index of the next ray along the same ring, -1 where there is none.
    """

    origin: Floats
    direction: Floats
    follower: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.origin)

    def at(self, distance_mm: float | Floats) -> Floats:
        """Return the points so far along the rays, (n, 2)."""
        return self.origin + np.asarray(distance_mm).reshape(-1, 1) * self.direction


class Edge:
    """The kept material's edge.

    Parameters
    ----------
    part : MultiPolygon
        The drawn region, rings oriented, mm.
    keeps_inside : bool
        Whether the region itself stays (outside profile), or all around it (inside profile).
    allowance_mm : float
        What was to be left on the edge.

    Attributes
    ----------
    reach_mm : float
        Allowance that must still be added to every distance from the rings.
    nearest : Nearest
        Search over the rings' chords.

    Examples
    --------
    >>> square = shapely.orient_polygons(shapely.MultiPolygon([shapely.box(0, 0, 10, 10)]))
    >>> edge = Edge(square, keeps_inside=True, allowance_mm=0.0)
    >>> edge.inside(np.array([[5.0, 5.0], [12.0, 5.0]])).tolist()
    [True, False]
    """

    def __init__(
        self, part: shapely.MultiPolygon, *, keeps_inside: bool, allowance_mm: float
    ) -> None:
        self.keeps_inside = keeps_inside
        self.reach_mm = max(allowance_mm, 0.0)
        if allowance_mm < 0:
            by = allowance_mm if keeps_inside else -allowance_mm
            grown = shapely.buffer(part, by, quad_segs=_QUADRANT)
            parts = [p for p in shapely.get_parts(grown).tolist() if p.area > 0]
            part = shapely.orient_polygons(shapely.MultiPolygon(parts))
        self.part = part
        rings = shapely.get_rings(shapely.get_parts(part))
        self._rings = [shapely.get_coordinates(ring)[:-1] for ring in rings]
        thinned = (_thinned(ring[_distinct(ring)]) for ring in self._rings)
        self._rings = [ring for ring in thinned if len(ring) > 2]
        a = np.concatenate(self._rings) if self._rings else np.zeros((0, 2))
        b = np.concatenate([np.roll(r, -1, axis=0) for r in self._rings] or [a])
        self.nearest = Nearest(a, b)
        shapely.prepare(self.part)

    def inside(self, xy: Floats) -> NDArray[np.bool_]:
        """Tell for each point, (n, 2) in mm, whether it lies in the kept material."""
        within = shapely.contains_xy(self.part, xy[:, 0], xy[:, 1])
        found: NDArray[np.bool_] = np.asarray(within) == self.keeps_inside
        return found

    def rays(self, step_mm: float, *, disc_mm: float = 0.0, far_mm: float = 0.0) -> Rays:
        """Return rays at most `step_mm` apart, fans at corners that stand out.

        Between corners that lie back, they stand where a disc of radius `disc_mm` touches the
        edge between its neighbours, if there is such a place. Lines from ray to ray up to
        `far_mm` out run no farther inside the round corner there than a blunt one stands out.
        """
        origins, directions, followers, at = [], [], [], 0
        side = 1.0 if self.keeps_inside else -1.0
        for ring in self._rings:
            origin, direction = _ring_rays(ring, (step_mm, disc_mm, self.reach_mm + far_mm), side)
            n = len(origin)
            origins.append(origin + self.reach_mm * direction)
            directions.append(direction)
            followers.append(at + np.roll(np.arange(n), -1))
            at += n
        if not origins:
            return Rays(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0, dtype=np.int64))
        return Rays(np.concatenate(origins), np.concatenate(directions), np.concatenate(followers))


def _distinct(ring: Floats) -> NDArray[np.bool_]:
    """Mask of points that differ from the point before."""
    mask: NDArray[np.bool_] = (ring != np.roll(ring, 1, axis=0)).any(axis=1)
    return mask


def _thinned(ring: Floats) -> Floats:
    closed = np.concatenate([ring, ring[:1]])
    kept: Floats = closed[thin(closed)][:-1]
    return kept if len(kept) > 2 else ring


def _ring_rays(
    ring: Floats, size: tuple[float, float, float], side: float
) -> tuple[Floats, Floats]:
    """Rays of one ring that has the region on its left; side -1 for material on the right."""
    step_mm, disc_mm, far_mm = size
    along = np.roll(ring, -1, axis=0) - ring
    length = np.hypot(*along.T)
    tangent = along / length[:, None]
    normal = side * np.column_stack((tangent[:, 1], -tangent[:, 0]))
    before = np.roll(normal, 1, axis=0)
    turn = np.arctan2(
        before[:, 0] * normal[:, 1] - before[:, 1] * normal[:, 0], (before * normal).sum(axis=1)
    )
    out = turn * side
    step = min(_FAN_STEP, 2 * np.arccos(1 - _STANDS_OUT_MM / max(far_mm, _STANDS_OUT_MM)))
    fan = np.where(out > 0, 2 * np.ceil(out / (2 * step)).astype(np.int64) + 1, 0)
    by = np.minimum(length, np.roll(length, 1)) * out / 4
    rounded = far_mm * (1 - np.cos(out / 2))
    fan[(by < _STANDS_OUT_MM) & (rounded < _STANDS_OUT_MM)] = 0
    hollow = by < -_LIES_BACK_MM
    fan[hollow] = 1
    begin, room = _touched(length, np.where(hollow, -out, 0.0), disc_mm)
    per_edge = 2 * np.ceil(room / (2 * step_mm)).astype(np.int64) + 1
    total = fan + per_edge + np.roll(hollow, -1)
    owner = np.repeat(np.arange(len(ring)), total)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(total) - total, total)
    in_fan = place < fan[owner]
    share = (place - fan[owner] + 0.5) / per_edge[owner]
    along_edge = np.where(share < 1, begin[owner] + share * room[owner], length[owner])
    along_edge = np.where(in_fan, 0.0, along_edge)
    origin = ring[owner] + along_edge[:, None] * tangent[owner]
    back = turn[owner] * (1 - place / np.maximum(fan[owner] - 1, 1))
    angle = np.where(in_fan & ~hollow[owner], -back, 0.0)
    n = normal[owner]
    direction = np.column_stack(
        (
            n[:, 0] * np.cos(angle) - n[:, 1] * np.sin(angle),
            n[:, 0] * np.sin(angle) + n[:, 1] * np.cos(angle),
        )
    )
    return origin, direction


def _touched(length: Floats, hollow: Floats, disc_mm: float) -> tuple[Floats, Floats]:
    """Where on each edge a disc can touch between hollow corners: its begin and length."""
    before = (disc_mm * np.tan(np.minimum(hollow, 3.0) / 2)).clip(0)
    after = np.roll(before, -1)
    room = length - before - after
    return np.where(room > 0, before, 0.0), np.where(room > 0, room, length)
