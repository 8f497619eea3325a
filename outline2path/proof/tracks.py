"""Tracks: where the cutter's centre ran, as straight pieces, and the distance to them.

Pieces come from motions (see `chords`), with z at both ends and the row they came from. They can
be cut at heights, taken once for each stretch of ground, and searched. Lengths in mm.

Two motions over the same ground at different depths are one track: `lowest_once` keeps the
deepest, so that the cost of a judgement follows the outline's detail and not the number of
passes. Distances are exact between points and pieces (double precision), found by shapely's
search tree over short chains of pieces, which keeps memory bounded.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["EVEN_MM", "Floats", "Nearest", "Pieces", "points_of", "thin"]

Floats = NDArray[np.float64]
_LONGEST_CHAIN = 4
_ANCHOR_EVERY = 6
_WINDOW = 6
"""Of points in a row one in so many is searched for; its neighbours look so many pieces about."""
_LONGEST_RUN = 1000
_THIN_MM = 0.00005
EVEN_MM = 0.0015
"""Heights nearer than this are one: a depth rounded twice, to the program's and to the plan's
decimals."""


@dataclass(frozen=True, eq=False)
class Pieces:
    """Straight pieces of the cutter's path.

    Attributes
    ----------
    start, end : ndarray, (n, 3)
        Ends in mm.
    row : ndarray of int, (n,)
        Row of the motion in the table.
    """

    start: Floats
    end: Floats
    row: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.row)

    def where(self, mask: NDArray[np.bool_] | NDArray[np.int64]) -> Pieces:
        """Return some of the pieces."""
        return Pieces(self.start[mask], self.end[mask], self.row[mask])

    @property
    def low(self) -> Floats:
        """Lower z of each piece, mm."""
        return np.minimum(self.start[:, 2], self.end[:, 2])

    @property
    def high(self) -> Floats:
        """Higher z of each piece, mm."""
        return np.maximum(self.start[:, 2], self.end[:, 2])

    def below(self, z: float) -> Pieces:
        """Return the parts of the pieces that lie at or below z, sloping pieces cut there.

        Examples
        --------
        >>> slope = Pieces(np.array([[0.0, 0, 1]]), np.array([[10.0, 0, -1]]), np.array([0]))
        >>> slope.below(0.0).start.tolist()
        [[5.0, 0.0, 0.0]]
        """
        kept = self.where(self.low <= z)
        a, b = kept.start.copy(), kept.end.copy()
        for ends, other in ((a, b), (b, a)):
            high = ends[:, 2] > z
            share = (z - other[high, 2]) / (ends[high, 2] - other[high, 2])
            ends[high] = other[high] + share[:, None] * (ends[high] - other[high])
        return Pieces(a, b, kept.row)

    def between(self, low: float, high: float) -> Pieces:
        """Return the parts of the pieces at heights from `low` to `high`.

        Examples
        --------
        >>> slope = Pieces(np.array([[0.0, 0, 1]]), np.array([[10.0, 0, -1]]), np.array([0]))
        >>> slope.between(-0.5, 0.0).end.tolist()
        [[7.5, 0.0, -0.5]]
        """
        turned = self.below(high)._upside_down().below(-low)
        return turned._upside_down()

    def _upside_down(self) -> Pieces:
        flip = np.array([1.0, 1.0, -1.0])
        return Pieces(self.start * flip, self.end * flip, self.row)

    def lowest_once(self) -> Pieces:
        """Return each stretch of ground once, by its deepest piece, in the order of the rows."""
        ends = np.sort(np.stack([_complex(self.start), _complex(self.end)], axis=1), axis=1)
        order = np.lexsort((self.low, ends[:, 1], ends[:, 0]))
        same = (ends[order][1:] == ends[order][:-1]).all(axis=1)
        first = order[np.concatenate(([True], ~same))] if len(order) else order
        return self.where(np.sort(first))

    def thinned(self, *, by_level: bool = False, within_mm: float = _THIN_MM) -> Pieces:
        """Return fewer pieces over the same ground within 0.05 micrometre, seen from above.

        Rows and z are those of the first piece that each stands for, and its end's z that of the
        last. With `by_level` only level pieces at one height are taken together; with `within_mm`
        they may lie farther off.

        Examples
        --------
        >>> x = np.repeat(np.arange(10.0), 3).reshape(-1, 3)
        >>> line = Pieces(x, x + 1, np.arange(10))
        >>> len(line.thinned())
        1
        """
        if not len(self):
            return self
        joined = np.zeros(len(self), dtype=bool)
        joined[1:] = (self.start[1:, :2] == self.end[:-1, :2]).all(axis=1)
        if by_level:
            level = self.start[:, 2] == self.end[:, 2]
            joined[1:] &= level[1:] & level[:-1] & (self.start[1:, 2] == self.end[:-1, 2])
        runs = np.append(np.flatnonzero(~joined), len(self))
        firsts, lasts = [], []
        for a, b in pairwise(runs.tolist()):
            corners = np.concatenate([self.start[a:b, :2], self.end[b - 1 : b, :2]])
            kept = thin(corners, within_mm=within_mm)
            firsts.append(a + kept[:-1])
            lasts.append(a + kept[1:] - 1)
        first, last = np.concatenate(firsts), np.concatenate(lasts)
        return Pieces(self.start[first], self.end[last], self.row[first])


def _complex(points: Floats) -> NDArray[np.complex128]:
    out: NDArray[np.complex128] = points[:, 0] + 1j * points[:, 1]
    return out


def thin(xy: Floats, *, within_mm: float = _THIN_MM) -> NDArray[np.int64]:
    """Return the indices of the points that carry a line, first and last included.

    The line through them stays within `within_mm` (0.05 micrometre unless told) of the line
    through all, by Douglas and Peucker's method (as shapely has it).

    Examples
    --------
    >>> thin(np.array([[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [2.0, 5.0]])).tolist()
    [0, 2, 3]
    """
    n = len(xy)
    if n < 3:
        return np.arange(n)
    cuts = np.append(np.arange(0, n - 1, _LONGEST_RUN), n - 1)
    size = np.diff(cuts) + 1
    point = np.concatenate([np.arange(a, b + 1) for a, b in pairwise(cuts.tolist())])
    coords = np.column_stack((xy[point], point))
    owner = np.repeat(np.arange(len(size)), size)
    lines = shapely.simplify(
        shapely.linestrings(coords, indices=owner), within_mm, preserve_topology=False
    )
    kept = shapely.get_coordinates(lines, include_z=True)[:, 2]
    return np.unique(kept.astype(np.int64))


def points_of(xy: Floats) -> NDArray[np.object_]:
    """Make shapely points of (n, 2) coordinates."""
    made: NDArray[np.object_] = np.asarray(shapely.points(xy))
    return made


class Nearest:
    """Distance from points to a set of pieces, seen from above.

    Parameters
    ----------
    start, end : ndarray, (n, 2) or (n, 3)
        Ends of the pieces in mm; z is left out.

    Examples
    --------
    >>> line = Nearest(np.array([[0.0, 0.0]]), np.array([[10.0, 0.0]]))
    >>> line.distance(np.array([[5.0, 2.0], [13.0, 4.0]])).tolist()
    [2.0, 5.0]
    """

    def __init__(self, start: Floats, end: Floats) -> None:
        a, b = start[:, :2], end[:, :2]
        n = len(a)
        joined = np.zeros(n, dtype=bool)
        joined[1:] = (a[1:] == b[:-1]).all(axis=1)
        begins = np.flatnonzero(~joined)
        run = np.cumsum(~joined) - 1
        place = np.arange(n) - begins[run] if n else np.zeros(0, dtype=np.int64)
        head = place % _LONGEST_CHAIN == 0
        chain = np.cumsum(head) - 1
        self.first = np.flatnonzero(head)
        self.pieces = n
        self._start, self._end = a, b
        coords = np.concatenate([a[head], b])
        owner = np.concatenate([chain[head], chain])
        rank = np.concatenate([np.flatnonzero(head) * 2, np.arange(n) * 2 + 1])
        order = np.lexsort((rank, owner))
        self._chains = (
            shapely.linestrings(coords[order], indices=owner[order])
            if n
            else np.zeros(0, dtype=object)
        )
        self._tree = shapely.STRtree(self._chains)

    @property
    def lines(self) -> NDArray[np.object_]:
        """The pieces as shapely lines, a few of them to each."""
        return self._chains

    def distance(self, xy: Floats, *, within: float | None = None) -> Floats:
        """Return each point's distance to the nearest piece, mm; inf beyond `within`."""
        return self.locate(xy, within=within)[0]

    def locate(
        self, xy: Floats, *, within: float | None = None
    ) -> tuple[Floats, NDArray[np.int64]]:
        """Return distance and chain of the nearest piece; inf and -1 where there is none."""
        return self.from_shapes(points_of(xy), within=within)

    def from_shapes(
        self, shapes: NDArray[np.object_], *, within: float | None = None
    ) -> tuple[Floats, NDArray[np.int64]]:
        """Return distance and chain of the piece nearest to each shape."""
        found = np.full(len(shapes), np.inf)
        chain = np.full(len(shapes), -1, dtype=np.int64)
        if self.pieces and len(shapes):
            (asked, got), distance = self._tree.query_nearest(
                shapes, max_distance=within, return_distance=True, all_matches=False
            )
            found[asked], chain[asked] = distance, got
        return found, chain

    def feet(self, xy: Floats, chain: NDArray[np.int64]) -> Floats:
        """Return the point nearest to each point on the chain named for it, (n, 2)."""
        return self.feet_from(points_of(xy), chain)

    def feet_from(self, shapes: NDArray[np.object_], chain: NDArray[np.int64]) -> Floats:
        """Return the point of the chain named for each shape that is nearest to it, (n, 2)."""
        lines = shapely.shortest_line(self._chains[chain], shapes)
        out: Floats = shapely.get_coordinates(lines).reshape(-1, 2, 2)[:, 0]
        return out

    def guess(self, xy: Floats) -> tuple[Floats, Floats]:
        """Return a distance to the pieces that is never too small, and its foot, (n, 2).

        Cheap where the points follow one another along a line: then it mostly is the least.

        Examples
        --------
        >>> line = Nearest(np.array([[0.0, 0.0]]), np.array([[10.0, 0.0]]))
        >>> line.guess(np.array([[5.0, 2.0], [13.0, 4.0]]))[0].tolist()
        [2.0, 5.0]
        """
        best, feet = np.full(len(xy), np.inf), np.full((len(xy), 2), np.inf)
        anchors = np.append(np.arange(0, len(xy) - 1, _ANCHOR_EVERY), max(len(xy) - 1, 0))
        if not self.pieces or not len(xy):
            return best, feet
        middle = self.first[self.locate(xy[anchors])[1]] + _LONGEST_CHAIN // 2
        before = np.arange(len(xy)) // _ANCHOR_EVERY
        for anchor in (before, np.minimum(before + 1, len(anchors) - 1)):
            for step in range(-_WINDOW, _WINDOW + 1):
                piece = np.clip(middle[anchor] + step, 0, self.pieces - 1)
                foot = _feet(xy, self._start[piece], self._end[piece])
                distance = np.hypot(*(xy - foot).T)
                less = distance < best
                best[less], feet[less] = distance[less], foot[less]
        return best, feet

    def all_feet(self, xy: Floats, within: float) -> list[Floats]:
        """Return for each point the nearest point of every piece within that distance."""
        asked, got = self.near(xy, within)
        feet = _feet(xy[asked], self._start[got], self._end[got])
        order = np.argsort(asked, kind="stable")
        cuts = np.searchsorted(asked[order], np.arange(1, len(xy)))
        return [np.asarray(f) for f in np.split(feet[order], cuts)]

    def near(self, xy: Floats, within: float) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return all pairs of a point and a piece within that distance of it, as indices."""
        asked, got = self._tree.query(points_of(xy), predicate="dwithin", distance=within)
        last = np.append(self.first[1:], self.pieces)
        count = (last - self.first)[got]
        point = np.repeat(asked, count)
        step = np.arange(len(point)) - np.repeat(np.cumsum(count) - count, count)
        piece = np.repeat(self.first[got], count) + step
        feet = _feet(xy[point], self._start[piece], self._end[piece])
        close = np.hypot(*(xy[point] - feet).T) <= within
        return point[close], piece[close]


def _feet(points: Floats, start: Floats, end: Floats) -> Floats:
    """Point of each piece that is nearest to its own point."""
    along = end - start
    square = np.maximum((along**2).sum(axis=1), np.finfo(float).tiny)
    share = np.clip(((points - start) * along).sum(axis=1) / square, 0.0, 1.0)
    out: Floats = start + share[:, None] * along
    return out
