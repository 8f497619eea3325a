"""Clearing: one level's walk that cuts everything in an area, seen from above.

In: the levels of an area (`levels`), the rings to follow for each. Out: for each connected piece
of the area a Walk: legs, each a plane polyline in mm that begins where the one before ended.

From the inside out: the pieces in a piece are cleared before the rings round it, so that uncut
stock lies on the same side all the way, and the cutter enters once. From the innermost ring of
one branch to the next the walk goes on by way of the piece that holds both, level, instead of
lifting: over cleared ground ("link") where there is some, else as a slot ("cut").

From the outside in (facing): rings before the pieces in them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.operations.levels import Level
from outline2path.operations.loops import Loop
from outline2path.operations.ways import split_way, way_within
from outline2path.tolerance import SAME_MM

__all__ = ["Leg", "Walk", "hop", "walk_inwards", "walk_outwards"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Leg:
    """One stretch of a walk.

    Attributes
    ----------
    role : "cut" or "link"
        "link" runs over ground the walk has cleared.
    points : ndarray, shape (n, 2)
        mm.
    ring : bool
        Whether it is once round a ring with cleared ground beside it.
    """

    role: Literal["cut", "link"]
    points: Floats
    ring: bool = False


@dataclass(frozen=True, eq=False)
class Walk:
    """How one connected piece is cleared at one depth.

    Attributes
    ----------
    area : Polygon
        Where the cutter's centre may be, mm.
    heart : Polygon
        The innermost piece, in which the walk begins.
    first : Loop
        The ring the walk begins with, starting where the walk begins.
    legs : tuple of Leg
        The walk, its first leg once round `first`.
    """

    area: shapely.Polygon
    heart: shapely.Polygon
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


@dataclass(eq=False)
class _Frame:
    """A piece being cleared: the pieces in it still to do, and those done."""

    level: int
    todo: list[int]
    done: list[shapely.Polygon] = field(default_factory=list)


def hop(
    area: shapely.Polygon, start: Floats, end: Floats, *, cleared: Sequence[shapely.Polygon]
) -> list[Leg]:
    """Go level from one place to another within an area, told apart by what is cleared.

    Parameters
    ----------
    area : Polygon
        Where the cutter's centre may be, mm.
    start, end : ndarray, shape (2,)
        Places in it, mm.
    cleared : sequence of Polygon
        Where the centre meets no uncut stock.

    Examples
    --------
    >>> legs = hop(shapely.box(0, 0, 9, 2), np.array([1.0, 1]), np.array([8.0, 1]),
    ...            cleared=[shapely.box(0, 0, 4, 2)])
    >>> [(leg.role, leg.points[-1].tolist()) for leg in legs]
    [('link', [4.0, 1.0]), ('cut', [8.0, 1.0])]
    """
    if np.hypot(*(end - start)) <= SAME_MM:
        return []
    way = way_within(area, start, end)
    known = shapely.MultiPolygon(list(cleared)) if cleared else None
    return [Leg("link" if inside else "cut", part) for inside, part in split_way(way, known)]


def walk_outwards(levels: Sequence[Level], rings: Sequence[Sequence[Loop]], root: int) -> Walk:
    """Clear one piece from the inside out.

    Parameters
    ----------
    levels : sequence of Level
        The family tree.
    rings : sequence of sequence of Loop
        The rings of each level, in the direction of cutting.
    root : int
        Index of the piece to clear.

    Examples
    --------
    >>> from outline2path.operations.levels import levels_of
    >>> from outline2path.tolerance import Budget
    >>> levels = levels_of(shapely.MultiPolygon([shapely.box(0, 0, 10, 9)]), step_mm=2.0,
    ...                    cover_mm=1.5, budget=Budget())
    >>> rings = [[Loop.of(level.area.exterior.coords)] for level in levels]
    >>> walk = walk_outwards(levels, rings, 0)
    >>> [(leg.role, round(shapely.LineString(leg.points).length)) for leg in walk.legs]
    [('cut', 6), ('cut', 2), ('cut', 22), ('cut', 2), ('cut', 38)]
    """
    stack = [_Frame(root, list(levels[root].children))]
    legs: list[Leg] = []
    heart, first, at = levels[root].area, None, None
    while stack:
        frame = stack[-1]
        if frame.todo:
            child = _nearest(levels, frame.todo, at)
            frame.todo.remove(child)
            stack.append(_Frame(child, list(levels[child].children)))
            continue
        level = levels[frame.level]
        todo = list(rings[frame.level])
        if at is None:
            heart = level.area
            first = _from_heart(todo, heart)
            legs.append(Leg("cut", first.points))
            at = first.points[0]
        else:
            holder = next(f for f in reversed(stack) if f.done)
            at = _round(todo, levels[holder.level].area, at, holder.done, legs, bool(frame.done))
        while todo:
            at = _round(todo, level.area, at, frame.done, legs, bool(frame.done))
        stack.pop()
        if stack:
            stack[-1].done.append(level.area)
    if first is None:
        raise ValueError(f"level {root} has no ring")
    return Walk(levels[root].area, heart, first, tuple(legs))


def walk_inwards(levels: Sequence[Level], rings: Sequence[Sequence[Loop]], root: int) -> Walk:
    """Clear one piece from the outside in, each ring before the pieces inside it.

    Parameters are those of `walk_outwards`.
    """
    first = rings[root][0]
    legs, at, waiting = [Leg("cut", first.points)], first.points[0], [root]
    todo = list(rings[root][1:])
    while waiting:
        here = waiting.pop()
        parent = levels[here].parent
        around = levels[here if parent < 0 or here == root else parent].area
        while todo:
            at = _round(todo, around, at, [], legs, here != root)
        children = list(levels[here].children)
        while children:  # the nearest is taken first, so it is put on the pile last
            far = max(children, key=lambda k: levels[k].area.distance(shapely.Point(at)))
            children.remove(far)
            waiting.append(far)
        todo = list(rings[waiting[-1]]) if waiting else []
    return Walk(levels[root].area, levels[root].area, first, tuple(legs))


def _round(
    todo: list[Loop],
    area: shapely.Polygon,
    at: Floats,
    cleared: Sequence[shapely.Polygon],
    legs: list[Leg],
    beside: bool,
) -> Floats:
    """Go to the nearest of the rings and once round it; return where that ends."""
    spot = shapely.Point(at)
    lines = [shapely.LineString(loop.points) for loop in todo]
    k = int(np.argmin(shapely.distance(np.array(lines, dtype=object), spot)))
    loop = todo.pop(k)
    start = float(shapely.line_locate_point(lines[k], spot))
    points = loop.piece(start, start + loop.length_mm)
    points[-1] = points[0]
    legs += hop(area, at, points[0], cleared=cleared)
    legs.append(Leg("cut", points, ring=beside))
    return np.asarray(points[0])


def _nearest(levels: Sequence[Level], children: list[int], at: Floats | None) -> int:
    """Choose the piece to clear next: the largest at first, then the one nearest by."""
    if at is None:
        return max(children, key=lambda k: levels[k].area.area)
    spot = shapely.Point(at)
    return min(children, key=lambda k: levels[k].area.distance(spot))


def _from_heart(todo: list[Loop], heart: shapely.Polygon) -> Loop:
    """Take the outer ring of the innermost piece, begun on its straightest long stretch."""
    loop = todo.pop(0)
    edges = np.diff(loop.marks)
    longest = int(np.argmax(edges))
    start = float(loop.marks[longest] + edges[longest] / 2)
    return Loop.of(loop.piece(start, start + loop.length_mm))
