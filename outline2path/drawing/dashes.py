"""Dashes: a line and its dash pattern -> the dashes, as lines of their own.

Lengths run along the line from its start, as SVG 2 section 13.5.6 says (from memory). A dash
across the start of a closed line stays in one piece.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.drawing.pieces import Pieces, unit_of

if TYPE_CHECKING:
    from outline2path.drawing.figures import Stroke

__all__ = ["dashes_of", "too_many_dashes"]

Floats = NDArray[np.float64]

_MOST_DASHES = 20_000


def too_many_dashes(length: float, stroke: Stroke) -> bool:
    """Tell whether a line of this length falls into more dashes than any drawing has.

    Examples
    --------
    >>> from outline2path.drawing.figures import Stroke
    >>> too_many_dashes(1000.0, Stroke(dashes=(0.001, 0.001)))
    True
    """
    return length > sum(stroke.dashes) * _MOST_DASHES


def dashes_of(edges: Pieces, stroke: Stroke, *, closed: bool) -> list[Pieces]:
    """Return the dashes of a line.

    Examples
    --------
    >>> from outline2path.drawing.figures import Stroke
    >>> from outline2path.drawing.pathdata import parse_path
    >>> from outline2path.drawing.tracing import pieces_of
    >>> line = pieces_of(parse_path("M0 0H10")[0].rows, 1.0, 0.01)
    >>> [d.length for d in dashes_of(line, Stroke(dashes=(4.0, 3.0)), closed=False)]
    [4.0, 3.0]
    """
    delta = edges.end - edges.start
    length = np.hypot(delta[:, 0], delta[:, 1])
    ends = np.cumsum(length)
    total = float(ends[-1])
    spans = _spans(total, stroke)
    pieces = [_cut(edges, ends - length, ends, a, b) for a, b in spans]
    pieces = [p for p in pieces if len(p)]
    whole = closed and len(spans) > 1 and spans[0][0] <= 0 and spans[-1][1] >= total
    if whole and len(pieces) > 1:
        last = pieces.pop()
        pieces[0] = last.then(pieces[0])
    return pieces


def _spans(total: float, stroke: Stroke) -> list[tuple[float, float]]:
    """Where along the line the dashes lie."""
    period = sum(stroke.dashes)
    at = -(stroke.dash_offset % period)
    spans: list[tuple[float, float]] = []
    k = 0
    while at < total:
        step = stroke.dashes[k % len(stroke.dashes)]
        if k % 2 == 0 and at + step >= 0:
            spans.append((max(at, 0.0), min(at + step, total)))
        at += step
        k += 1
    return spans


def _cut(edges: Pieces, low: Floats, high: Floats, a: float, b: float) -> Pieces:
    """Return the part of a line between two lengths along it."""
    first = int(np.searchsorted(high, a, side="right"))
    last = int(np.searchsorted(low, b, side="left"))
    part = slice(first, min(max(last, first + (a == b)), len(edges)))
    start, end = edges.start[part].copy(), edges.end[part].copy()
    leave, arrive = edges.leave[part].copy(), edges.arrive[part].copy()
    if len(start):
        along = unit_of(end - start)
        if low[part][0] < a:
            leave[0] = along[0]
            start[0] = start[0] + along[0] * (a - low[part][0])
        if high[part][-1] > b:
            arrive[-1] = along[-1]
            end[-1] = edges.start[part][-1] + along[-1] * (b - low[part][-1])
    return Pieces(start, end, leave, arrive, edges.corner[part])
