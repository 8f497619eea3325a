"""Joining: lines whose ends meet -> longer lines and closed rings.

In: open lines as points and the widest gap to close. Out: closed rings, the lines that stay open,
and the gaps that were bridged. Nearest ends are joined first; an end is joined once. Drawing
programs often write one outline as many touching pieces.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["Joined", "join_lines"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Joined:
    """Result of joining.

    Attributes
    ----------
    rings, lines : tuple of ndarray, shape (n, 2)
        Closed rings (first point repeated) and lines that stay open.
    gaps : tuple of (length, (x, y))
        Gaps above zero that were bridged, widest first, in the unit of the lines.
    """

    rings: tuple[Floats, ...]
    lines: tuple[Floats, ...]
    gaps: tuple[tuple[float, tuple[float, float]], ...]


def join_lines(lines: list[Floats], widest: float) -> Joined:
    """Join lines whose ends are no farther apart than `widest`.

    Examples
    --------
    >>> corner = np.array([[0, 0], [4, 0], [4, 3.0]])
    >>> side = np.array([[4, 3], [0, 0.0]])
    >>> joined = join_lines([corner, side], 0.1)
    >>> len(joined.rings), len(joined.lines), joined.gaps
    (1, 0, ())
    """
    lines = [line for line in lines if len(line) > 1]
    if not lines:
        return Joined((), (), ())
    ends = np.concatenate([[line[0], line[-1]] for line in lines])
    partner, gaps = _partners(ends, widest)
    rings: list[Floats] = []
    kept: list[Floats] = []
    used = np.zeros(len(lines), dtype=bool)
    loose = [k for k in range(len(ends)) if k not in partner]
    for k in [*loose, *range(len(ends))]:
        if used[k // 2]:
            continue
        chain, closed = _chain(lines, partner, used, k)
        (rings if closed else kept).append(chain)
    return Joined(tuple(rings), tuple(kept), tuple(sorted(gaps, key=lambda g: -g[0])))


def _partners(
    ends: Floats, widest: float
) -> tuple[dict[int, int], list[tuple[float, tuple[float, float]]]]:
    """Pair ends, nearest first."""
    points = shapely.points(ends)
    a, b = shapely.STRtree(points).query(points, predicate="dwithin", distance=max(widest, 0.0))
    a, b = a[a < b], b[a < b]
    apart = np.hypot(*(ends[a] - ends[b]).T) if len(a) else np.zeros(0)
    partner: dict[int, int] = {}
    gaps: list[tuple[float, tuple[float, float]]] = []
    for k in np.lexsort((b, a, apart)).tolist():
        p, q = int(a[k]), int(b[k])
        if p in partner or q in partner:
            continue
        partner[p], partner[q] = q, p
        if apart[k] > 0:
            middle = (ends[p] + ends[q]) / 2
            gaps.append((float(apart[k]), (float(middle[0]), float(middle[1]))))
    return partner, gaps


def _chain(
    lines: list[Floats], partner: dict[int, int], used: NDArray[np.bool_], end: int
) -> tuple[Floats, bool]:
    """Follow a chain of joined lines from one end; tells whether it closes."""
    pieces: list[Floats] = []
    at = first = end
    while True:
        k = at // 2
        used[k] = True
        piece = lines[k] if at % 2 == 0 else lines[k][::-1]
        pieces.append(piece)
        far = at ^ 1
        if far not in partner:
            return _glued(pieces), False
        at = partner[far]
        if at == first:
            return _glued([*pieces, pieces[0][:1]]), True


def _glued(pieces: list[Floats]) -> Floats:
    """Put lines end to end, dropping repeated points."""
    line = np.concatenate(pieces)
    moved = np.ones(len(line), dtype=bool)
    moved[1:] = (line[1:] != line[:-1]).any(axis=1)
    return line[moved]
