"""Changes: round trips made shorter step by step, several of them at once.

In: stops, and trips side by side. Each trip's stops may be moved, turned and given other ways
within bounds: runs of up to three stops or blocks go beside near ones, runs of stops either way
round, stretches are turned round, single stops change their way. All changes of all trips are
looked at together with NumPy; of those that help, the best that do not touch one another are made.
Rules are kept by never moving a stop past one it must stay before or after. Lengths in mm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.path.tour_view import View

if TYPE_CHECKING:
    from outline2path.path.stops import Stops

__all__ = ["around", "improve"]

LONGEST_RUN = 3
"""Stops, or blocks, moved together."""
AROUND = 2
"""Places to either side of a change that are looked at again."""

CHANGE = np.dtype(
    [
        ("gain", np.float64),
        ("low", np.int64),
        ("high", np.int64),
        ("shift", np.int64),  # roll the stretch on by so many places, 0 turns all of it round
        ("turned", np.bool_),  # turn the run that is moved
        ("node", np.int64),  # the way of a single stop that is moved
    ]
)
"""What a trip gains when places low to high - 1 are changed, and how they are."""

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]


def improve(
    stops: Stops, nodes: Integers, places: Integers, *, bounds: tuple[Integers, Integers]
) -> None:
    """Make changes that help near some places, and near those, until there are none.

    Parameters
    ----------
    stops : Stops
        Places and rules.
    nodes : ndarray of int
        Trips in a row, each of all stops and home; changed in place.
    places : ndarray of int
        Where to begin to look.
    bounds : (ndarray of int, ndarray of int)
        For each place the first place its stop may move to, and the one after the last.

    Examples
    --------
    >>> from outline2path.path.stops import Stops
    >>> stops = Stops.of([np.array([[x, 0.0, x, 0.0]]) for x in (1, 3, 2, 4)])
    >>> nodes = np.array([1, 2, 3, 4, 0])
    >>> improve(stops, nodes, np.arange(4), bounds=(np.zeros(5, int), np.full(5, 4)))
    >>> stops.trip_length(nodes[:-1])
    8.0
    """
    while len(places):
        view = View.of(stops, nodes, bounds=bounds)
        table = _changes(view, places)
        table = table[table["gain"] > stops.noise_mm]
        table = table[np.argsort(-table["gain"], kind="stable")]
        touched = _made(nodes, table, view.begin)
        places = around(touched, nodes)


def around(places: Integers, nodes: Integers) -> Integers:
    """Return all places near some that are no home."""
    near = np.unique(places[:, None] + np.arange(-AROUND, AROUND))
    near = near[(near >= 0) & (near < len(nodes))]
    return near[nodes[near] > 0]


def _changes(view: View, places: Integers) -> NDArray[np.void]:
    """Return the best change of each kind at each of some places."""
    several = view.stops.ways.shape[1] > 1
    runs = _stop_runs(view, places, 2 if several else 1)
    if len(view.stops.first):
        runs = np.unique(np.vstack([runs, _block_runs(view, places)]), axis=0)
    tables = [_turns(view, places), _moves(view, runs[:, 0], runs[:, 1])]
    return np.concatenate([*tables, _singles(view, places)] if several else tables)


def _stop_runs(view: View, places: Integers, least: int) -> Integers:
    """Return runs of a few stops that begin or end at some places: first, one after the last."""
    sizes = np.arange(least, LONGEST_RUN + 1)
    own = np.repeat(places, len(sizes))
    size = np.tile(sizes, len(places))
    runs = np.column_stack([np.append(own, own - size + 1), np.append(own + size, own + 1)])
    fits = (runs[:, 0] >= view.low[np.tile(own, 2)]) & (runs[:, 1] <= view.high[np.tile(own, 2)])
    return runs[fits]


def _block_runs(view: View, places: Integers) -> Integers:
    """Return runs of a few blocks that begin or end with the blocks of some places."""
    first, end = view.begin[places], view.end[places]
    runs, ahead, behind = [np.column_stack([first, end])], end, first
    for _ in range(1, LONGEST_RUN):
        ahead = np.where(ahead < view.high[places], view.end[np.minimum(ahead, len(view.end) - 1)],
                         ahead)  # fmt: skip
        behind = np.where(behind > view.low[places], view.begin[np.maximum(behind - 1, 0)], behind)
        runs += [np.column_stack([first, ahead]), np.column_stack([behind, end])]
    return np.vstack(runs)


def _singles(view: View, places: Integers) -> NDArray[np.void]:
    """Move each stop beside a near one, in its best way there; or change its way only."""
    trip, stops = view.trip, view.stops
    beside = view.beside(places)
    slots = np.hstack([beside, beside + 1, places[:, None]])
    here = slots == places[:, None]
    ways = stops.ways[stops.owner[trip[places + 1]]]
    from_node = trip[slots]
    to_node = trip[np.where(here, slots + 2, slots + 1)]
    detour = stops.length(from_node[..., None], ways[:, None, :])
    detour += stops.length(ways[:, None, :], to_node[..., None])
    way, least = detour.argmin(axis=2), detour.min(axis=2)
    removed = view.edge[places] + view.edge[places + 1]
    saved = removed - stops.length(trip[places], trip[places + 2])
    gain = np.where(here, removed[:, None], saved[:, None] + view.edge[slots]) - least
    gain[(slots == places[:, None] + 1) | _forbidden(view, slots, places, places + 1)] = -np.inf
    best, each = gain.argmax(axis=1), np.arange(len(places))
    table = _rolls(places, slots[each, best], np.ones(len(places), np.int64))
    table["gain"] = gain[each, best]
    table["node"] = ways[each, way[each, best]]
    return table


def _moves(view: View, run: Integers, end: Integers) -> NDArray[np.void]:
    """Move each run, plain or turned, beside a stop that is near to its first or last one."""
    trip, edge, length = view.trip, view.edge, view.stops.length
    first, last = trip[run + 1][:, None], trip[end][:, None]
    by_first, by_last = view.beside(run), view.beside(end - 1)
    saved = edge[run] + edge[end] - length(trip[run], trip[end + 1])
    plain, turned = np.hstack([by_first + 1, by_last]), np.hstack([by_first, by_last + 1])
    inside = view.one_by_one[end - 1] - view.one_by_one[run]
    inside[view.free_to(blocks=False)[run] < end] = -np.inf
    gain = np.hstack(
        [
            edge[plain] - length(trip[plain], first) - length(last, trip[plain + 1]),
            edge[turned] - length(trip[turned], last) - length(first, trip[turned + 1])
            + inside[:, None],
        ]
    )  # fmt: skip
    slots = np.hstack([plain, turned])
    same = (slots >= run[:, None]) & (slots <= end[:, None])
    gain[same | _forbidden(view, slots, run, end)] = -np.inf
    best, each = gain.argmax(axis=1), np.arange(len(run))
    table = _rolls(run, slots[each, best], end - run)
    table["gain"] = gain[each, best] + saved
    table["turned"] = best >= plain.shape[1]
    return table


def _turns(view: View, places: Integers) -> NDArray[np.void]:
    """Turn a stretch of blocks that begins after, or ends before, each place or its bounds."""
    beside, own = view.beside(places), places[:, None]
    here = np.broadcast_to(own, beside.shape)
    least, most = view.low[own], view.high[own]
    low = np.hstack([here + 1, view.begin[beside], least, view.begin[own]])
    high = np.hstack([view.end[beside], here, view.end[own], most])
    inner = np.minimum(low, len(view.begin) - 1)
    whole = (view.begin[inner] == low) & (view.end[np.maximum(high - 1, 0)] == high)
    fits = whole & (low >= least) & (high <= most) & (view.end[inner] < high)
    low, high = np.where(fits, low, 0), np.where(fits, high, 1)
    length, trip = view.stops.length, view.trip
    gain = view.edge[low] + view.edge[high] + view.by_blocks[high - 1] - view.by_blocks[low]
    gain -= length(trip[low], trip[view.begin[high - 1] + 1])
    gain -= length(trip[view.end[low]], trip[high + 1])
    gain[~fits | (view.free_to(blocks=True)[low] < high)] = -np.inf
    best, each = gain.argmax(axis=1), np.arange(len(places))
    table = np.zeros(len(places), CHANGE)
    table["gain"], table["low"] = gain[each, best], low[each, best]
    table["high"] = high[each, best]
    return table


def _forbidden(view: View, slots: Integers, run: Integers, end: Integers) -> Flags:
    """Tell which slots are out of bounds, or bring a run before or after what it may not."""
    first, last = view.room(run, end)
    beyond: Flags = (slots < first[:, None]) | (slots > last[:, None])
    return beyond


def _rolls(run: Integers, slots: Integers, size: Integers) -> NDArray[np.void]:
    """Return changes that move runs to before the places given by their slots."""
    table = np.zeros(len(run), CHANGE)
    table["low"], table["high"] = np.minimum(slots, run), np.maximum(slots, run + size)
    table["shift"] = np.where(slots <= run, size, -size)
    return table


def _made(nodes: Integers, table: NDArray[np.void], begin: Integers) -> Integers:
    """Make changes in order, each to a stretch no other has touched; tell where to look again."""
    free, touched = np.ones(len(nodes), bool), []
    for _, low, high, shift, turned, node in table.tolist():
        size = abs(shift)
        touched += [low, high, low + size, high - size]
        if not free[max(low - 1, 0) : high + 1].all():
            continue  # looked at again as things are then
        free[low:high] = False
        stretch = nodes[low:high]
        if not shift:
            starts = np.unique(begin[low:high]) - low
            parts = np.split(stretch, starts[1:])
            nodes[low:high] = np.concatenate(parts[::-1])
        else:
            run = stretch[-shift:] if shift > 0 else stretch[:-shift]
            moved = np.array([node]) if node else run[:: -1 if turned else 1].copy()
            rest = stretch[:-shift] if shift > 0 else stretch[-shift:]
            nodes[low:high] = np.concatenate((moved, rest) if shift > 0 else (rest, moved))
    return np.array(touched, dtype=np.int64)
