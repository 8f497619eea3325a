"""Lines: figures -> their sub-paths as points, and how far they reach.

In: figures and a matrix from CSS pixels to the unit wanted. Out: points of every sub-path, all
flattened in one pass under the full matrix, so that a tolerance holds at the size that will be
cut; and bounds, exact or from the controls alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.drawing.curves import ARC, Curves, join_curves, transform_rows
from outline2path.drawing.flatten import between
from outline2path.drawing.transforms import IDENTITY, Affine, compose

if TYPE_CHECKING:
    from outline2path.drawing.figures import Figure

__all__ = ["Traced", "curve_bounds", "hull_bounds", "polylines", "traced"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False, slots=True)
class Traced:
    """Sub-paths of figures as points.

    Attributes
    ----------
    points : ndarray, shape (m, 2)
        Of all sub-paths, in order.
    first : ndarray of int, shape (k + 1,)
        Where each sub-path begins, and where the last one ends.
    closed : ndarray of bool, shape (k,)
        Whether the drawing closes each itself.
    owner : ndarray of int, shape (k,)
        To which figure each belongs.
    """

    points: Floats
    first: Ints
    closed: NDArray[np.bool_]
    owner: Ints


def traced(figures: Sequence[Figure], matrix: Affine, tolerance: float) -> Traced:
    """Return the sub-paths of figures as points.

    Parameters
    ----------
    figures : sequence of Figure
    matrix : tuple of float
        From CSS pixels to the unit of the result.
    tolerance : float
        Greatest distance between curve and chords, in the unit of the result.

    Examples
    --------
    >>> traced([], IDENTITY, 0.1).first.tolist()
    [0]
    """
    if not figures:
        none = np.zeros(0, dtype=np.int64)
        return Traced(np.zeros((0, 2)), np.zeros(1, dtype=np.int64), none.astype(bool), none)
    curves = join_curves([f.curves for f in figures])
    counts = [len(f.curves.rows) for f in figures]
    rows = _moved(curves.rows, counts, [compose(matrix, f.matrix) for f in figures])
    points, first = _strung(rows, curves, *between(rows, tolerance))
    owner = np.arange(len(figures)).repeat([len(f.curves.firsts) for f in figures])
    return Traced(points, first, curves.closed, owner)


def _strung(rows: Floats, curves: Curves, owner: Ints, inner: Floats) -> tuple[Floats, Ints]:
    """Points of every sub-path, starts of segments, points between and ends, one after another.

    `inner` are points between start and end of the segments that `owner` names, in order. Also
    returned: where each sub-path begins, and where the last one ends.
    """
    n, k = len(rows), len(curves.firsts)
    start = np.arange(n)
    if len(owner):
        start[1:] += np.bincount(owner, minlength=n).cumsum()[:-1]
    start += np.arange(k).repeat(curves.counts)
    first = np.append(start[curves.firsts], n + len(inner) + k)
    end, last = first[1:] - 1, np.append(curves.firsts[1:], n) - 1
    points = np.empty((n + len(inner) + k, 2))
    free = np.ones(len(points), dtype=bool)
    free[start] = free[end] = False
    points[start] = rows[:, 1:3]
    points[end] = rows[last, 7:9]
    points[free] = inner
    return points, first


def polylines(
    figures: Sequence[Figure], matrix: Affine, tolerance: float
) -> list[list[tuple[Floats, bool]]]:
    """Return, for each figure, its sub-paths as points (n, 2) and whether each is closed.

    As `traced`, apart.
    """
    lines = traced(figures, matrix, tolerance)
    result: list[list[tuple[Floats, bool]]] = [[] for _ in figures]
    for k, closed, a, b in zip(
        lines.owner.tolist(),
        lines.closed.tolist(),
        lines.first[:-1].tolist(),
        lines.first[1:].tolist(),
        strict=True,
    ):
        result[k].append((lines.points[a:b], closed))
    return result


def _moved(rows: Floats, counts: list[int], matrices: list[Affine]) -> Floats:
    """Rows under the matrix of the figure each belongs to."""
    if all(m == matrices[0] for m in matrices):
        return transform_rows(rows, np.array(matrices[0]))
    return transform_rows(rows, np.array(matrices).repeat(counts, axis=0))


def curve_bounds(figures: Sequence[Figure]) -> Floats:
    """Return least x, least y, greatest x, greatest y of each figure's curves, shape (n, 4).

    In CSS pixels; lines without width, clip paths left out.
    """
    found = []
    for parts in polylines(figures, IDENTITY, math.inf):
        points = np.concatenate([line for line, _ in parts])
        found.append(np.concatenate([points.min(axis=0), points.max(axis=0)]))
    return np.array(found).reshape(-1, 4)


def hull_bounds(figures: Sequence[Figure]) -> Floats:
    """Return bounds, shape (n, 4), that each figure's curves cannot leave; see `curve_bounds`."""
    if not figures:
        return np.zeros((0, 4))
    counts = [len(f.curves.rows) for f in figures]
    rows = np.concatenate([f.curves.rows for f in figures])
    rows = _moved(rows, counts, [f.matrix for f in figures])
    points = rows[:, 1:9].reshape(-1, 4, 2)
    low, high = points.min(axis=1), points.max(axis=1)
    arcs = rows[:, 0] == ARC
    if arcs.any():
        reach = np.abs(points[arcs, 1]) + np.abs(points[arcs, 2])
        low[arcs], high[arcs] = rows[arcs, 9:11] - reach, rows[arcs, 9:11] + reach
    if len(figures) < len(rows):
        first = np.cumsum([0, *counts[:-1]])
        low = np.minimum.reduceat(low, first)
        high = np.maximum.reduceat(high, first)
    return np.concatenate([low, high], axis=1)
