"""Curves: sub-paths of lines, cubics and elliptical arcs as one table.

One row a segment, 13 numbers: kind, start, two controls, end, and for arcs centre, start angle
and sweep. An arc is centre + u cos t + v sin t, with the axis vectors u and v in the two control
columns and t from the start angle over the sweep (radians); so the image of any segment under
any affine map is again one row, exactly. Units are those of the drawing; nothing is rounded.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "ARC",
    "CUBIC",
    "LINE",
    "Curves",
    "circle_rows",
    "complex_points",
    "join_curves",
    "transform_rows",
]

LINE, CUBIC, ARC = 0.0, 1.0, 2.0
"""Values of the column `kind`."""
_COLUMNS = 13

Row = tuple[float, ...]


@dataclass(frozen=True, eq=False, slots=True)
class Curves:
    """Sub-paths of a shape.

    Attributes
    ----------
    rows : ndarray, shape (n, 13)
        One segment a row: kind, x0, y0, x1, y1, x2, y2, x3, y3, cx, cy, angle, sweep.
    firsts : ndarray of int, shape (k,)
        Row at which each sub-path begins.
    closed : ndarray of bool, shape (k,)
        Whether the drawing closes the sub-path itself.

    Examples
    --------
    >>> square = Curves.from_points([[0, 0], [4, 0], [4, 4], [0, 4]], closed=True)
    >>> len(square.rows), square.closed.tolist()
    (4, [True])
    """

    rows: NDArray[np.float64]
    firsts: NDArray[np.int64]
    closed: NDArray[np.bool_]

    @classmethod
    def from_lists(
        cls, rows: Sequence[Row] | Iterable[float], firsts: Sequence[int], closed: Sequence[bool]
    ) -> Curves:
        """Make curves from rows (or their flat numbers) and the sub-paths' first rows."""
        table = np.asarray(rows, dtype=float).reshape(-1, _COLUMNS)
        return cls(table, np.asarray(firsts, dtype=np.int64), np.asarray(closed, dtype=bool))

    @classmethod
    def from_points(cls, points: Iterable[Sequence[float]], *, closed: bool) -> Curves:
        """Make one sub-path of straight lines through points, shape (n, 2)."""
        corners = [(float(x), float(y)) for x, y in points]
        if closed and len(corners) > 1 and corners[0] != corners[-1]:
            corners.append(corners[0])
        rows = [(LINE, *p, *p, *q, *q, 0.0, 0.0, 0.0, 0.0) for p, q in itertools.pairwise(corners)]
        k = 1 if rows else 0
        return cls.from_lists(rows, [0] * k, [closed] * k)

    @property
    def counts(self) -> NDArray[np.int64]:
        """Segments of each sub-path, shape (k,)."""
        return np.diff(np.append(self.firsts, len(self.rows)))

    @property
    def finite(self) -> bool:
        """Whether every number is finite."""
        return bool(np.isfinite(self.rows).all())

    def transformed(self, matrix: Sequence[float]) -> Curves:
        """Return the image under an affine matrix [a, b, c, d, e, f]."""
        rows = transform_rows(self.rows, np.asarray(matrix, dtype=float))
        return Curves(rows, self.firsts, self.closed)


def transform_rows(rows: NDArray[np.float64], matrix: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return segments under one matrix, shape (6,), or under one each, shape (n, 6).

    Examples
    --------
    >>> row = np.array([[LINE, 0, 0, 0, 0, 1, 2, 1, 2, 0, 0, 0, 0]])
    >>> transform_rows(row, np.array([2.0, 0, 0, 2, 5, 0]))[0, 7:9].tolist()
    [7.0, 4.0]
    """
    arcs = np.flatnonzero(rows[:, 0] == ARC)
    if matrix.ndim == 1 and matrix[1] == matrix[2] == 0:
        return _scaled(rows, matrix, arcs)
    a, b, c, d, e, f = (matrix[..., k, None] for k in range(6))
    out = rows.copy()
    x, y = rows[:, 1:10:2], rows[:, 2:11:2]
    out[:, 1:10:2] = a * x + c * y + e
    out[:, 2:11:2] = b * x + d * y + f
    if len(arcs):
        x, y = rows[arcs, 3:6:2], rows[arcs, 4:7:2]
        if matrix.ndim == 2:
            a, b, c, d = a[arcs], b[arcs], c[arcs], d[arcs]
        out[arcs, 3:6:2] = a * x + c * y
        out[arcs, 4:7:2] = b * x + d * y
    return out


def _scaled(
    rows: NDArray[np.float64], matrix: NDArray[np.float64], arcs: NDArray[np.int64]
) -> NDArray[np.float64]:
    """Segments scaled along x and along y, and moved."""
    out = rows.copy()
    x, y = out[:, 1:10:2], out[:, 2:11:2]
    x *= matrix[0]
    y *= matrix[3]
    axes = out[arcs, 3:7]
    x += matrix[4]
    y += matrix[5]
    if len(arcs):
        out[arcs, 3:7] = axes
    return out


def complex_points(rows: NDArray[np.float64]) -> NDArray[np.complex128]:
    """Return start, two controls, end and centre of segments as complex numbers, shape (n, 5).

    Examples
    --------
    >>> complex_points(np.arange(13.0)[None])[0, 0]
    np.complex128(1+2j)
    """
    return rows[:, 1:11].view(np.complex128)


def circle_rows(cx: float, cy: float, rx: float, ry: float) -> list[Row]:
    """Return four quarter arcs of an ellipse, from (cx + rx, cy) towards +y.

    Examples
    --------
    >>> [row[7:9] for row in circle_rows(0, 0, 2, 1)]
    [(0.0, 1.0), (-2.0, 0.0), (0.0, -1.0), (2.0, 0.0)]
    """
    corners = [(cx + rx, cy), (cx, cy + ry), (cx - rx, cy), (cx, cy - ry), (cx + rx, cy)]
    quarter = math.pi / 2
    return [
        (ARC, *p, rx, 0.0, 0.0, ry, float(q[0]), float(q[1]), cx, cy, k * quarter, quarter)
        for k, (p, q) in enumerate(itertools.pairwise(corners))
    ]


def join_curves(parts: Sequence[Curves]) -> Curves:
    """Return the sub-paths of several shapes as one table.

    Examples
    --------
    >>> line = Curves.from_points([[0, 0], [1, 0]], closed=False)
    >>> join_curves([line, line]).firsts.tolist()
    [0, 1]
    """
    if len(parts) == 1:
        return parts[0]
    starts = np.cumsum([0, *(len(p.rows) for p in parts[:-1])])
    firsts = np.concatenate([p.firsts for p in parts] or [np.zeros(0, dtype=np.int64)])
    return Curves(
        np.concatenate([p.rows for p in parts] or [np.zeros((0, _COLUMNS))]),
        firsts + starts.repeat([len(p.firsts) for p in parts]) if parts else firsts,
        np.concatenate([p.closed for p in parts] or [np.zeros(0, dtype=bool)]),
    )
