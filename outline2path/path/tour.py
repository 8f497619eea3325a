"""Tour: a short round trip under must-come-before rules.

In: a matrix of travel lengths and a matrix of rules. Out: an order of stops. Up to 8 stops the
order is the shortest there is (dynamic program over subsets: Held and Karp 1962, from memory).
Above that: nearest neighbour, improved by moving short runs of stops and by reversing stretches
until neither helps, then shaken and improved again a fixed number of times (2-opt and Or-opt moves
of the travelling salesman literature). All choices are fixed, so the same input gives the same
order. Travel may cost differently one way and the other: a contour ends elsewhere than it begins.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["EXACT_STOPS", "short_tour", "tour_length"]

EXACT_STOPS = 8
"""Up to this many stops every order is considered."""
LONGEST_RUN = 3
"""Stops moved together."""
SHAKES = 200
"""Times an improved order is shaken up and improved again."""
SHAKEN_ENTRIES = 2_000_000
"""Matrix entries all shakes together may look at, over the number of stops: bounds the time."""

CHANGE = np.dtype(
    [("change", np.float64), ("low", np.int64), ("high", np.int64), ("shift", np.int64)]
)
"""Stops low to high - 1, rolled on by `shift`, or reversed where that is 0, lengthen the trip."""

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Rules = NDArray[np.bool_]


def tour_length(cost: Floats, order: Integers) -> float:
    """Return the length of the round trip from home (row and column 0) through all stops.

    Examples
    --------
    >>> import numpy as np
    >>> x = np.array([0.0, 5.0, 2.0])  # home, stop 0, stop 1 on a line
    >>> tour_length(np.abs(x[:, None] - x), np.array([1, 0]))
    10.0
    """
    trip = _trip(order)
    return float(cost[trip[:-1], trip[1:]].sum())


def short_tour(cost: Floats, before: Rules, *, exact_stops: int = EXACT_STOPS) -> Integers:
    """Order stops for a short round trip.

    Parameters
    ----------
    cost : ndarray, shape (n + 1, n + 1)
        Length from row to column; 0 is home, k + 1 is stop k.
    before : ndarray of bool, shape (n, n)
        before[i, j]: stop i must come before stop j. Transitive, and without a circle.
    exact_stops : int
        Most stops for which all orders are considered.

    Returns
    -------
    ndarray of int, shape (n,)
        Stops in order.

    Examples
    --------
    >>> import numpy as np
    >>> corners = np.array([0, 0 + 4j, 4 + 4j, 4])  # home, then stops 0, 1, 2
    >>> must_wait = np.zeros((3, 3), bool)
    >>> must_wait[2, 0] = True  # stop 2 before stop 0
    >>> short_tour(np.abs(corners[:, None] - corners), must_wait).tolist()
    [2, 1, 0]
    """
    count = len(before)
    if count <= max(exact_stops, 1):
        return _shortest(cost, before)
    order = _improved(cost, before, _nearest(cost, before))
    best = tour_length(cost, order)
    random = np.random.default_rng(count)
    for _ in range(min(SHAKES, SHAKEN_ENTRIES // count**2)):
        other = _improved(cost, before, _shaken(before, order, random))
        length = tour_length(cost, other)
        if best - length > _noise(cost):
            order, best = other, length
    return order


def _noise(cost: Floats) -> float:
    """Differences of length below this are rounding errors of the sums."""
    return float(np.finfo(np.float64).eps * len(cost) * cost.max() * len(cost))


def _trip(order: Integers) -> Integers:
    """Home, all stops as rows of the matrix, home."""
    return np.concatenate([[0], order + 1, [0]])


def _shortest(cost: Floats, before: Rules) -> Integers:
    """Try all orders, one subset of stops after the other."""
    count = len(before)
    needs = (before * (1 << np.arange(count))[:, None]).sum(axis=0)
    length = np.full((1 << count, count), np.inf)
    came_from = np.zeros((1 << count, count), np.int64)
    for done in range(1 << count):
        for stop in range(count):
            if done >> stop & 1 or needs[stop] & ~done:
                continue
            ways = length[done] + cost[1:, stop + 1] if done else cost[0, stop + 1 : stop + 2]
            came_from[done | 1 << stop, stop] = way = int(ways.argmin())
            length[done | 1 << stop, stop] = ways[way]
    order, done = [], (1 << count) - 1
    stop = int((length[done] + cost[1:, 0]).argmin()) if count else 0
    while done:
        order.append(stop)
        stop, done = int(came_from[done, stop]), done & ~(1 << stop)
    return np.array(order[::-1], dtype=np.int64)


def _nearest(cost: Floats, before: Rules) -> Integers:
    """Go on to the nearest stop that is allowed."""
    waiting = before.sum(axis=0)
    left = np.ones(len(before), bool)
    order, here = [], 0
    for _ in range(len(before)):
        ready = left & (waiting == 0)
        stop = int(np.where(ready, cost[here, 1:], np.inf).argmin())
        order.append(stop)
        left[stop] = False
        waiting = waiting - before[stop]
        here = stop + 1
    return np.array(order, dtype=np.int64)


def _improved(cost: Floats, before: Rules, order: Integers) -> Integers:
    """Make the best changes that do not touch one another, until none helps."""
    sizes = range(1, min(LONGEST_RUN, len(order)) + 1)
    while True:
        leaders, followers = _neighbours_in(before, order)
        changes = [_reversals(cost, order, followers)]
        changes += [_moves(cost, order, size, leaders, followers) for size in sizes]
        table = np.concatenate(changes)
        table = table[table["change"] < -_noise(cost)]
        if not len(table):
            return order
        order = _changed(order, table)


def _changed(order: Integers, table: NDArray[np.void]) -> Integers:
    """Apply changes, the best first, each to a stretch that no other has touched."""
    order, free = order.copy(), np.ones(len(order), bool)
    for _, low, high, shift in table[np.argsort(table["change"], kind="stable")].tolist():
        if free[max(low - 1, 0) : high + 1].all():
            free[low:high] = False
            stretch = order[low:high]
            order[low:high] = np.roll(stretch, shift) if shift else stretch[::-1]
    return order


def _reversals(cost: Floats, order: Integers, followers: Integers) -> NDArray[np.void]:
    """For each first stop the stretch best reversed; one that holds a rule stays as it is."""
    trip = _trip(order)
    onward = np.concatenate([[0.0], np.cumsum(cost[trip[1:-2], trip[2:-1]])])
    back = np.concatenate([[0.0], np.cumsum(cost[trip[2:-1], trip[1:-2]])])
    stop, prior, following = trip[1:-1], trip[:-2], trip[2:]
    change = cost[prior[:, None], stop] + cost[stop[:, None], following]
    change -= (cost[prior, stop] + back - onward)[:, None]
    change += back - onward - cost[stop, following]
    limit = np.minimum.accumulate(followers[::-1])[::-1]
    place = np.arange(len(order))
    change[(place <= place[:, None]) | (place >= limit[:, None])] = np.inf
    table = np.zeros(len(order), CHANGE)
    last = change.argmin(axis=1)
    table["change"], table["low"], table["high"] = change[place, last], place, last + 1
    return table


def _moves(
    cost: Floats, order: Integers, size: int, leaders: Integers, followers: Integers
) -> NDArray[np.void]:
    """For each run of `size` stops its best other place."""
    trip, runs = _trip(order), len(order) - size + 1
    first, last = trip[1 : runs + 1], trip[size : size + runs]
    prior, following = trip[:runs], trip[size + 1 : size + 1 + runs]
    saved = cost[prior, first] + cost[last, following] - cost[prior, following]
    change = cost[trip[:-1][None, :], first[:, None]] + cost[last[:, None], trip[None, 1:]]
    change -= cost[trip[:-1], trip[1:]] + saved[:, None]
    slot, run = np.arange(len(order) + 1), np.arange(runs)
    low = np.max([leaders[k : k + runs] for k in range(size)], axis=0)[:, None]
    high = np.min([followers[k : k + runs] for k in range(size)], axis=0)[:, None]
    inside = (slot >= run[:, None]) & (slot <= run[:, None] + size)
    change[inside | (slot <= low) | (slot > high)] = np.inf
    to = change.argmin(axis=1)
    table = np.zeros(runs, CHANGE)
    table["change"] = change[run, to]
    table["low"], table["high"] = np.minimum(to, run), np.maximum(to, run + size)
    table["shift"] = np.where(to < run, size, -size)
    return table


def _neighbours_in(before: Rules, order: Integers) -> tuple[Integers, Integers]:
    """Return for each place the last it must follow (or -1) and the first that waits (or n)."""
    count = len(order)
    ruled = before[np.ix_(order, order)]
    place = np.arange(count)
    leaders = np.where(ruled, place[:, None], -1).max(axis=0)
    followers = np.where(ruled, place, count).min(axis=1)
    return leaders, followers


def _shaken(before: Rules, order: Integers, random: np.random.Generator) -> Integers:
    """Swap two neighbouring stretches, mostly short, where no rule speaks against it."""
    for _ in range(10):
        longest = 10 if random.random() < 2 / 3 else max(len(order) // 2, 2)
        sizes = random.integers(1, longest, 2)
        a, b, c = random.integers(len(order)) + np.cumsum([0, *sizes])
        if not before[np.ix_(order[a:b], order[b:c])].any():
            return np.concatenate([order[:a], order[b:c], order[a:b], order[c:]])
    return order
