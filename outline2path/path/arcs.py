"""Arcs: a polyline as few lines and circular arcs within a tolerance.

In: points (n, 2) in mm. Out: a table of pieces, each from one vertex to a later one, together
covering the polyline. Every point of the polyline, chord interiors included, is within the
tolerance of the pieces and the other way round. Flattened arcs come back as single arcs, a full
circle as two halves, straight runs as single lines.

Method: from each piece's end the longest piece that fits (`one_piece`), found by doubling and then
halving the stretch. The count is compared in the tests with the optimum over the same points.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from outline2path.errors import SettingError
from outline2path.path.one_piece import PIECE, Stretches

__all__ = ["fit_arcs", "fit_lines"]

Integers = NDArray[np.int64]


def fit_arcs(points: ArrayLike, *, tolerance_mm: float, closed: bool = False) -> NDArray[np.void]:
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
        cx, cy (centre of an arc, mm). Each piece begins where the one before ends.

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
    vertices = _checked(points, tolerance_mm)
    if closed and len(vertices):
        vertices = np.vstack([vertices, vertices[:1]])
    if len(vertices) < 2:
        return np.zeros(0, PIECE)
    stretches = Stretches(vertices, float(tolerance_mm))
    return _cover(stretches)


def fit_lines(points: ArrayLike, *, tolerance_mm: float) -> NDArray[np.void]:
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
    vertices = _checked(points, tolerance_mm)
    if len(vertices) < 2:
        return np.zeros(0, PIECE)
    return _cover(Stretches(vertices, float(tolerance_mm), arcs=False))


def _cover(stretches: Stretches) -> NDArray[np.void]:
    pieces = []
    here, end = 0, len(stretches.points) - 1
    while here < end:
        piece = _longest(stretches, here, end)
        pieces.append(piece)
        here = int(piece["last"][0])
    return np.concatenate(pieces)


def _longest(stretches: Stretches, first: int, end: int) -> NDArray[np.void]:
    good, bad, step = None, end + 1, 1
    while True:
        known = first if good is None else int(good["last"][0])
        last = min(known + step, end) if bad > end else (known + bad) // 2
        if last <= known:
            return good
        ok, piece = stretches.try_pieces(np.array([first]), np.array([last]))
        if ok[0]:
            good = piece
            step *= 2
        else:
            bad = last


def _checked(points: ArrayLike, tolerance_mm: float) -> NDArray[np.float64]:
    vertices = np.asarray(points, dtype=np.float64)
    if vertices.ndim != 2 or vertices.shape[1] != 2 or not np.isfinite(vertices).all():
        raise SettingError(
            f"an array of shape {vertices.shape} is no list of finite points",
            remedy="give rows of x and y in mm",
        )
    if not (math.isfinite(tolerance_mm) and tolerance_mm > 0):
        raise SettingError(
            f"a tolerance of {tolerance_mm!r} mm is not positive", value=tolerance_mm
        )
    return vertices
