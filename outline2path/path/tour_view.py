"""View: trips as they are now, with all that changes to them are reckoned from.

In: stops, trips in a row of nodes, each followed by home, and bounds for every place. Out: lengths
of edges and their sums, blocks, and how far each stop may move. Lengths in mm.

Place k is the k-th node of the row; edge k leads to place k. A block is a stretch of neighbouring
stops that have rules among one another, as the holes of a part and its edge; most stops without
rules are blocks of their own. Blocks keep their inner order when stretches are turned round.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.path.stops import Stops

__all__ = ["View"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True, eq=False, kw_only=True)
class View:
    """Trips, their edges, their blocks and their rules.

    Attributes
    ----------
    trip : ndarray of int
        Home, then the nodes: place k stands at k + 1.
    place : ndarray of int, shape (trips, stops + 1)
        Of each stop; of home in the last column.
    low, high : ndarray of int
        Bounds of each place's stop.
    edge : ndarray of float
        Length of each edge, mm.
    begin, end : ndarray of int
        First place of each place's block, and the one after its last.
    one_by_one, by_blocks : ndarray of float
        Sums along the row of what every edge gains when it is gone the other way: each edge by
        itself, and only those between blocks.
    leader, near_leader : ndarray of int
        For each place the last it must come after in another block, and in its own (or -1).
    follower, near_follower : ndarray of int
        For each place the first it must come before in another block, and in its own.
    """

    stops: Stops
    trip: Integers
    place: Integers
    low: Integers
    high: Integers
    edge: Floats
    begin: Integers
    end: Integers
    one_by_one: Floats
    by_blocks: Floats
    leader: Integers
    near_leader: Integers
    follower: Integers
    near_follower: Integers

    @classmethod
    def of(cls, stops: Stops, nodes: Integers, *, bounds: tuple[Integers, Integers]) -> View:
        """Look at trips.

        Examples
        --------
        >>> from outline2path.path.stops import Stops
        >>> stops = Stops.of([np.array([[x, 0.0, x, 0.0]]) for x in (1, 3, 2)], rules=[(0, 1)])
        >>> view = View.of(stops, np.array([1, 2, 3, 0]), bounds=(np.zeros(4, int), np.full(4, 3)))
        >>> view.edge.tolist(), view.begin.tolist(), view.near_leader.tolist()
        ([1.0, 2.0, 1.0, 2.0], [0, 0, 2, 3], [-1, 0, -1, -1])
        """
        low, high = bounds
        each, size = stops.count + 1, len(nodes)
        trip = np.concatenate([[0], nodes])
        owner = stops.owner[nodes]
        where = np.arange(size)
        place = np.empty((size // each, each), np.int64)
        place[where // each, owner] = where  # home's owner, -1, is the last column
        edge = stops.length(trip[:-1], trip[1:])
        group = np.where(owner < 0, -1, stops.group[owner])
        fresh = np.ones(size, bool)
        fresh[1:] = (group[1:] != group[:-1]) | (low[1:] != low[:-1])
        starts = np.flatnonzero(fresh)
        block = np.cumsum(fresh) - 1
        begin, end = starts[block], np.append(starts[1:], size)[block]
        turned = stops.length(trip[1:], trip[:-1])
        before = np.maximum(begin - 1, 0)
        between = stops.length(trip[end], trip[begin[before] + 1])
        ruled = _ruled(stops, place, begin, high)
        return cls(
            stops=stops,
            trip=trip,
            place=place,
            low=low,
            high=high,
            edge=edge,
            begin=begin,
            end=end,
            one_by_one=np.cumsum(edge - turned),
            by_blocks=np.cumsum(np.where(fresh, edge - between, 0.0)),
            leader=ruled[0],
            near_leader=ruled[1],
            follower=ruled[2],
            near_follower=ruled[3],
        )

    def beside(self, places: Integers) -> Integers:
        """Return the places of the stops nearest to those of some places, shape (places, near)."""
        near = self.stops.near[self.stops.owner[self.trip[places + 1]]]
        found: Integers = self.place[(places // self.place.shape[1])[:, None], near]
        return found

    def free_to(self, *, blocks: bool) -> Integers:
        """Return how far a stretch from each place may reach and be turned, blocks kept or not."""
        first = self.follower if blocks else np.minimum(self.follower, self.near_follower)
        free: Integers = np.minimum.accumulate(first[::-1])[::-1]
        return free

    def room(self, run: Integers, end: Integers) -> tuple[Integers, Integers]:
        """Return the first and the last place before which runs of stops may be put.

        Where a run takes only some stops of a block along, one that leads in it may hide another
        that stays behind; such a run stays on that side of the rest of its block.
        """
        first = np.maximum(_most(self.leader, run, end) + 1, self.low[run])
        last = np.minimum(-_most(-self.follower, run, end), self.high[run])
        if not len(self.stops.first):
            return first, last
        near = _most(self.near_leader, run, np.minimum(end, self.end[run]))
        near = np.where(near >= run, run, near + 1)
        first = np.where(self.begin[run] < run, np.maximum(first, near), first)
        tail = np.maximum(run, self.begin[end - 1])
        near = -_most(-self.near_follower, tail, end)
        near = np.where(near < end, end, near)
        last = np.where(self.end[end - 1] > end, np.minimum(last, near), last)
        return first, last


def _most(values: Integers, low: Integers, high: Integers) -> Integers:
    """Return the greatest value of each stretch, none of them empty."""
    row = np.append(values, values[:1])
    most: Integers = np.maximum.reduceat(row, np.column_stack([low, high]).ravel())[::2]
    return most


def _ruled(
    stops: Stops, place: Integers, begin: Integers, high: Integers
) -> tuple[Integers, Integers, Integers, Integers]:
    """Return leaders and followers of each place, in other blocks and in its own."""
    size = len(begin)
    found = (np.full(size, -1), np.full(size, -1), high.copy(), high.copy())
    first = place[:, stops.first].ravel()
    second = place[:, stops.second].ravel()
    near = begin[first] == begin[second]
    for chosen, leader, follower in ((~near, found[0], found[2]), (near, found[1], found[3])):
        np.maximum.at(leader, second[chosen], first[chosen])
        np.minimum.at(follower, first[chosen], second[chosen])
    return found
