"""Specks: what rings far apart would leave uncut between them, and the detours that cut it.

In: the levels of an area, the rings that go round them, the stepover and how far from a ring
everything is surely cut, mm. Out: the same rings with detours put in. At stepovers up to half the
cutter's diameter there is nothing to do.

Between a piece and the pieces in it, what no ring cuts is the piece shrunk by the cutter's radius,
less the inner pieces grown by it: dots in sharp corners and strips along ridges. A detour leaves
the nearest ring, goes straight into the speck as far as needed, and comes back. Where that does
not cut all of it, the detour goes round the speck's edge: no point of a speck is farther from its
edge than the stepover less the cutter's radius, so that cuts everything.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.operations.loops import Loop
from outline2path.operations.offset import offset
from outline2path.operations.ways import way_within

if TYPE_CHECKING:
    from outline2path.operations.levels import Level
    from outline2path.tolerance import Budget

__all__ = ["with_detours"]

Floats = NDArray[np.float64]
_REACH = (0.98, 0.7, 0.35, 0.0)
"""How much of the cutter's reach a straight detour may leave between its end and the far side."""


def with_detours(
    levels: Sequence[Level],
    rings: Sequence[Sequence[Loop]],
    *,
    step_mm: float,
    cover_mm: float,
    fine_mm: float,
    budget: Budget,
) -> list[list[Loop]]:
    """Put detours into the rings so that they cut everything.

    Parameters
    ----------
    levels : sequence of Level
        The family tree.
    rings : sequence of sequence of Loop
        The rings of each level.
    step_mm, cover_mm : float
        Distance between levels; how far from a ring everything is surely cut; mm.
    fine_mm : float
        Specks less than twice as wide are none, mm.
    budget : Budget
        How exactly.

    Examples
    --------
    >>> from outline2path.operations.levels import levels_of
    >>> from outline2path.tolerance import Budget
    >>> area = shapely.MultiPolygon([shapely.box(0, 0, 10, 10)])
    >>> kit = {"step_mm": 3.9, "cover_mm": 1.95, "budget": Budget()}
    >>> levels = levels_of(area, **kit)
    >>> rings = [[Loop.of(level.area.exterior.coords)] for level in levels]
    >>> found = with_detours(levels, rings, fine_mm=0.01, **kit)
    >>> [[round(loop.length_mm, 1) for loop in loops] for loops in found]  # 40, and 8.8 + 4 x 1.7
    [[40.0], [15.5]]
    """
    found = [list(mine) for mine in rings]
    if step_mm <= cover_mm:
        return found
    detours: dict[tuple[int, int], list[tuple[float, Floats]]] = {}
    for k, speck in _specks(levels, cover_mm, fine_mm, budget):
        near = [(m, i) for m in (k, *levels[k].children) for i in range(len(rings[m]))]
        lines = np.array([shapely.LineString(rings[m][i].points) for m, i in near], object)
        best = int(np.argmin(shapely.distance(lines, speck)))
        for path in _paths(speck, lines[best], levels[k].area, cover_mm):
            along = float(shapely.line_locate_point(lines[best], shapely.Point(path[0])))
            detours.setdefault(near[best], []).append((along, path))
    for (m, i), some in detours.items():
        found[m][i] = _inserted(found[m][i], some)
    return found


def _specks(
    levels: Sequence[Level], cover_mm: float, fine_mm: float, budget: Budget
) -> list[tuple[int, shapely.Polygon]]:
    """Return each speck with the level between whose ring and whose children it lies."""
    generation, found = [k for k, level in enumerate(levels) if level.parent < 0], []
    while generation:
        areas = [levels[k].area for k in generation]
        after = [m for k in generation for m in levels[k].children]
        left = offset(shapely.MultiPolygon(areas), -cover_mm, budget=budget)
        inner = shapely.MultiPolygon([levels[m].area for m in after])
        left = left.difference(offset(inner, cover_mm, budget=budget))
        left = left.buffer(-fine_mm).buffer(fine_mm)  # slivers that the reserve covers
        specks = [part for part in shapely.get_parts(left) if part.area > 0]
        if specks:
            spots = shapely.point_on_surface(np.array(specks, object))
            which, owner = shapely.STRtree(areas).query(spots, predicate="within")
            pairs = zip(which.tolist(), owner.tolist(), strict=True)
            found += [(generation[k], specks[i]) for i, k in pairs]
        generation = after
    return found


def _paths(
    speck: shapely.Polygon, line: shapely.LineString, area: shapely.Polygon, cover_mm: float
) -> list[Floats]:
    """Return detours from a ring that cut a speck: one straight in and out, else round it."""
    base = shapely.get_coordinates(shapely.shortest_line(line, speck))[0]
    corners = shapely.get_coordinates(speck)
    arms = corners - base
    reach = np.hypot(arms[:, 0], arms[:, 1])
    far = int(np.argmax(reach))
    for share in _REACH:
        length = reach[far] - share * cover_mm
        if length <= 0:
            continue
        tip = base + arms[far] * length / reach[far]
        spoke = shapely.LineString((base, tip))
        if np.max(shapely.distance(spoke, shapely.points(corners))) <= cover_mm:
            way = way_within(area, base, tip)
            if len(way) == 2:
                return [np.vstack((way, way[:1]))]
            break
    return [_round(ring, line, area) for ring in shapely.get_rings(speck)]


def _round(ring: shapely.LinearRing, line: shapely.LineString, area: shapely.Polygon) -> Floats:
    """Go from a ring to a speck's edge, once round it and back."""
    edge = Loop.of(shapely.get_coordinates(ring))
    link = shapely.get_coordinates(shapely.shortest_line(line, ring))
    start = float(edge.nearest(link[1:])[0])
    way = way_within(area, link[0], link[1])
    return np.vstack((way[:-1], edge.piece(start, start + edge.length_mm), way[:-1][::-1]))


def _inserted(loop: Loop, some: list[tuple[float, Floats]]) -> Loop:
    """Put detours into a ring at their distances along it."""
    parts, here = [], 0.0
    for along, path in sorted(some, key=lambda pair: pair[0]):
        if along > here:
            parts.append(loop.piece(here, along))
        parts.append(path)
        here = along
    if here < loop.length_mm:
        parts.append(loop.piece(here, loop.length_mm))
    points = np.vstack(parts)
    points[-1] = points[0]
    return Loop.of(points)
