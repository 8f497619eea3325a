"""Flattening: curves -> points, no curve farther than the tolerance from its chords.

In: segments already under their full matrix, and the tolerance in the same unit. Out: points on
the curves. Each curve is first cut where it turns in x or in y, so that bounds are exact; then,
where it is not flat enough, into pieces of equal sagitta (see `bending`). Whole tables are
worked at once, points as complex numbers.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outline2path.drawing.bending import Arcs, Cubics, Stretches, as_pairs, refuse_many
from outline2path.drawing.curves import ARC, LINE

__all__ = ["Bends", "flatten"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Ints = NDArray[np.int64]


def flatten(rows: Floats, tolerance: float) -> tuple[Floats, Ints]:
    """Return points of every segment, the end of each left to the next one's start.

    Parameters
    ----------
    rows : ndarray, shape (n, 13)
        Segments, see `Curves`.
    tolerance : float
        Greatest distance between curve and chords, in the unit of the rows.

    Returns
    -------
    points : ndarray, shape (m, 2)
        Start and inner points of each segment, in order.
    counts : ndarray of int, shape (n,)
        Points of each segment, at least 1.

    Examples
    --------
    A circle of radius 10 to within 0.01 needs 71 chords, 72 with the four extreme points kept
    (ceil(pi / acos(1 - tol / R))):

    >>> from outline2path.drawing.curves import circle_rows
    >>> points, counts = flatten(np.array(circle_rows(0, 0, 10, 10)), 0.01)
    >>> len(points), counts.tolist()
    (72, [18, 18, 18, 18])
    """
    curved = np.flatnonzero(rows[:, 0] != LINE)
    counts = np.ones(len(rows), dtype=np.int64)
    if not len(curved):
        return rows[:, 1:3].copy(), counts
    bends = Bends.of(rows[curved])
    owner, low, _ = bends.pieces(tolerance)
    inside = low > 0
    counts[curved] += np.bincount(owner[inside], minlength=len(curved))
    points = np.empty((int(counts.sum()), 2))
    is_start = np.zeros(len(points), dtype=bool)
    is_start[np.cumsum(counts) - counts] = True
    points[is_start] = rows[:, 1:3]
    points[~is_start] = as_pairs(bends.at(owner[inside], low[inside]))
    return points, counts


@dataclass(frozen=True, eq=False)
class Bends:
    """Curved segments, points as complex numbers.

    Attributes
    ----------
    control : ndarray of complex, shape (n, 4)
        Start, two controls (axes of an arc), end.
    centre : ndarray of complex, shape (n,)
    angle, sweep : ndarray, shape (n,)
        Of arcs, in radians.
    arc : ndarray of bool, shape (n,)
        Which are arcs; the others are cubics.
    """

    control: Complexes
    centre: Complexes
    angle: Floats
    sweep: Floats
    arc: NDArray[np.bool_]

    @classmethod
    def of(cls, rows: Floats) -> Bends:
        """Take the table of curved segments, shape (n, 13)."""
        points = np.ascontiguousarray(rows[:, 1:11]).view(np.complex128)
        return cls(points[:, :4], points[:, 4], rows[:, 11], rows[:, 12], rows[:, 0] == ARC)

    def at(self, owner: Ints, t: Floats) -> Complexes:
        """Return the point at parameter t (0 to 1) of each segment named by `owner`."""
        p, s = self.control[owner], 1 - t
        points = s * s * (s * p[:, 0] + 3 * t * p[:, 1]) + t * t * (3 * s * p[:, 2] + t * p[:, 3])
        if self.arc.any():
            k = np.flatnonzero(self.arc[owner])
            o = owner[k]
            a = self.angle[o] + self.sweep[o] * t[k]
            points[k] = self.centre[o] + p[k, 1] * np.cos(a) + p[k, 2] * np.sin(a)
        return np.asarray(points)

    def slopes(self, owner: Ints, t: Floats) -> Complexes:
        """Return the derivative by the parameter at parameters t, shape (n,)."""
        p, s = self.control[owner], 1 - t
        e, f, g = p[:, 1] - p[:, 0], p[:, 2] - p[:, 1], p[:, 3] - p[:, 2]
        slope = 3 * (s * (s * e + 2 * t * f) + t * t * g)
        if self.arc.any():
            k = np.flatnonzero(self.arc[owner])
            o = owner[k]
            a = self.angle[o] + self.sweep[o] * t[k]
            slope[k] = self.sweep[o] * (p[k, 2] * np.cos(a) - p[k, 1] * np.sin(a))
        return np.asarray(slope)

    def pieces(self, tolerance: float) -> Stretches:
        """Cut into pieces no farther than the tolerance from their chords.

        Returns
        -------
        owner : ndarray of int, shape (m,)
            The segment each piece belongs to; pieces come in order along each segment.
        low, high : ndarray, shape (m,)
            Parameters (0 to 1) between which each piece lies.
        """
        if not self.arc.any():
            return Cubics.of(self.control).pieces(tolerance)
        which = np.flatnonzero(self.arc)
        arcs = self._arcs(which).pieces(tolerance)
        if len(which) == len(self.arc):
            return arcs
        others = np.flatnonzero(~self.arc)
        cubics = Cubics.of(self.control[others]).pieces(tolerance)
        owner = np.concatenate([others[cubics[0]], which[arcs[0]]])
        refuse_many(len(owner), tolerance)
        order = np.argsort(owner, kind="stable")
        low, high = (
            np.concatenate([x, y])[order] for x, y in zip(cubics[1:], arcs[1:], strict=True)
        )
        return owner[order], low, high

    def _arcs(self, which: Ints) -> Arcs:
        u, v = self.control[which, 1], self.control[which, 2]
        return Arcs(u, v, self.angle[which], self.sweep[which])
