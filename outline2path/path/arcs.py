"""Arcs: polylines as few lines and circular arcs within a tolerance.

In: points (n, 2) in mm. Out: a table of pieces, each from one vertex to a later one, together
covering the polyline. Every point of the polyline, chord interiors included, is within the
tolerance of the pieces and the other way round. Flattened arcs come back as single arcs, a full
circle as two halves, straight runs as single lines.

Method: from each piece's end the longest piece that fits (`cover`, `one_piece`), many polylines
at once; where they are ragged, the best chain of short pieces (`fewer`). The count is compared in
the tests with the optimum over the same points.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from outline2path.errors import SettingError
from outline2path.path.cover import cover, lanes_of
from outline2path.path.fewer import fewer
from outline2path.path.one_piece import LARGEST_SWEEP_RAD, PIECE, Stretches

__all__ = ["fit_arcs", "fit_lines", "fit_many"]

Floats = NDArray[np.float64]
Pieces = NDArray[np.void]


def fit_arcs(points: ArrayLike, *, tolerance_mm: float, closed: bool = False) -> Pieces:
    """Fit lines and circular arcs to a polyline.

    Parameters
    ----------
    points : array_like, shape (n, 2)
        Vertices in mm.
    tolerance_mm : float
        Greatest distance between polyline and pieces, mm.
    closed : bool
        Join the last point to the first; the last piece then ends on vertex n, which is vertex 0.

    Returns
    -------
    ndarray of PIECE
        Columns first, last (vertex numbers), turn (0 line, 1 counter-clockwise, -1 clockwise),
        cx, cy (centre of an arc, mm). Each piece begins where the one before ends; no arc turns
        further than 270 degrees.

    Raises
    ------
    SettingError
        When the points are not finite pairs, or the tolerance is not positive.

    Examples
    --------
    >>> import numpy as np
    >>> angle = np.linspace(0, np.pi, 60)
    >>> bow = np.column_stack([5 * np.cos(angle), 5 * np.sin(angle)])
    >>> pieces = fit_arcs(np.vstack([bow, [[-5, -9], [5, -9]]]), tolerance_mm=0.005, closed=True)
    >>> pieces["first"].tolist(), pieces["turn"].tolist()
    ([0, 59, 60, 61], [1, 0, 0, 0])
    """
    vertices = _checked(points)
    if closed and len(vertices):
        vertices = np.vstack([vertices, vertices[:1]])
    return fit_many([vertices], tolerance_mm=tolerance_mm)[0]


def fit_lines(points: ArrayLike, *, tolerance_mm: float) -> Pieces:
    """Fit straight lines alone to a polyline; the same table as `fit_arcs`, turn always 0.

    Raises
    ------
    SettingError
        When the points are not finite pairs, or the tolerance is not positive.

    Examples
    --------
    >>> fit_lines([[0, 0], [4, 0.001], [9, 0], [9, 5]], tolerance_mm=0.01)["last"].tolist()
    [2, 3]
    """
    return fit_many([_checked(points)], tolerance_mm=tolerance_mm, arcs=False)[0]


def fit_many(
    polylines: Sequence[ArrayLike], *, tolerance_mm: float, arcs: bool = True
) -> list[Pieces]:
    """Fit many open polylines in one go, which costs far less than one by one.

    Parameters
    ----------
    polylines : sequence of array_like, shape (n, 2)
        Vertices in mm.
    tolerance_mm : float
        Greatest distance between polylines and pieces, mm.
    arcs : bool
        Use arcs as well as lines.

    Returns
    -------
    list of ndarray of PIECE
        One table a polyline, as from `fit_arcs`; empty below two points.

    Raises
    ------
    SettingError
        When the points are not finite pairs, or the tolerance is not positive.

    Examples
    --------
    >>> [len(t) for t in fit_many([[[0, 0], [1, 0], [9, 0]], [[5, 5]]], tolerance_mm=0.01)]
    [1, 0]
    """
    if not (math.isfinite(tolerance_mm) and tolerance_mm > 0):
        raise SettingError(
            f"a tolerance of {tolerance_mm!r} mm is not positive", value=tolerance_mm
        )
    parts = [_checked(points) for points in polylines]
    sizes = np.array([len(part) for part in parts], dtype=np.int64)
    begin = np.cumsum(sizes) - sizes
    real = sizes >= 2
    if not real.any():
        return [np.zeros(0, PIECE) for _ in parts]
    stretches = Stretches(np.concatenate(parts), float(tolerance_mm), arcs)
    lanes = lanes_of(stretches, begin[real], (begin + sizes - 1)[real])
    pieces = fewer(stretches, cover(stretches, *lanes), *lanes)
    pieces = _balanced(stretches, pieces)
    owner = np.searchsorted(begin[real], pieces["first"], side="right") - 1
    pieces["first"] -= begin[real][owner]
    pieces["last"] -= begin[real][owner]
    counts = np.zeros(len(parts), np.int64)
    counts[real] = np.bincount(owner, minlength=int(real.sum()))
    return np.split(pieces, np.cumsum(counts)[:-1])


def _balanced(stretches: Stretches, pieces: Pieces) -> Pieces:
    """Meet in the middle where one circle goes on through two arcs, as in a full circle."""
    radius, sweep = _radii_and_sweeps(stretches.points, pieces)
    pair = (pieces["turn"][:-1] == pieces["turn"][1:]) & (pieces["turn"][1:] != 0)
    pair &= pieces["last"][:-1] == pieces["first"][1:]
    pair &= np.abs(np.diff(radius)) <= 2 * stretches.tolerance_mm
    pair &= sweep[:-1] + sweep[1:] > LARGEST_SWEEP_RAD
    rows = np.flatnonzero(pair)
    rows = rows[np.diff(rows, prepend=-2) > 1]
    if not len(rows):
        return pieces
    first, last = pieces["first"][rows], pieces["last"][rows + 1]
    middle = np.array([_halfway(stretches.points, f, t) for f, t in zip(first, last, strict=True)])
    ok, one = stretches.try_pieces(first, middle)
    fine, other = stretches.try_pieces(middle, last)
    ok &= fine
    pieces[rows[ok]], pieces[rows[ok] + 1] = one[ok], other[ok]
    return pieces


def _radii_and_sweeps(points: Floats, pieces: Pieces) -> tuple[Floats, Floats]:
    """Radius (mm) and size of the sweep (rad) of every arc; 0 and 0 on lines."""
    centre = np.column_stack([pieces["cx"], pieces["cy"]])
    begin, end = points[pieces["first"]] - centre, points[pieces["last"]] - centre
    cross = begin[:, 0] * end[:, 1] - begin[:, 1] * end[:, 0]
    angle = np.arctan2(cross, (begin * end).sum(axis=1)) * pieces["turn"]
    radius = np.where(pieces["turn"] != 0, np.hypot(begin[:, 0], begin[:, 1]), 0.0)
    return radius, np.mod(angle, 2 * np.pi)


def _halfway(points: Floats, first: int, last: int) -> int:
    """Vertex nearest the middle of a polyline's length, never one of its ends."""
    step = np.diff(points[first : last + 1], axis=0)
    run = np.cumsum(np.hypot(step[:, 0], step[:, 1]))
    return first + 1 + int(np.argmin(np.abs(run[:-1] - run[-1] / 2)))


def _checked(points: ArrayLike) -> Floats:
    vertices = np.asarray(points, dtype=np.float64)
    if vertices.ndim != 2 or vertices.shape[1] != 2 or not np.isfinite(vertices).all():
        raise SettingError(
            f"an array of shape {vertices.shape} is no list of finite points",
            remedy="give rows of x and y in mm",
        )
    return vertices
