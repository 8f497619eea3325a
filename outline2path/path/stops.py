"""Stops: where the cutter may begin and end each contour, and who must come before whom.

In: for each stop one way or several of making it, each with the place it begins and the place it
ends, mm; pairs of stops of which the first must come before the second. Out: `Stops`, with the
length of the rapid from one way to the next.

Node 0 is home, where the trip begins and ends; every other node is one way of one stop.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import SettingError

__all__ = ["NEAR", "Stops"]

NEAR = 10
"""Near stops that each stop is tried beside."""
_ROWS = 256

Complexes = NDArray[np.complex128]
Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True, eq=False, kw_only=True)
class Stops:
    """Places and rules of a round trip.

    Attributes
    ----------
    begin, end : ndarray of complex, shape (nodes,)
        Where each way begins and ends, x + y j, mm; home first.
    owner : ndarray of int, shape (nodes,)
        The stop a way belongs to; -1 for home.
    ways : ndarray of int, shape (stops, most)
        Nodes of each stop; the last one is repeated where a stop has fewer.
    first, second : ndarray of int, shape (rules,)
        Stop first[k] comes before stop second[k].
    """

    begin: Complexes
    end: Complexes
    owner: Integers
    ways: Integers
    first: Integers
    second: Integers

    @classmethod
    def of(
        cls,
        places: Sequence[NDArray[np.float64]],
        *,
        rules: Sequence[tuple[int, int]] = (),
        home: tuple[float, float] = (0.0, 0.0),
    ) -> Stops:
        """Gather stops.

        Parameters
        ----------
        places : sequence of ndarray, shape (ways, 4)
            For each stop its ways: x, y where it begins, x, y where it ends, mm.
        rules : sequence of (int, int)
            Stops of which the first must come before the second.
        home : tuple of float
            Where the trip begins and ends, mm.

        Raises
        ------
        SettingError
            When a stop has no way.

        Examples
        --------
        >>> line = np.array([[0.0, 9, 5, 9], [5, 9, 0, 9]])
        >>> stops = Stops.of([np.array([[3.0, 4, 3, 4]]), line])
        >>> stops.count, stops.owner.tolist(), float(stops.length(0, 1))
        (2, [-1, 0, 1, 1], 5.0)
        """
        sizes = np.array([len(some) for some in places], np.int64)
        if len(sizes) and not sizes.min():
            raise SettingError(
                f"stop {int(sizes.argmin())} of {len(sizes)} has no way of making it"
            )
        table = np.vstack([np.array([[*home, *home]]), *places])
        owner = np.concatenate([[-1], np.repeat(np.arange(len(sizes)), sizes)])
        most = int(sizes.max(initial=1))
        starts = 1 + np.cumsum(sizes) - sizes
        columns = np.minimum(np.arange(most), np.maximum(sizes[:, None] - 1, 0))
        pairs = np.array(sorted(set(rules)), np.int64).reshape(-1, 2)
        return cls(
            begin=table[:, 0] + 1j * table[:, 1],
            end=table[:, 2] + 1j * table[:, 3],
            owner=owner,
            ways=starts[:, None] + columns,
            first=pairs[:, 0],
            second=pairs[:, 1],
        )

    @property
    def count(self) -> int:
        """Number of stops."""
        return len(self.ways)

    def length(self, start: Integers | int, to: Integers | int) -> Floats:
        """Return the length of rapids from the ends of some nodes to the beginnings of others."""
        lengths: Floats = np.abs(self.end[start] - self.begin[to])
        return lengths

    def trip_length(self, nodes: Integers) -> float:
        """Return the length of the round trip from home through nodes in order.

        Examples
        --------
        >>> stops = Stops.of([np.array([[5.0, 0, 5, 0]]), np.array([[2.0, 0, 2, 0]])])
        >>> stops.trip_length(np.array([2, 1]))
        10.0
        """
        trip = np.concatenate([[0], nodes, [0]])
        return float(self.length(trip[:-1], trip[1:]).sum())

    @cached_property
    def noise_mm(self) -> float:
        """Differences of length below this are rounding errors of the sums."""
        reach = float(np.abs(np.concatenate([self.begin, self.end])).max())
        return float(np.finfo(np.float64).eps) * len(self.begin) ** 2 * max(reach, 1.0)

    @cached_property
    def group(self) -> Integers:
        """Number of the group of each stop: stops with rules between them, and theirs, share it.

        Examples
        --------
        >>> dots = [np.zeros((1, 4))] * 4
        >>> Stops.of(dots, rules=[(3, 1), (1, 0)]).group.tolist()
        [0, 0, 2, 0]
        """
        group = np.arange(self.count)
        while True:
            least = np.minimum(group[self.first], group[self.second])
            lower = group.copy()
            np.minimum.at(lower, self.first, least)
            np.minimum.at(lower, self.second, least)
            lower = lower[lower]
            if (lower == group).all():
                return group
            group = lower

    @cached_property
    def near(self) -> Integers:
        """Stops nearest to each stop, by whichever ways: shape (stops, at most NEAR)."""
        keep = min(NEAR, self.count - 1)
        middle = (self.begin + self.end)[self.ways] / 2
        found = np.zeros((self.count, max(keep, 0)), np.int64)
        if keep < 1:
            return found
        for low in range(0, self.count, _ROWS):
            rows = np.arange(low, min(low + _ROWS, self.count))
            apart = np.full((len(rows), self.count), np.inf)
            for way in middle[rows].T:
                for other in middle.T:
                    np.minimum(apart, np.abs(way[:, None] - other), out=apart)
            apart[np.arange(len(rows)), rows] = np.inf
            some = np.argpartition(apart, keep - 1, axis=1)[:, :keep]
            rank = np.argsort(np.take_along_axis(apart, some, 1), axis=1, kind="stable")
            found[rows] = np.take_along_axis(some, rank, 1)
        return found
