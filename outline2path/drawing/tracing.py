"""Tracing: one sub-path -> short straight pieces, fine enough for a line of some width.

In: segments and half the width of a line to be drawn along them. Out: `Pieces`, so short that
the edges of the line, too, keep to the tolerance, with empty pieces along the true tangents at
both ends of every curve.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from outline2path.drawing.bending import as_pairs
from outline2path.drawing.curves import ARC, LINE
from outline2path.drawing.flatten import Bends
from outline2path.drawing.pieces import Pieces, left_of, point_piece, unit_of

__all__ = ["pieces_of"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_FINEST = 10_000
_TIGHT = 48
"""Pieces spent on bends tighter than half the line's width, where all of them cross."""


def pieces_of(rows: Floats, half: float, tolerance: float) -> Pieces:
    """Return the pieces of one sub-path, with empty ones along the tangents at ends of curves.

    Parameters
    ----------
    rows : ndarray, shape (n, 13)
        Segments of one sub-path.
    half : float
        Half the width of the line.
    tolerance : float
        Greatest error of the line's edge; all in one unit.

    Examples
    --------
    >>> from outline2path.drawing.pathdata import parse_path
    >>> len(pieces_of(parse_path("M0 0H9V9")[0].rows, 1.0, 0.01))
    2
    """
    curved = np.flatnonzero(rows[:, 0] != LINE)
    straight = np.flatnonzero(rows[:, 0] == LINE)
    bends = Bends.of(rows[curved])
    owner, low, high = _fine_pieces(bends, half, tolerance)
    inner = Pieces(
        as_pairs(bends.at(owner, low)),
        as_pairs(bends.at(owner, high)),
        _tangents(bends, owner, low),
        _tangents(bends, owner, high),
        np.zeros(len(owner), dtype=bool),
    )
    ends = _end_tangents(rows[curved])
    parts = [
        _straight(rows[straight, 1:3], rows[straight, 7:9]),
        _proper(inner, half),
        *(point_piece(rows[curved, c : c + 2], d) for c, d in zip((1, 7), ends, strict=True)),
    ]
    segment = np.concatenate([straight, curved[owner], curved, curved])
    place = np.concatenate(
        [np.zeros(len(straight)), low, np.full(len(curved), -1.0), np.full(len(curved), 2.0)]
    )
    order = np.lexsort((place, segment))
    start, end, leave, arrive = (
        np.concatenate([getattr(p, key) for p in parts])[order]
        for key in ("start", "end", "leave", "arrive")
    )
    sound = (np.abs(leave).sum(axis=1) > 0) & (np.abs(arrive).sum(axis=1) > 0)
    segment = segment[order][sound]
    corner = np.ones(len(segment), dtype=bool)
    corner[1:] = segment[1:] != segment[:-1]
    return Pieces(start[sound], end[sound], leave[sound], arrive[sound], corner)


def _straight(start: Floats, end: Floats) -> Pieces:
    """Straight pieces; without direction where they have no length."""
    along = unit_of(end - start)
    return Pieces(start, end, along, along, np.zeros(len(start), dtype=bool))


def _tangents(bends: Bends, owner: Ints, t: Floats) -> Floats:
    """Return unit directions at parameters; zero where a curve stands still."""
    return unit_of(as_pairs(bends.slopes(owner, t)))


def _fine_pieces(bends: Bends, half: float, tolerance: float) -> tuple[Ints, Floats, Floats]:
    """Pieces of curves so short that the edge of the stroke, too, keeps to the tolerance."""
    owner, low, high = bends.pieces(tolerance)
    if not len(owner):
        return owner, low, high
    u, v = _tangents(bends, owner, low), _tangents(bends, owner, high)
    turn = np.abs(np.arctan2(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0], (u * v).sum(axis=1)))
    length = np.abs(bends.at(owner, high) - bends.at(owner, low))
    bulge = (length + half * turn) * turn / 8
    parts = np.ceil(np.sqrt(bulge / tolerance))
    tight = half * turn > length
    most = max(_TIGHT // max(int(tight.sum()), 1), 1)
    parts = np.where(tight, np.minimum(np.ceil(length / (4 * tolerance)), most), parts)
    parts = np.clip(parts, 1, _FINEST).astype(np.int64)
    row = np.repeat(np.arange(len(parts)), parts)
    k = np.arange(len(row)) - np.repeat(np.cumsum(parts) - parts, parts)
    width = (high - low)[row] / parts[row]
    begin = low[row] + k * width
    finish = np.where(k + 1 == parts[row], high[row], begin + width)
    return owner[row], begin, finish


def _proper(edges: Pieces, half: float) -> Pieces:
    """Take the chord's own direction where the sides of a piece would run backwards."""
    chord = edges.end - edges.start
    swing = half * (left_of(edges.arrive) - left_of(edges.leave))
    forward = (chord * (chord + swing)).sum(axis=1) > 0
    forward &= (chord * (chord - swing)).sum(axis=1) > 0
    forward &= ((chord * edges.leave).sum(axis=1) > 0) & ((chord * edges.arrive).sum(axis=1) > 0)
    along = unit_of(chord)
    return Pieces(
        edges.start,
        edges.end,
        np.where(forward[:, None], edges.leave, along),
        np.where(forward[:, None], edges.arrive, along),
        edges.corner,
    )


def _end_tangents(rows: Floats) -> tuple[Floats, Floats]:
    """Return unit directions in which curves leave and arrive; zero without extent."""
    p = rows[:, 1:9].reshape(-1, 4, 2)
    leave, arrive = np.zeros((len(rows), 2)), np.zeros((len(rows), 2))
    for k in (3, 2, 1):
        ahead, behind = p[:, k] - p[:, 0], p[:, 3] - p[:, 3 - k]
        leave = np.where((ahead != 0).any(axis=1, keepdims=True), ahead, leave)
        arrive = np.where((behind != 0).any(axis=1, keepdims=True), behind, arrive)
    arcs = rows[:, 0] == ARC
    bends, which = Bends.of(rows), np.flatnonzero(arcs)
    leave[arcs] = _tangents(bends, which, np.zeros(len(which)))
    arrive[arcs] = _tangents(bends, which, np.ones(len(which)))
    return unit_of(leave), unit_of(arrive)
