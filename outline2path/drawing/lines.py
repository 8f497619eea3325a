"""Lines: figures -> their sub-paths as points, and how far they reach.

In: figures and a matrix from CSS pixels to the unit wanted. Out: points of every sub-path, all
flattened in one pass under the full matrix, so that a tolerance holds at the size that will be
cut; and bounds, exact or from the controls alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.drawing.curves import ARC, transform_rows
from outline2path.drawing.flatten import flatten
from outline2path.drawing.transforms import IDENTITY, Affine, compose

if TYPE_CHECKING:
    from outline2path.drawing.figures import Figure

__all__ = ["curve_bounds", "hull_bounds", "polylines"]

Floats = NDArray[np.float64]


def polylines(
    figures: Sequence[Figure], matrix: Affine, tolerance: float
) -> list[list[tuple[Floats, bool]]]:
    """Return, for each figure, its sub-paths as points (n, 2) and whether each is closed.

    Parameters
    ----------
    figures : sequence of Figure
    matrix : tuple of float
        From CSS pixels to the unit of the result.
    tolerance : float
        Greatest distance between curve and chords, in the unit of the result.
    """
    if not figures:
        return []
    counts = [len(f.curves.rows) for f in figures]
    rows = np.concatenate([f.curves.rows for f in figures])
    matrices = np.array([compose(matrix, f.matrix) for f in figures])
    rows = transform_rows(rows, np.repeat(matrices, counts, axis=0))
    points, per_row = flatten(rows, tolerance)
    ends = np.cumsum(per_row)
    result: list[list[tuple[Floats, bool]]] = []
    base = 0
    for figure, n in zip(figures, counts, strict=True):
        firsts = figure.curves.firsts.tolist()
        lasts = [*firsts[1:], n]
        parts = []
        for first, last, closed in zip(firsts, lasts, figure.curves.closed.tolist(), strict=True):
            a, b = base + first, base + last
            start = ends[a - 1] if a else 0
            line = np.concatenate([points[start : ends[b - 1]], rows[b - 1 : b, 7:9]])
            parts.append((line, closed))
        result.append(parts)
        base += n
    return result


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
    counts = np.array([len(f.curves.rows) for f in figures])
    rows = np.concatenate([f.curves.rows for f in figures])
    matrices = np.repeat(np.array([f.matrix for f in figures]), counts, axis=0)
    rows = transform_rows(rows, matrices)
    x, y = rows[:, 1:9:2], rows[:, 2:10:2]
    arcs = rows[:, 0] == ARC
    if arcs.any():
        x, y = x.copy(), y.copy()
        for k, side in enumerate((x, y)):
            reach = np.abs(rows[arcs, 3 + k]) + np.abs(rows[arcs, 5 + k])
            centre = rows[arcs, 9 + k]
            side[arcs] = np.stack([centre - reach, centre + reach, centre, centre], axis=1)
    first = np.cumsum(counts) - counts
    low = [np.minimum.reduceat(side.min(axis=1), first) for side in (x, y)]
    high = [np.maximum.reduceat(side.max(axis=1), first) for side in (x, y)]
    return np.stack([*low, *high], axis=1)
