"""Fewer: the best chain of pieces where a polyline is ragged.

In: prepared `Stretches`, lanes and the pieces `cover` found for them. Out: the same or fewer
pieces. Where pieces join only a handful of vertices, the farthest vertex is often not the best
one to end on, and all short stretches can be tried: lengths 2, 3, 4 ... for as long as stretches
a little shorter fit, then a shortest path over those that do (the dynamic program of Drysdale,
Rote and Sturm 2008). Smooth lanes, whose pieces are long, stay as they are: there the farthest
vertex is within a few hundredths of the best, and trying all would cost the square of a piece's
length.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.path.one_piece import Stretches

__all__ = ["fewer"]

RAGGED = 8
"""Vertices a piece on average below which a lane is searched in full."""
LONGEST = 48
"""Vertices of the longest stretch tried."""
PATIENCE = 10
"""Lengths that may fail before a longer stretch is given up: noise lets pieces fit again."""
PATIENT_VERTICES = 5_000
"""Ragged vertices up to which there is time for that."""
AT_ONCE = 200_000
"""Points looked at in one go: bounds the memory."""

Integers = NDArray[np.int64]
Pieces = NDArray[np.void]


def fewer(stretches: Stretches, pieces: Pieces, begin: Integers, end: Integers) -> Pieces:
    """Replace the pieces of ragged lanes by the fewest that can be found.

    Parameters
    ----------
    stretches : Stretches
        The polyline and its tolerance.
    pieces : ndarray of PIECE
        A cover of all lanes, in order.
    begin, end : ndarray of int
        First and last vertex of each lane.

    Returns
    -------
    ndarray of PIECE
        A cover of all lanes, in order, in no lane more pieces than before.

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.path.one_piece import Stretches
    >>> corner = Stretches(np.array([[0, 0], [4, 0], [9, 0], [9, 5.0]]), 0.01)
    >>> chords = corner.chords(np.arange(3))
    >>> fewer(corner, chords, np.array([0]), np.array([3]))["last"].tolist()
    [2, 3]
    """
    lane = np.searchsorted(begin, pieces["first"], side="right") - 1
    counts = np.bincount(lane, minlength=len(begin))
    ragged = (counts > 1) & (end - begin < RAGGED * counts)
    if not ragged.any():
        return pieces
    begins, ends = begin[ragged], end[ragged]
    chain = _chains(*_fitting(stretches, begins, ends), begins)
    first, last = _links(chain, begins, ends)
    owner = np.searchsorted(begin, first, side="right") - 1
    better = np.bincount(owner, minlength=len(begin)) < np.where(ragged, counts, 0)
    chosen = better[owner]
    if not chosen.any():
        return pieces
    _, found = stretches.try_pieces(first[chosen], last[chosen])
    merged = np.concatenate([pieces[~better[lane]], found])
    return merged[np.argsort(merged["first"], kind="stable")]


def _fitting(stretches: Stretches, begin: Integers, end: Integers) -> tuple[Integers, Integers]:
    """Return first and last vertex of all short stretches that fit."""
    sizes = end - begin
    first = np.repeat(begin - (np.cumsum(sizes) - sizes), sizes) + np.arange(int(sizes.sum()))
    limit = np.zeros(len(stretches.points), np.int64)
    limit[first] = np.repeat(end, sizes)
    patience = PATIENCE if len(first) <= PATIENT_VERTICES else 1
    firsts, lasts, fits = [first], [first + 1], np.zeros(len(limit) + 1, np.int64)
    fits[first] = 1  # length of the longest stretch from each vertex that fits so far
    for length in range(2, LONGEST + 1):
        reach = np.maximum(fits[:-1], fits[1:])
        first = np.flatnonzero(reach + patience >= length)
        first = first[first + length <= limit[first]]
        found = [some[_fit(stretches, some, length)] for some in _portions(first, length)]
        if not found:
            break
        first = np.concatenate(found)
        fits[first] = length
        firsts.append(first)
        lasts.append(first + length)
    return np.concatenate(firsts), np.concatenate(lasts)


def _portions(first: Integers, length: int) -> list[Integers]:
    """Split work so that each portion looks at a bounded number of points."""
    return np.array_split(first, 1 + 2 * length * len(first) // AT_ONCE) if len(first) else []


def _fit(stretches: Stretches, first: Integers, length: int) -> NDArray[np.bool_]:
    return stretches.try_pieces(first, first + length)[0]


def _chains(first: Integers, last: Integers, begin: Integers) -> dict[int, int]:
    """Return for each vertex the one before it on the shortest chain from its lane's begin."""
    order = np.lexsort((first, last))
    steps, came_from = dict.fromkeys(begin.tolist(), 0), {}
    reached: dict[int, int] = {}
    for a, b in zip(first[order].tolist(), last[order].tolist(), strict=True):
        length = steps.get(a, reached.get(a, 0)) + 1
        if length < reached.get(b, len(order) + 1):
            reached[b], came_from[b] = length, a
    return came_from


def _links(came_from: dict[int, int], begin: Integers, end: Integers) -> tuple[Integers, Integers]:
    """Walk the chains of all lanes back from their ends."""
    first, last = [], []
    for start, here in zip(begin.tolist(), end.tolist(), strict=True):
        while here > start:
            last.append(here)
            here = came_from[here]
            first.append(here)
    return np.array(first, dtype=np.int64), np.array(last, dtype=np.int64)
