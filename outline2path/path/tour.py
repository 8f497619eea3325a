"""Tour: a short round trip that visits every stop once, each in the best of its ways.

In: `Stops`. Out: the order of the stops and the way of each. Up to 8 stops the trip is the
shortest there is (dynamic program over subsets: Held and Karp 1962, from memory). Above that:
nearest neighbour, improved by changing the way of a stop, by moving short runs of stops beside
near ones and by reversing stretches until nothing helps (2-opt and Or-opt moves of the travelling
salesman literature, looked at only between near neighbours; stops with several ways make it a
generalised tour: Noon and Bean 1993, from memory). Then, a fixed number of rounds: the trip is cut
into stretches, and several copies of each are shaken in one place and improved again within their
bounds; the best copy of each stretch is kept, in early rounds even if it is a little longer. All
choices are fixed, so the same input gives the same trip. Travel may cost differently one way and
the other: a contour ends elsewhere than it begins.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.path.tour_changes import around, improve

if TYPE_CHECKING:
    from outline2path.path.stops import Stops

__all__ = ["EXACT_STOPS", "short_tour"]

EXACT_STOPS = 8
"""Up to this many stops every order is considered."""
ROUNDS = 30
"""Most rounds of shaking and improving; a few stops need fewer, one for every two of them."""
MOST = 2000
"""Stops beyond which nothing is shaken: the time goes with their number."""
AT_ONCE = 12
"""Shakes in a round."""
STRETCH = 80
"""Stops to a stretch that is shaken and improved on its own."""
DRIFT = 1.0
"""Mean edges that a stretch may get longer in the first round; none in the last."""
SHAKEN = 40
"""Most stops in each of the two runs that a shake swaps."""

Integers = NDArray[np.int64]


def short_tour(stops: Stops, *, exact_stops: int = EXACT_STOPS) -> Integers:
    """Order stops, and choose the way of each, for a short round trip.

    Parameters
    ----------
    stops : Stops
        Places and rules; the rules must not run in a circle.
    exact_stops : int
        Most stops for which all orders are considered.

    Returns
    -------
    ndarray of int, shape (stops,)
        The node of each stop, in order.

    Examples
    --------
    >>> corners = [np.array([[x, y, x, y]]) for x, y in [(0.0, 4.0), (4, 4), (4, 0)]]
    >>> from outline2path.path.stops import Stops
    >>> stops = Stops.of(corners, rules=[(2, 0)])
    >>> stops.owner[short_tour(stops)].tolist()
    [2, 1, 0]
    """
    if stops.count <= max(exact_stops, 1):
        return _shortest(stops)
    nodes = np.append(_nearest(stops), 0)
    _improve_all(stops, nodes, np.arange(stops.count))
    random = np.random.default_rng(stops.count)
    best, shortest = nodes.copy(), stops.trip_length(nodes[:-1])
    rounds = min(ROUNDS, stops.count // 2) if stops.count <= MOST else 0
    for turn in range(rounds):
        slack = DRIFT * (1 - turn / rounds) * shortest / stops.count
        _round(stops, nodes, random, slack_mm=slack)
        length = stops.trip_length(nodes[:-1])
        if length < shortest:
            best, shortest = nodes.copy(), length
    return _best_ways(stops, best[:-1])


def _improve_all(stops: Stops, nodes: Integers, places: Integers) -> None:
    """Improve one trip with no bounds but its ends."""
    size = len(nodes)
    improve(stops, nodes, places, bounds=(np.zeros(size, np.int64), np.full(size, size - 1)))


def _round(stops: Stops, nodes: Integers, random: np.random.Generator, *, slack_mm: float) -> None:
    """Shake copies of each stretch, improve them, keep the best copy of each."""
    count = stops.count
    parts = max(count // STRETCH, 1)
    copies = max(AT_ONCE // parts, 1)
    cuts = np.linspace(0, count, parts + 1).astype(np.int64)
    if parts > 1:
        cuts[1:-1] += random.integers(-STRETCH // 3, STRETCH // 3)
    many = np.tile(nodes, copies)
    offset = np.arange(copies)[:, None] * (count + 1)
    lows, highs = (offset + cuts[:-1]).ravel(), (offset + cuts[1:]).ravel()
    which = np.searchsorted(cuts[1:-1], np.arange(count + 1), side="right")
    which = (np.arange(copies)[:, None] * parts + which).ravel()
    touched = _shaken(stops, many, lows, highs, random)
    improve(stops, many, around(touched, many), bounds=(lows[which], highs[which]))
    table = many.reshape(copies, count + 1)
    trip = np.hstack([np.zeros((copies, 1), np.int64), table])
    old = _stretches(stops, np.append(0, nodes)[None], cuts)[0]
    lengths = _stretches(stops, trip, cuts)
    lengths[np.abs(lengths - old) <= stops.noise_mm] = np.inf  # as it was: nothing is tried
    best = lengths.argmin(axis=0)
    taken = np.flatnonzero(lengths.min(axis=0) < old + slack_mm)
    for part in taken.tolist():
        stretch = slice(cuts[part], cuts[part + 1])
        nodes[stretch] = table[best[part], stretch]
    if len(taken) and parts > 1:
        changed = [np.arange(cuts[part], cuts[part + 1]) for part in taken.tolist()]
        _improve_all(stops, nodes, np.concatenate(changed))


def _stretches(stops: Stops, trips: Integers, cuts: Integers) -> NDArray[np.float64]:
    """Length of each stretch of each trip, with both edges that lead to and from it."""
    edges = stops.length(trips[:, :-1], trips[:, 1:])
    run = np.hstack([np.zeros((len(trips), 1)), np.cumsum(edges, axis=1)])
    lengths: NDArray[np.float64] = run[:, cuts[1:] + 1] - run[:, cuts[:-1]]
    return lengths


def _shaken(
    stops: Stops, nodes: Integers, lows: Integers, highs: Integers, random: np.random.Generator
) -> Integers:
    """Swap two neighbouring runs somewhere in each stretch, where no rule speaks against it.

    Every second time they are runs of whole blocks: stops with rules among them stay together.
    """
    ruled = np.zeros(stops.count, bool)
    ruled[stops.first] = ruled[stops.second] = True
    group = np.append(stops.group, -1)[stops.owner[nodes]]
    fresh = np.append(0, np.flatnonzero(np.diff(group)) + 1)
    sizes = random.integers(1, SHAKEN, (len(lows), 2))
    share, whole = random.random(len(lows)), random.random(len(lows)) < 0.5
    touched = []
    for k, (low, high) in enumerate(zip(lows.tolist(), highs.tolist(), strict=True)):
        a = low + int(share[k] * max(high - low - 2, 1))
        places = [a, a + int(sizes[k, 0]), a + int(sizes[k].sum())]
        if whole[k]:
            places = fresh[np.searchsorted(fresh, places, side="right") - 1].tolist()
        a, b, c = max(places[0], low), min(places[1], high - 1), min(places[2], high)
        if not a < b < c or not _may_swap(stops, nodes[a:b], nodes[b:c], ruled):
            continue
        nodes[a:c] = np.concatenate([nodes[b:c], nodes[a:b]])
        touched += [a, a + c - b, c]
    return np.array(touched, dtype=np.int64)


def _may_swap(stops: Stops, left: Integers, right: Integers, ruled: NDArray[np.bool_]) -> bool:
    """Whether no stop of the left run must come before one of the right run."""
    before, after = stops.owner[left], stops.owner[right]
    if not (ruled[before].any() and ruled[after].any()):
        return True
    first, second = np.isin(stops.first, before), np.isin(stops.second, after)
    return not bool((first & second).any())


def _shortest(stops: Stops) -> Integers:
    """Try all orders and all ways, one subset of stops after the other."""
    count, size = stops.count, len(stops.begin)
    every = np.arange(size)
    cost = stops.length(every[:, None], every[None])
    needs = np.zeros(count, np.int64)
    np.bitwise_or.at(needs, stops.second, 1 << stops.first)
    length = np.full((1 << count, size), np.inf)
    came_from = np.zeros((1 << count, size), np.int64)
    length[0, 0] = 0.0
    for done in range((1 << count) - 1):
        ways = length[done][:, None] + cost
        before, least = ways.argmin(axis=0), ways.min(axis=0)
        for stop in range(count):
            if not (done >> stop & 1 or needs[stop] & ~done):
                mine = stops.ways[stop]
                after = done | 1 << stop
                length[after, mine], came_from[after, mine] = least[mine], before[mine]
    nodes, done = [], (1 << count) - 1
    node = int((length[done] + cost[:, 0]).argmin()) if count else 0
    while done:
        nodes.append(node)
        node, done = int(came_from[done, node]), done & ~(1 << int(stops.owner[node]))
    return np.array(nodes[::-1], dtype=np.int64)


def _nearest(stops: Stops) -> Integers:
    """Go on to the nearest way of a stop that is allowed."""
    waiting = np.bincount(stops.second, minlength=stops.count)
    left = np.ones(stops.count, bool)
    nodes = np.zeros(stops.count, np.int64)
    here = 0
    for k in range(stops.count):
        ready = np.flatnonzero(left & (waiting == 0))
        ways = stops.ways[ready]
        far = stops.length(here, ways)
        here = nodes[k] = ways.ravel()[far.argmin()]
        stop = stops.owner[here]
        left[stop] = False
        np.subtract.at(waiting, stops.second[stops.first == stop], 1)
    return nodes


def _best_ways(stops: Stops, nodes: Integers) -> Integers:
    """Keep the order and choose all ways anew: a shortest way through layers."""
    layers = stops.ways[stops.owner[nodes]]
    length, here, back = np.zeros(1), np.zeros(1, np.int64), []
    for layer in layers:
        ways = length[:, None] + stops.length(here[:, None], layer[None])
        back.append(ways.argmin(axis=0))
        length, here = ways.min(axis=0), layer
    choice = int((length + stops.length(here, 0)).argmin())
    chosen = np.zeros(len(nodes), np.int64)
    for k in range(len(nodes) - 1, -1, -1):
        chosen[k] = layers[k][choice]
        choice = int(back[k][choice])
    return chosen
