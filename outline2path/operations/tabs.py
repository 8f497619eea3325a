"""Tabs: where bridges are left standing, so that nothing flies loose.

In: rings, the number and length of tabs wanted, the cutter, the leads. Out: for each ring the
distances along it of the middles of its tabs, mm, and how many found no room.

Rules:

- The path is raised for the tab's length and one cutter diameter (a flat cutter sweeps its
  radius beyond both ends; elementary geometry), centred on the tab, and on bends for up to half a
  diameter more at an end (see `raising`). On straights raised stretches keep at least one more
  diameter of full-depth cutting between them, so they never overlap.
- Tabs are spaced evenly, then each moves up to two fifths of the spacing to where the path turns
  least: off corners and off tight curves.
- A tab is never placed where the cutter would cut it away again or run into it: within a
  diameter of a lead-in, a lead-out, a helix or the start, where another stretch of path runs
  within a diameter (a slot narrower than two cutters), or where the ring itself bends back so
  sharply that half a diameter more is not enough.
- Every piece that would fall out gets tabs: the part, and the slug of a hole or opening when it is
  larger than `LARGE_PIECE_MM2`. A slug gets its share of the number by its length, at least two.
- Whatever else of some size the path cuts off gets two, on any ring beside it, and all of it is
  tied to the clamped stock in the end (see `linking`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.operations.linking import Row, link
from outline2path.operations.raising import crooked
from outline2path.shop.holding import LARGE_PIECE_MM2

if TYPE_CHECKING:
    from outline2path.operations.loops import Loop
    from outline2path.operations.pieces import Pieces
    from outline2path.operations.rings import Ring

__all__ = ["TabPlan", "place_tabs", "tabs_wanted"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
_FINEST, _MOST = 64, 32768
_PHASES = 24
_SHIFT = 0.4
"""Largest share of the spacing a tab moves from its even place."""
_AS_STRAIGHT = 0.5
"""Radians (29 degrees) more turning than the straightest place: still a good place for a tab."""
_FAR_ALONG = 2.0
"""Path within a diameter but more than this many diameters away along the ring is another wall:
half a turn round the smallest circle that wide is 1.57 diameters long."""


@dataclass(frozen=True)
class TabPlan:
    """Tabs of one ring.

    Attributes
    ----------
    middles_mm : tuple of float
        Distances along the ring of the tabs' middles.
    needed : int
        Fewer than this is worth telling: as many as asked for on a part, two on a slug.
    """

    middles_mm: tuple[float, ...]
    needed: int


def tabs_wanted(rings: list[Ring], *, count: int, cutter_mm: float) -> list[int]:
    """Say how many tabs each ring should have, by the rule in the module's head.

    Examples
    --------
    >>> from outline2path.operations.rings import rings_of
    >>> plate = shapely.box(0, 0, 60, 60).difference(shapely.box(9, 9, 29, 29))
    >>> rings = rings_of(shapely.MultiPolygon([plate]), side="outside", direction="climb")
    >>> tabs_wanted(rings, count=4, cutter_mm=3.0)
    [4, 2]
    """
    longest = max((ring.loop.length_mm for ring in rings), default=1.0)
    wanted = []
    for ring in rings:
        loop = ring.loop
        if ring.keeps_inside or count < 2:
            share = count
        else:
            share = min(count, max(2, math.ceil(count * loop.length_mm / longest)))
        if not ring.keeps_inside and _slug_mm2(loop, cutter_mm) < LARGE_PIECE_MM2:
            share = 0
        wanted.append(share)
    return wanted


def _slug_mm2(loop: Loop, cutter_mm: float) -> float:
    """Area left inside a ring after the cutter has gone round it."""
    if abs(loop.area_mm2) < LARGE_PIECE_MM2:
        return 0.0
    return float(loop.polygon.buffer(-cutter_mm / 2).area)


def place_tabs(
    rings: list[Ring],
    wanted: list[int],
    *,
    length_mm: float,
    cutter_mm: float,
    leads: list[BaseGeometry],
    pieces: Pieces | None = None,
    number: int = 2,
    room_mm: float = 0.0,
) -> list[TabPlan]:
    """Place the tabs of all rings.

    Parameters
    ----------
    rings : list of Ring
        All rings cut to full depth: their paths keep each other's tabs away.
    wanted : list of int
        Number of tabs for each ring.
    length_mm : float
        Length of a tab along the wall, mm.
    cutter_mm : float
        Cutting diameter, mm.
    leads : list of geometry
        Everything cut at full depth beside the rings, in mm.
    pieces : Pieces, optional
        What the rings cut the stock into: every large piece is tied to the clamped stock.
    number : int
        By how many tabs.
    room_mm : float
        How much nearer than these rings a roughing pass may come from the far side of a slot.

    Returns
    -------
    list of TabPlan
        One for each ring; fewer middles than wanted where there is no room.

    Examples
    --------
    >>> from outline2path.operations.rings import rings_of
    >>> area = shapely.MultiPolygon([shapely.box(0, 0, 60, 60)])
    >>> rings = rings_of(area, side="outside", direction="climb")
    >>> (plan,) = place_tabs(rings, [4], length_mm=6.0, cutter_mm=3.0,
    ...                      leads=[])
    >>> [15 < s % 60 < 45 for s in plan.middles_mm]  # far from the corners at 0 and 60
    [True, True, True, True]
    """
    if not rings or not (any(wanted) or (pieces is not None and number)):
        return [TabPlan((), 0) for _ in rings]
    rows = _rows(rings, leads, length_mm=length_mm, cutter_mm=cutter_mm, room_mm=room_mm)
    for row, count in zip(rows, wanted, strict=True):
        if count:
            row.middles += _spaced(row.cost, row.loop.length_mm, count, row.apart_mm)
    middles = [row.middles for row in rows]
    if pieces is not None:
        middles = link(pieces, rows, number=number, large_mm2=LARGE_PIECE_MM2)
    return [
        TabPlan(tuple(sorted(some)), count if ring.keeps_inside else min(count, 2))
        for some, ring, count in zip(middles, rings, wanted, strict=True)
    ]


def _rows(
    rings: list[Ring],
    leads: list[BaseGeometry],
    *,
    length_mm: float,
    cutter_mm: float,
    room_mm: float,
) -> list[Row]:
    """Lay out the places along each ring where a tab may stand, with what it costs there."""
    samples = [_samples(ring.loop, cutter_mm) for ring in rings]
    taken = _taken(rings, samples, leads, cutter_mm=cutter_mm, room_mm=room_mm)
    rows = []
    for ring, along, flags in zip(rings, samples, taken, strict=True):
        step = ring.loop.length_mm / len(along)
        bent = crooked(ring.loop.at(along), step_mm=step, length_mm=length_mm, cutter_mm=cutter_mm)
        none = _spread(flags, math.ceil(length_mm / 2 / step)) | bent
        cost = np.where(none, np.inf, _bends(ring.loop, along, (length_mm + cutter_mm) / 2))
        rows.append(Row(ring.loop, along, cost, length_mm + 2 * cutter_mm + 2 * step, []))
    return rows


def _bends(loop: Loop, along: Floats, half_mm: float) -> Floats:
    """Return how much the path turns near each place, in radians, the nearest turns most."""
    halves = [min(half_mm * reach, loop.length_mm / 2) for reach in (1, 2, 4)]
    return sum(
        (w * loop.turning(along, h)[0] for w, h in zip((1.0, 0.1, 0.03), halves, strict=True)),
        np.zeros(len(along)),
    )


def _samples(loop: Loop, cutter_mm: float) -> Floats:
    count = min(max(_FINEST, math.ceil(8 * loop.length_mm / cutter_mm)), _MOST)
    return np.arange(count) * loop.length_mm / count


def _taken(
    rings: list[Ring],
    samples: list[Floats],
    leads: list[BaseGeometry],
    *,
    cutter_mm: float,
    room_mm: float,
) -> list[Flags]:
    """Flag the samples that a lead or another stretch of path passes too near for a tab."""
    counts = [len(s) for s in samples]
    places = np.concatenate([r.loop.at(s) for r, s in zip(rings, samples, strict=True)])
    which = np.repeat(np.arange(len(rings)), counts)
    along = np.concatenate(samples)
    round_mm = np.repeat([ring.loop.length_mm for ring in rings], counts)
    points = shapely.points(places)
    step = float(np.max(round_mm / np.repeat(counts, counts)))
    reach = cutter_mm + room_mm + step
    one, two = shapely.STRtree(points).query(points, predicate="dwithin", distance=reach)
    gap = np.abs(along[one] - along[two])
    gap = np.minimum(gap, round_mm[one] - gap)
    other = (which[one] != which[two]) | (gap > _FAR_ALONG * reach)
    flags = np.zeros(len(along), dtype=bool)
    flags[one[other]] = True
    near = shapely.STRtree(leads).query(points, predicate="dwithin", distance=reach)[0]
    flags[near] = True
    return np.split(flags, np.cumsum(counts)[:-1])


def _spread(flags: Flags, half: int) -> Flags:
    """Flag everything within `half` samples of a flag, round the ring."""
    if 2 * half + 1 >= len(flags):
        return np.full(len(flags), bool(np.any(flags)))
    sums = np.append(0, np.cumsum(np.concatenate((flags[-half:], flags, flags[:half]))))
    if half == 0:
        return flags
    return np.asarray(sums[2 * half + 1 :] > sums[: -2 * half - 1])


def _spaced(cost: Floats, round_mm: float, count: int, apart_mm: float) -> tuple[float, ...]:
    """Choose places at even spacing, each near its place where the cost is least.

    First only places nearly as straight as the best will do, spaced evenly round the ring, or
    failing that evenly over those places; then any free place, likewise; then fewer tabs. The
    most that fit are kept.
    """
    best: tuple[float, ...] = ()
    everywhere = np.arange(len(cost))
    straight = np.where(cost <= np.min(cost) + _AS_STRAIGHT, cost, np.inf)
    for number in range(min(count, int(round_mm / apart_mm)), 0, -1):
        for price in (straight, cost):
            for places in (everywhere, everywhere[np.isfinite(price)]):
                found = _spaced_evenly(price, places, number, round_mm=round_mm, apart_mm=apart_mm)
                best = max(best, found, key=len)
                if len(best) >= number:
                    return best
    return best


def _spaced_evenly(
    cost: Floats, places: NDArray[np.int64], number: int, *, round_mm: float, apart_mm: float
) -> tuple[float, ...]:
    """Space tabs evenly over some of the samples, at the best of several turns of the pattern."""
    if len(places) < number:
        return ()
    pitch, step = len(places) / number, round_mm / len(cost)
    shift = max(0.0, min(_SHIFT * pitch, (pitch - apart_mm / step) / 2))
    window = np.arange(-int(shift), int(shift) + 1)
    phase = np.arange(_PHASES) / _PHASES
    even = np.rint((np.arange(number)[None] + phase[:, None]) * pitch).astype(np.int64)
    choice = places[(even[..., None] + window) % len(places)]
    price = cost[choice] + 0.1 * np.abs(window) / max(int(shift), 1)
    pick = np.argmin(price, axis=-1)[..., None]
    price = np.take_along_axis(price, pick, -1)[..., 0]
    chosen = np.take_along_axis(choice, pick, -1)[..., 0]
    lost = np.sum(np.isinf(price), axis=1)
    total = np.sum(np.where(np.isinf(price), 0.0, price), axis=1)
    best: tuple[float, ...] = ()
    for k in np.lexsort((total, lost)).tolist():
        kept = np.sort(chosen[k][np.isfinite(price[k])]) * step
        best = max(best, _apart(kept.tolist(), round_mm, apart_mm), key=len)
        if len(best) == number:
            break
    return best


def _apart(middles: list[float], round_mm: float, apart_mm: float) -> tuple[float, ...]:
    """Leave out every place too near the one before it, going round."""
    kept: list[float] = []
    for s in middles:
        if not kept or (s - kept[-1] >= apart_mm and kept[0] + round_mm - s >= apart_mm):
            kept.append(s)
    return tuple(kept)
