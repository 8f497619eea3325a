"""Clearing: a walk that cuts everything in an area at one depth, seen from above.

In: the levels of an area (`levels`) and the rings to follow for each. Out: for each connected
piece of the area a Walk: legs, each a plane polyline in mm that begins where the one before ended.

From the inside out (pockets) a ring waits for the rings beside it that lie farther in; from the
outside in (facing) for those that lie farther out. So uncut stock lies on one side all the way.
The walk goes on to a ring that waited for the last one where it can, else to the nearest
ring that waits for nothing. It never lifts: it gets there level, within the smallest piece that
holds both rings, over cleared ground ("link") where there is some, else as a slot ("cut"). Rings
that leave a wall finished it comes to and leaves on an arc out of cleared ground, going a little
over their start, so that no mark stays there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.operations.loops import Loop
from outline2path.operations.ways import split_way, way_within
from outline2path.tolerance import SAME_MM

if TYPE_CHECKING:
    from collections.abc import Callable

    from outline2path.operations.leads import Lead
    from outline2path.operations.levels import Level

    Touch = Callable[[shapely.Polygon, Loop], Lead]

__all__ = ["Leg", "Walk", "hop", "walks_of"]

Floats = NDArray[np.float64]
_BESIDE = 1.05
"""Rings of neighbouring levels run beside each other within this many steps."""

_OFF = 0.25
"""Ways keep this many steps off the edge of what holds them, so as not to rub along walls."""
_FINE = 0.02
"""The roomiest place is sought to this share of a step."""


@dataclass(frozen=True, eq=False)
class Leg:
    """One stretch of a walk.

    Attributes
    ----------
    role : "cut" or "link"
        "link" runs over ground the walk has cleared.
    points : ndarray, shape (n, 2)
        mm.
    beside : bool
        Whether it is once round a ring with cleared ground beside it.
    """

    role: Literal["cut", "link"]
    points: Floats
    beside: bool = False


@dataclass(frozen=True, eq=False)
class Walk:
    """How one connected piece is cleared at one depth.

    Attributes
    ----------
    area : Polygon
        Where the cutter's centre may be, mm.
    heart : ndarray, shape (2,)
        The roomiest place of the piece in which the walk begins, mm.
    first : Loop
        The ring the walk begins with, starting where the walk begins.
    legs : tuple of Leg
        The walk, its first leg once round `first`.
    """

    area: shapely.Polygon
    heart: Floats
    first: Loop
    legs: tuple[Leg, ...]

    @property
    def start(self) -> Floats:
        """Where it begins, shape (2,), mm."""
        return np.asarray(self.legs[0].points[0])

    @property
    def end(self) -> Floats:
        """Where it ends, shape (2,), mm."""
        return np.asarray(self.legs[-1].points[-1])


def hop(
    area: shapely.Polygon,
    start: Floats,
    end: Floats,
    *,
    cleared: Sequence[shapely.Polygon],
    off_mm: float = 0.0,
) -> list[Leg]:
    """Go level from one place to another within an area, told apart by what is cleared.

    Parameters
    ----------
    area : Polygon
        Where the cutter's centre may be, mm.
    start, end : ndarray, shape (2,)
        Places in it, mm.
    cleared : sequence of Polygon
        Where the centre meets no uncut stock; none overlap.
    off_mm : float
        How far to keep off the area's edge where there is room, mm.

    Examples
    --------
    >>> legs = hop(shapely.box(0, 0, 9, 2), np.array([1.0, 1]), np.array([8.0, 1]),
    ...            cleared=[shapely.box(0, 0, 4, 2)])
    >>> [(leg.role, leg.points[-1].tolist()) for leg in legs]
    [('link', [4.0, 1.0]), ('cut', [8.0, 1.0])]
    """
    if np.hypot(*(end - start)) <= SAME_MM:
        return []
    way = way_within(area, start, end, off_mm=off_mm)
    known = shapely.MultiPolygon(list(cleared)) if cleared else None
    return [Leg("link" if inside else "cut", part) for inside, part in split_way(way, known)]


def walks_of(
    levels: Sequence[Level],
    rings: Sequence[Sequence[Loop]],
    *,
    step_mm: float,
    outwards: bool = True,
    touch: Touch | None = None,
) -> list[Walk]:
    """Plan one walk for each connected piece.

    Parameters
    ----------
    levels : sequence of Level
        The family tree.
    rings : sequence of sequence of Loop
        The rings of each level, in the direction of cutting, the outer one first.
    step_mm : float
        Distance between levels, mm.
    outwards : bool
        From the inside out, else from the outside in.
    touch : callable, optional
        Finds the lead to a ring along the edge of an outermost piece, where walls are finished.

    Examples
    --------
    >>> from outline2path.operations.levels import levels_of
    >>> from outline2path.tolerance import Budget
    >>> levels = levels_of(shapely.MultiPolygon([shapely.box(0, 0, 10, 9)]), step_mm=2.0,
    ...                    cover_mm=1.5, budget=Budget())
    >>> rings = [[Loop.of(level.area.exterior.coords)] for level in levels]
    >>> (walk,) = walks_of(levels, rings, step_mm=2.0)
    >>> [(leg.role, round(shapely.LineString(leg.points).length)) for leg in walk.legs]
    [('cut', 6), ('cut', 2), ('cut', 22), ('cut', 2), ('cut', 38)]
    """
    family = _Family(levels, rings, step_mm, outwards=outwards, touch=touch)
    roots = [k for k, level in enumerate(levels) if level.parent < 0]
    return [_Clearing(family, root).walk() for root in roots]


class _Family:
    """All rings, numbered, with the rings each waits for."""

    def __init__(
        self,
        levels: Sequence[Level],
        rings: Sequence[Sequence[Loop]],
        step_mm: float,
        *,
        outwards: bool,
        touch: Touch | None,
    ) -> None:
        self.levels, self.outwards, self.touch = levels, outwards, touch
        self.step_mm, self.off_mm = step_mm, _OFF * step_mm
        self.loops = [loop for mine in rings for loop in mine]
        self.level = np.repeat(np.arange(len(levels)), [len(mine) for mine in rings])
        self.lines = np.array([shapely.LineString(loop.points) for loop in self.loops], object)
        self.waits: list[set[int]] = [set() for _ in self.loops]
        self.frees: list[list[int]] = [[] for _ in self.loops]
        mine = np.split(np.arange(len(self.loops)), np.cumsum([len(r) for r in rings])[:-1])
        for k, level in enumerate(levels):
            inner = [i for child in level.children for i in mine[child].tolist()]
            for a, b in self._beside(inner, mine[k].tolist(), _BESIDE * step_mm):
                later, sooner = (b, a) if outwards else (a, b)
                self.waits[later].add(sooner)
                self.frees[sooner].append(later)
        self.deep = np.zeros(len(levels), dtype=np.intp)
        self.root = np.arange(len(levels))
        for k, level in enumerate(levels):
            if level.parent >= 0:
                self.deep[k] = self.deep[level.parent] + 1
                self.root[k] = self.root[level.parent]

    def _beside(self, inner: list[int], outer: list[int], near_mm: float) -> list[tuple[int, int]]:
        """Return the pairs of an inner and an outer ring that run beside each other."""
        if not inner:
            return []
        a, b = shapely.STRtree(self.lines[outer]).query(
            self.lines[inner], predicate="dwithin", distance=near_mm
        )
        return [(inner[i], outer[k]) for i, k in zip(a.tolist(), b.tolist(), strict=True)]

    def holder(self, one: int, other: int) -> int:
        """Return the smallest piece that holds two levels."""
        while one != other:
            if self.deep[one] >= self.deep[other]:
                one = self.levels[one].parent
            else:
                other = self.levels[other].parent
        return one


class _Clearing:
    """One piece being cleared: where the cutter is, what is done, what waits."""

    def __init__(self, family: _Family, root: int) -> None:
        self.family, self.root = family, root
        mine = np.flatnonzero(family.root[family.level] == root)
        self.waits = {k: set(family.waits[k]) for k in mine.tolist()}
        self.ready = {k for k, waits in self.waits.items() if not waits}
        self.left = np.bincount(family.level[mine], minlength=len(family.levels))
        self.cleared = set[int]()
        self.legs: list[Leg] = []

    def walk(self) -> Walk:
        """Cut ring after ring until none is left."""
        family = self.family
        last = self._first()
        area = family.levels[int(family.level[last])].area
        circle = shapely.maximum_inscribed_circle(area, _FINE * family.step_mm)
        heart = shapely.get_coordinates(circle)[0]
        loop = family.loops[last]
        loop = _from_nearest(loop, heart) if family.outwards else _from_longest(loop)
        self.legs.append(Leg("cut", loop.points))
        fresh = self._done(last)
        while self.ready:
            last = self._round(last, self._next(fresh))
            fresh = self._done(last)
        return Walk(family.levels[self.root].area, heart, loop, tuple(self.legs))

    def _first(self) -> int:
        """Begin with the innermost ring that lies deepest, or with the outermost one."""
        family = self.family
        if self.family.outwards:
            return max(
                self.ready,
                key=lambda k: (family.deep[family.level[k]], abs(family.loops[k].area_mm2)),
            )
        return min(self.ready, key=lambda k: (family.deep[family.level[k]], k))

    def _next(self, fresh: list[int]) -> int:
        """Choose the nearest of the rings just freed, or else of all that wait for nothing."""
        some = fresh or sorted(self.ready)
        far = shapely.distance(self.family.lines[some], shapely.Point(self.legs[-1].points[-1]))
        return some[int(np.argmin(far))]

    def _round(self, last: int, ring: int) -> int:
        """Go to a ring and once round it."""
        family = self.family
        at, loop = self.legs[-1].points[-1], family.loops[ring]
        level = int(family.level[ring])
        lead = None
        if family.touch is not None and level == self.root and family.waits[ring]:
            lead = family.touch(family.levels[level].area, loop)
        start = float(loop.nearest(at[None])[0]) if lead is None else lead.start_mm
        points = loop.piece(start, start + loop.length_mm)
        points[-1] = points[0]
        holder = family.holder(int(family.level[last]), level)
        self.legs += hop(
            family.levels[holder].area,
            at,
            points[0] if lead is None else lead.into[0],
            cleared=self._cleared_in(holder),
            off_mm=family.off_mm,
        )
        once = Leg("cut", points, beside=bool(family.waits[ring]))
        if lead is None or len(lead.into) < 2:
            self.legs.append(once)
        else:
            over = loop.piece(start, start + lead.overlap_mm)
            self.legs += [Leg("cut", lead.into), once]
            self.legs.append(Leg("cut", np.vstack((over, lead.out[1:]))))
        return ring

    def _done(self, ring: int) -> list[int]:
        """Note a ring as cut; return those that waited for it alone."""
        family = self.family
        self.ready.discard(ring)
        del self.waits[ring]
        fresh = []
        for k in family.frees[ring]:
            self.waits[k].discard(ring)
            if not self.waits[k]:
                fresh.append(k)
        self.ready.update(fresh)
        level = int(family.level[ring])
        self.left[level] -= 1
        while not self.left[level]:
            children = family.levels[level].children
            if any(k not in self.cleared for k in children):
                break
            self.cleared.add(level)
            level = family.levels[level].parent
            if level < 0:
                break
        return fresh

    def _cleared_in(self, holder: int) -> list[shapely.Polygon]:
        """Return the largest cleared pieces within a piece."""
        if not self.family.outwards:
            return []
        found, waiting = [], [holder]
        while waiting:
            k = waiting.pop()
            if k in self.cleared:
                found.append(self.family.levels[k].area)
            else:
                waiting += self.family.levels[k].children
        return found


def _from_nearest(loop: Loop, place: Floats) -> Loop:
    """Begin a loop where it comes nearest to a place."""
    start = float(loop.nearest(place[None])[0])
    return Loop.of(loop.piece(start, start + loop.length_mm))


def _from_longest(loop: Loop) -> Loop:
    """Begin a loop in the middle of its longest straight stretch."""
    edges = np.diff(loop.marks)
    longest = int(np.argmax(edges))
    start = float(loop.marks[longest] + edges[longest] / 2)
    return Loop.of(loop.piece(start, start + loop.length_mm))
