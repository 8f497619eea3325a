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
from outline2path.drawing.curves import ARC, CUBIC, complex_points

__all__ = ["Bends", "between", "flatten"]

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
    owner, inner = between(rows, tolerance)
    counts = np.bincount(owner, minlength=len(rows)) + 1
    points = np.empty((len(rows) + len(owner), 2))
    starts = counts.cumsum() - counts
    free = np.ones(len(points), dtype=bool)
    free[starts] = False
    points[starts], points[free] = rows[:, 1:3], inner
    return points, counts


def between(rows: Floats, tolerance: float) -> tuple[Ints, Floats]:
    """Return points between the start and the end of every segment, as `flatten` does.

    Returns
    -------
    owner : ndarray of int, shape (m,)
        The segment on which each point lies, in order.
    points : ndarray, shape (m, 2)

    Examples
    --------
    >>> from outline2path.drawing.curves import circle_rows
    >>> owner, points = between(np.array(circle_rows(0, 0, 10, 10)), 1.0)
    >>> owner.tolist()
    [0, 1, 2, 3]
    """
    found = []
    for kind, table in ((CUBIC, Cubics), (ARC, Arcs)):
        which = np.flatnonzero(rows[:, 0] == kind)
        if len(which):
            curves = table.of(rows[which])
            owner, low, _ = curves.pieces(tolerance)
            inside = low > 0
            owner, low = owner[inside], low[inside]
            found.append((which[owner], curves.at(owner, low)))
    if len(found) == 2:
        owner, points = (np.concatenate(parts) for parts in zip(*found, strict=True))
        refuse_many(len(owner), tolerance)
        order = np.argsort(owner, kind="stable")
        return owner[order], as_pairs(points[order])
    if not found:
        return np.zeros(0, dtype=np.int64), np.zeros((0, 2))
    return found[0][0], as_pairs(found[0][1])


@dataclass(frozen=True, eq=False)
class Bends:
    """Curved segments of both kinds, points as complex numbers.

    Attributes
    ----------
    rows : ndarray, shape (n, 13)
        Segments, none of them straight; see `Curves`.
    control : ndarray of complex, shape (n, 5)
        Start, two controls (axes of an arc), end, centre of an arc.
    arc : ndarray of bool, shape (n,)
        Which are arcs; the others are cubics.
    """

    rows: Floats
    control: Complexes
    arc: NDArray[np.bool_]

    @classmethod
    def of(cls, rows: Floats) -> Bends:
        """Take the table of curved segments, shape (n, 13)."""
        return cls(rows, complex_points(rows), rows[:, 0] == ARC)

    def at(self, owner: Ints, t: Floats) -> Complexes:
        """Return the point at parameter t (0 to 1) of each segment named by `owner`."""
        p, s = self.control[owner], 1 - t
        points = s * s * (s * p[:, 0] + 3 * t * p[:, 1]) + t * t * (3 * s * p[:, 2] + t * p[:, 3])
        if self.arc.any():
            k = np.flatnonzero(self.arc[owner])
            o = owner[k]
            a = self.rows[o, 11] + self.rows[o, 12] * t[k]
            points[k] = p[k, 4] + p[k, 1] * np.cos(a) + p[k, 2] * np.sin(a)
        return np.asarray(points)

    def slopes(self, owner: Ints, t: Floats) -> Complexes:
        """Return the derivative by the parameter at parameters t, shape (n,)."""
        p, s = self.control[owner], 1 - t
        e, f, g = p[:, 1] - p[:, 0], p[:, 2] - p[:, 1], p[:, 3] - p[:, 2]
        slope = 3 * (s * (s * e + 2 * t * f) + t * t * g)
        if self.arc.any():
            k = np.flatnonzero(self.arc[owner])
            o = owner[k]
            a = self.rows[o, 11] + self.rows[o, 12] * t[k]
            slope[k] = self.rows[o, 12] * (p[k, 2] * np.cos(a) - p[k, 1] * np.sin(a))
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
        cubic, arc = np.flatnonzero(~self.arc), np.flatnonzero(self.arc)
        cubics = Cubics.of(self.rows[cubic]).pieces(tolerance)
        arcs = Arcs.of(self.rows[arc]).pieces(tolerance)
        owner = np.concatenate([cubic[cubics[0]], arc[arcs[0]]])
        refuse_many(len(owner), tolerance)
        order = np.argsort(owner, kind="stable")
        low, high = (
            np.concatenate([x, y])[order] for x, y in zip(cubics[1:], arcs[1:], strict=True)
        )
        return owner[order], low, high
