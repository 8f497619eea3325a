"""Cover: few pieces over long polylines, many lanes at once.

In: prepared `Stretches` and lanes, each from one vertex to a later one. Out: PIECE rows that cover
every lane end to end. From each piece's end the longest piece that fits is sought by doubling and
then halving its stretch; all lanes take one such step together, so that the work is done on whole
arrays. Long pieces get a second chance a few vertices further on, since a piece may fit again
beyond a stretch that does not (noise). The count is compared in the tests with the optimum.

Long polylines are cut into lanes at corners no piece can round, and where many pieces are
expected also every fifty pieces or so.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.path.one_piece import Stretches

__all__ = ["cover", "lanes_of"]

Integers = NDArray[np.int64]
Pieces = NDArray[np.void]

CORNER_IN_TOLERANCES = 3.0
"""A vertex that no piece can round even at this many tolerances ends a lane."""
PIECES_A_LANE = 50
"""Pieces expected in a lane cut at a mere vertex: such a cut costs at most one piece."""
PROBES = 64
"""Vertices at which the length of a piece is tried, to know how many to expect."""
FURTHER = (2, 3, 5, 8, 13)
"""Vertices past the last fit where a piece gets its second chance."""
LONG = 8
"""Vertices of a piece that is worth a second chance."""
VERY_LONG = 1024
"""Vertices of a piece that is forecast from samples before it is proved."""


def cover(stretches: Stretches, begin: Integers, end: Integers) -> Pieces:
    """Cover lanes with few pieces.

    Parameters
    ----------
    stretches : Stretches
        The polyline and its tolerance.
    begin, end : ndarray of int
        First and last vertex of each lane, begin < end; lanes do not overlap.

    Returns
    -------
    ndarray of PIECE
        In the order of the polyline.

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.path.one_piece import Stretches
    >>> corner = Stretches(np.array([[0, 0], [4, 0], [9, 0], [9, 5.0]]), 0.01)
    >>> cover(corner, np.array([0]), np.array([3]))["last"].tolist()
    [2, 3]
    """
    found, hunt = [], _Hunt(stretches, begin, end)
    while len(hunt.first):
        found.append(hunt.step())
    pieces = np.concatenate(found)
    return pieces[np.argsort(pieces["first"], kind="stable")]


def lanes_of(stretches: Stretches, begin: Integers, end: Integers) -> tuple[Integers, Integers]:
    """Cut polylines, first and last vertex each, into lanes for `cover`.

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.path.one_piece import Stretches
    >>> corner = Stretches(np.array([[0, 0], [4, 0], [9, 0], [9, 5.0]]), 0.01)
    >>> [lanes.tolist() for lanes in lanes_of(corner, np.array([0]), np.array([3]))]
    [[0, 2], [2, 3]]
    """
    begin, end = _cut(begin, end, _corners(stretches, begin, end))
    sizes = end - begin
    expected = sizes / _usual_length(stretches, begin, end)
    parts = np.maximum((expected / PIECES_A_LANE).astype(np.int64), 1)
    owner = np.repeat(np.arange(len(parts)), parts - 1)
    place = np.arange(len(owner)) - (np.cumsum(parts - 1) - (parts - 1))[owner] + 1
    return _cut(begin, end, begin[owner] + sizes[owner] * place // parts[owner])


def _corners(stretches: Stretches, begin: Integers, end: Integers) -> Integers:
    """Return the inner vertices no piece can round: not even their two chords alone."""
    inside = np.zeros(len(stretches.points) + 1, np.int64)
    inside[begin + 1] += 1
    inside[end] -= 1
    middle = np.flatnonzero(np.cumsum(inside))
    if not len(middle):
        return middle
    wide = CORNER_IN_TOLERANCES * stretches.tolerance_mm
    coarse = replace(stretches, tolerance_mm=wide)
    rounded, _ = coarse.try_pieces(middle - 1, middle + 1)
    return middle[~rounded]


def _cut(begin: Integers, end: Integers, cuts: Integers) -> tuple[Integers, Integers]:
    return np.sort(np.concatenate([begin, cuts])), np.sort(np.concatenate([end, cuts]))


def _usual_length(stretches: Stretches, begin: Integers, end: Integers) -> float:
    """Vertices of a typical piece, from pieces tried at even distances."""
    sizes = np.cumsum(end - begin)
    probes = (np.arange(PROBES) * sizes[-1]) // PROBES
    lane = np.searchsorted(sizes, probes, side="right")
    first = np.unique(end[lane] - (sizes[lane] - probes))
    lane = np.searchsorted(end, first, side="right")
    enough = np.minimum(end[lane], first + 1 + sizes[-1] // PIECES_A_LANE)
    hunt = _Hunt(stretches, first, enough, once=True)
    lengths = []
    while len(hunt.first):
        piece = hunt.step()
        lengths += (piece["last"] - piece["first"]).tolist()
    return float(np.mean(lengths))


class _Hunt:
    """The lanes still open: where each stands, what is known to fit and to fail."""

    def __init__(
        self, stretches: Stretches, begin: Integers, end: Integers, *, once: bool = False
    ) -> None:
        self.stretches, self.once = stretches, once
        self.first, self.end = begin.astype(np.int64), end.astype(np.int64)
        self.leap = np.full(len(begin), 2, np.int64)
        self.careful = np.zeros(len(begin), bool)
        self.best = stretches.chords(self.first)
        self.bad = self.end + 1

    def step(self) -> Pieces:
        """Try one longer piece in every lane; return the pieces that are done."""
        known = self.best["last"]
        unbounded = self.bad > self.end
        last = np.where(
            unbounded, np.minimum(known + self.leap, self.end), (known + self.bad) // 2
        )
        forecast = ~self.careful & (last - self.first > VERY_LONG)
        ok = self._try(last, (last > known) & ~forecast, sampled=False)
        ok |= self._try(last, (last > known) & forecast, sampled=True)
        self.bad = np.where((last > known) & ~ok, last, self.bad)
        self.leap = np.where(ok & unbounded, 2 * self.leap, self.leap)
        stuck = (self.best["last"] == self.end) | (self.bad - self.best["last"] <= 1)
        stuck &= ~self._disproved(stuck)
        return self._finish(stuck & ~self._second_chance(stuck))

    def _try(
        self, last: Integers, lanes: NDArray[np.bool_], *, sampled: bool
    ) -> NDArray[np.bool_]:
        """Try pieces up to `last` in some lanes and keep those that fit."""
        ok = np.zeros(len(last), bool)
        if lanes.any():
            ok[lanes], piece = self.stretches.try_pieces(
                self.first[lanes], last[lanes], sampled=sampled
            )
            self.best[ok] = piece[ok[lanes]]
        return ok

    def _disproved(self, stuck: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Prove the pieces that were only forecast; start those that fail again, with care."""
        last = self.best["last"].copy()
        lanes = stuck & ~self.careful & (last - self.first > VERY_LONG)
        wrong = lanes & ~self._try(last, lanes, sampled=False)
        self.careful |= wrong
        self._begin_pieces(wrong)
        self.bad[wrong] = last[wrong]
        return wrong

    def _second_chance(self, stuck: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Look a few vertices past the last fit; return the lanes that may go on."""
        known = self.best["last"]
        lanes = np.flatnonzero(stuck & (known - self.first >= LONG) & (known < self.end))
        revived = np.zeros(len(stuck), bool)
        for further in FURTHER:
            rows = lanes[known[lanes] + further <= self.end[lanes]]
            if not len(rows):
                break
            ok, piece = self.stretches.try_pieces(self.first[rows], known[rows] + further)
            self.best[rows[ok]] = piece[ok]
            self.bad[rows[ok]] = self.end[rows[ok]] + 1
            self.leap[rows[ok]] = 2
            revived[rows[ok]] = self.best["last"][rows[ok]] < self.end[rows[ok]]
            lanes = rows[~ok]
        return revived

    def _finish(self, done: NDArray[np.bool_]) -> Pieces:
        pieces: Pieces = self.best[done]
        self.leap[done] = np.maximum(pieces["last"] - pieces["first"] - 1, 2)
        self.first[done] = pieces["last"]
        self.careful[done] = False
        self._begin_pieces(done)
        going = ~done if self.once else self.first < self.end
        for name in ("first", "end", "leap", "best", "bad", "careful"):
            setattr(self, name, getattr(self, name)[going])
        return pieces

    def _begin_pieces(self, lanes: NDArray[np.bool_]) -> None:
        """Begin with one chord, which always fits."""
        self.best[lanes] = self.stretches.chords(self.first[lanes])
        self.bad[lanes] = self.end[lanes] + 1
