"""Rim: how much of the cutter's round is in the stock, at every place along the way.

In: feed moves as straight pieces in the order they are run, the cutter, the stock, what earlier
programs took. Out: for places about a millimetre apart (farther in programs longer than 5 m) and
at the end of every longer move, the width of the cut across the way (mm) and the angle of the
round that is in the stock (radians; half a turn is a full slot).

Ahead of the cutter lies half its round. A point of it is in the stock where the stock reaches and
where nothing that ran before, at that height or lower, came within the radius. The angle is found
in steps of 15 degrees and halved to an eighth of a degree at the ends of each stretch; the width
is the stretch seen along the way. On a straight cut of width a that is the handbook's
angle acos(1 - 2 a / D). Strips narrower than `FINEST_MM` count as nothing. Of moves that slope,
no width is told: a ramp cuts all across its own ground. Of a cone or a ball the round counts that
it has at the stock's top.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.body import Body
from outline2path.proof.sweep import Ran, sweep_at
from outline2path.proof.tracks import EVEN_MM, Floats, Nearest, Pieces

__all__ = ["FINEST_MM", "Rim", "rim_along"]

FINEST_MM = 0.01
_SIMPLER_MM = 0.004
_EVERY_MM = 1.0
_MOST_PLACES = 5_000
"""Places are farther apart where there would be more; a bound for hours of cutting."""
_STEPS = 12
_HALVINGS = 7
_HALF = 0.5
_CURVE = 0.35
"""Radians: chords that turn less at their joint stand for a curve, whose heading is between."""
_FEW = 400
"""Places judged together: bounds the memory that their neighbours take."""
_MOST_LEVELS = 40
"""Levels searched one by one; where there are more, all are searched together."""

Bools = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Rim:
    """The cutter's round along the way.

    Attributes
    ----------
    at : ndarray, (n, 3)
        Where the tip stands, mm.
    row : ndarray of int, (n,)
        Row of the motion that it runs along.
    width_mm : ndarray, (n,)
        Width of the cut across the way.
    angle : ndarray, (n,)
        Angle of the round in the stock, radians, at most pi.
    most_mm : ndarray, (n,)
        The cutter's width there: what a full slot would be.
    """

    at: Floats
    row: NDArray[np.int64]
    width_mm: Floats
    angle: Floats
    most_mm: Floats

    def __len__(self) -> int:
        return len(self.row)


@dataclass(frozen=True, eq=False)
class _Way:
    """Pieces in order, how far had been gone at the end of each, their heights, what else is."""

    pieces: Pieces
    gone: Floats
    low: Floats
    high: Floats
    stock_mm: tuple[float, float, float, float] | None
    before: Sequence[Ran]


def rim_along(
    pieces: Pieces,
    body: Body,
    *,
    top_mm: float,
    stock_mm: tuple[float, float, float, float] | None = None,
    before: Sequence[Ran] = (),
) -> Rim:
    """Measure the cutter's round along the way.

    Parameters
    ----------
    pieces : Pieces
        Feed moves below the stock's top, in order.
    body : Body
        The cutter.
    top_mm : float
        z of the stock's top.
    stock_mm : tuple of 4 floats, optional
        x, y least and greatest of the stock; without it there is stock everywhere.
    before : sequence of (Pieces, Body)
        What programs before it took.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> rows = Pieces(np.array([[0.0, 0, -1], [0, 1, -1]]), np.array([[9.0, 0, -1], [9, 1, -1]]),
    ...               np.array([0, 1]))
    >>> rim = rim_along(rows, Body(Cutter(4.0)), top_mm=0.0)
    >>> rim.width_mm.round(1)[[3, 13]].tolist(), np.degrees(rim.angle[[3, 13]]).round().tolist()
    ([4.0, 1.0], [180.0, 60.0])
    """
    thin = pieces.thinned(by_level=True, within_mm=_SIMPLER_MM)
    length = np.hypot(*(thin.end - thin.start)[:, :2].T)
    low, high = thin.low, thin.high
    way = _Way(thin, np.cumsum(length), low, high, stock_mm, before)
    piece, spots, heading = _places(thin, length)
    radius = body.radius_at(top_mm - low[piece])
    angle, width = np.zeros(len(piece)), np.zeros(len(piece))
    level = np.round(low / EVEN_MM)
    heights = np.unique(level[piece])
    groups = [np.arange(len(piece))]
    if len(heights) <= _MOST_LEVELS:
        groups = [np.flatnonzero(level[piece] == height) for height in heights]
    for group in groups:
        z = float(low[piece[group]].max(initial=-np.inf))
        reach = np.flatnonzero(high <= z + EVEN_MM)
        if len(groups) > 1 or len(heights) <= 1:
            reach = reach[_first_over(thin.where(reach))]
        search = Nearest(thin.start[reach], thin.end[reach])
        for at in range(0, len(group), _FEW):
            some = group[at : at + _FEW]
            ask = _Asked(way, (piece[some], spots[some], heading[some], radius[some]))
            angle[some], width[some] = ask.measured(search, reach)
    return Rim(
        at=np.column_stack([spots, low[piece]]),
        row=thin.row[piece],
        width_mm=width,
        angle=angle,
        most_mm=2 * radius,
    )


def _first_over(pieces: Pieces) -> NDArray[np.int64]:
    """Return each stretch of ground once, by the piece that ran over it first."""
    ends = np.stack([p[:, 0] + 1j * p[:, 1] for p in (pieces.start, pieces.end)], axis=1)
    ends = np.sort(ends, axis=1)
    order = np.lexsort((np.arange(len(ends)), ends[:, 1], ends[:, 0]))
    same = (ends[order][1:] == ends[order][:-1]).all(axis=1)
    first = order[np.concatenate(([True], ~same))] if len(order) else order
    return np.sort(first)


def _places(pieces: Pieces, length: Floats) -> tuple[NDArray[np.int64], Floats, Floats]:
    """Places along level pieces and at the ends of long ones: piece, point, heading."""
    level = (pieces.high - pieces.low <= EVEN_MM) & (length > 0)
    gone = np.cumsum(np.where(level, length, 0.0))
    every = max(_EVERY_MM, float(gone[-1]) / _MOST_PLACES) if len(gone) else _EVERY_MM
    count = np.diff(np.floor(gone / every), prepend=0.0)
    count = np.maximum(count, np.ceil(length / every) * (length >= every))
    count = np.where(level, count, 0).astype(np.int64)
    piece = np.repeat(np.arange(len(pieces)), count)
    step = np.arange(len(piece)) - np.repeat(np.cumsum(count) - count, count)
    share = (step + 1) / count[piece]
    along = (pieces.end - pieces.start)[:, :2]
    spots = pieces.start[piece, :2] + share[:, None] * along[piece]
    heading = np.arctan2(along[:, 1], along[:, 0])
    turn = _turns(pieces, heading)
    bent = np.where(share < _HALF, turn[piece] * (share - _HALF), 0.0)
    bent += np.where(share > _HALF, turn[piece + 1] * (share - _HALF), 0.0)
    return piece, spots, heading[piece] + bent


def _turns(pieces: Pieces, heading: Floats) -> Floats:
    """Turn before each piece and after the last: 0 but where the way is a curve."""
    turn = np.zeros(len(pieces) + 1)
    by = np.angle(np.exp(1j * np.diff(heading)))
    joined = (pieces.start[1:] == pieces.end[:-1]).all(axis=1)
    turn[1:-1] = np.where(joined & (np.abs(by) < _CURVE), by, 0.0)
    return turn


class _Asked:
    """A few places, and which points of their rounds are in the stock."""

    def __init__(
        self, way: _Way, places: tuple[NDArray[np.int64], Floats, Floats, Floats]
    ) -> None:
        self.way = way
        self.piece, self.spots, self.heading, self.radius = places
        ahead = way.pieces.start[self.piece, :2] - self.spots
        self.gone = way.gone[self.piece - 1] * (self.piece > 0) + np.hypot(*ahead.T)

    def measured(self, search: Nearest, reach: NDArray[np.int64]) -> tuple[Floats, Floats]:
        """Return the angle in the stock and the width of the cut of each place."""
        turns = np.linspace(-np.pi / 2, np.pi / 2, _STEPS + 1)
        each = np.repeat(np.arange(len(self.piece)), len(turns))
        every = np.tile(turns, len(self.piece))
        inside = self._in_stock(each, every, search, reach).reshape(-1, len(turns))
        low = np.broadcast_to(turns[:-1], inside[:, 1:].shape).copy()
        high = np.broadcast_to(turns[1:], low.shape).copy()
        begins, ends = ~inside[:, :-1] & inside[:, 1:], inside[:, :-1] & ~inside[:, 1:]
        place, step = np.nonzero(begins | ends)
        edge = self._edge(place, (low[place, step], high[place, step]), (search, reach))
        low[place, step] = np.where(begins[place, step], edge, low[place, step])
        high[place, step] = np.where(ends[place, step], edge, high[place, step])
        some = inside[:, :-1] | inside[:, 1:]
        angle = np.where(some, high - low, 0.0).sum(axis=1)
        width = self.radius * np.where(some, np.sin(high) - np.sin(low), 0.0).sum(axis=1)
        return np.where(width > FINEST_MM, angle, 0.0), np.where(width > FINEST_MM, width, 0.0)

    def _edge(
        self,
        place: NDArray[np.int64],
        between: tuple[Floats, Floats],
        known: tuple[Nearest, NDArray[np.int64]],
    ) -> Floats:
        """Halve between two points of the round, one in the stock and one not."""
        low, high = between
        first = self._in_stock(place, low, *known)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            same = self._in_stock(place, middle, *known) == first
            low, high = np.where(same, middle, low), np.where(same, high, middle)
        return np.asarray((low + high) / 2)

    def _in_stock(
        self, place: NDArray[np.int64], turn: Floats, search: Nearest, reach: NDArray[np.int64]
    ) -> Bools:
        """Tell which points of the round are in ground that nothing took before."""
        to = self.heading[place] + turn
        wide = self.radius[place, None]
        points = self.spots[place] + wide * np.column_stack([np.cos(to), np.sin(to)])
        inside = np.ones(len(points), dtype=bool)
        if self.way.stock_mm is not None:
            x0, y0, x1, y1 = self.way.stock_mm
            inside &= ((points >= (x0, y0)) & (points <= (x1, y1))).all(axis=1)
        inside &= ~self._taken(points, place, search, reach)
        z = self.way.low[self.piece[place]]
        for height in np.unique(z[inside]) if self.way.before else ():
            here = np.flatnonzero(inside & (z == height))
            swept = sweep_at(float(height), self.way.before)
            inside[here] = swept.short(points[here]) > FINEST_MM / 2
        return inside

    def _taken(
        self,
        points: Floats,
        place: NDArray[np.int64],
        search: Nearest,
        reach: NDArray[np.int64],
    ) -> Bools:
        """Tell which points the program itself took before it came to their places.

        What the cutter left behind within the last radius of its way touches the round from
        inside; it counts a little less, and what ran earlier a little more.
        """
        taken = np.zeros(len(points), dtype=bool)
        if not len(points):
            return taken
        most = float(self.radius.max()) + FINEST_MM / 2
        point, got = search.near(points, most)
        piece, where = reach[got], place[point]
        pieces, spots = self.way.pieces, points[point]
        earlier = piece < self.piece[where]
        earlier &= self.way.high[piece] <= self.way.low[self.piece[where]] + EVEN_MM
        point, piece, where, spots = point[earlier], piece[earlier], where[earlier], spots[earlier]
        away = _distance(spots, pieces.start[piece, :2], pieces.end[piece, :2])
        since = self.gone[where] - self.way.gone[piece]
        wide = self.radius[where]
        slack = np.where(since < wide, -FINEST_MM / 2, FINEST_MM / 2)
        taken[point[away <= wide + slack]] = True
        return taken


def _distance(points: Floats, start: Floats, end: Floats) -> Floats:
    """Distance of each point from its own piece, seen from above, mm."""
    along = end - start
    square = np.maximum((along**2).sum(axis=1), np.finfo(float).tiny)
    share = np.clip(((points - start) * along).sum(axis=1) / square, 0.0, 1.0)
    out: Floats = np.hypot(*(points - start - share[:, None] * along).T)
    return out
