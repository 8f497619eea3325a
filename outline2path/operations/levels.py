"""Levels: an area shrunk again and again by the stepover, as a family tree.

In: the area the cutter's centre may be in, the stepover in mm, the budget. Out: one Level for
each connected piece of each shrunk area, parents before children. The edges of the levels are
the rings of contour-parallel clearing: every point of a piece that is in none of its children
lies within a stepover of the piece's edge.

A piece so small that the rings round it cut all of it is left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from outline2path.errors import SettingError
from outline2path.operations.offset import offset

if TYPE_CHECKING:
    from outline2path.tolerance import Budget

__all__ = ["MOST_PIECES", "Level", "levels_of"]

MOST_PIECES = 20_000
"""More rings than this take minutes to plan and days to cut."""
_FINE = 0.02
"""Radii of small pieces are measured to this share of what is asked of them."""


@dataclass(frozen=True, eq=False)
class Level:
    """One connected piece of a shrunk area.

    Attributes
    ----------
    area : Polygon
        Where the cutter's centre may be, mm.
    parent : int
        Index of the piece it lies in, -1 for a piece of the area itself.
    children : tuple of int
        Indices of the pieces in it.
    """

    area: shapely.Polygon
    parent: int
    children: tuple[int, ...] = ()


def levels_of(
    area: shapely.MultiPolygon, *, step_mm: float, cover_mm: float, budget: Budget
) -> list[Level]:
    """Shrink an area until nothing is left.

    Parameters
    ----------
    area : MultiPolygon
        Where the cutter's centre may be, mm.
    step_mm : float
        How far each level shrinks, mm.
    cover_mm : float
        How far from a ring everything is surely cut, mm; at most the cutter's radius.
    budget : Budget
        How exactly.

    Raises
    ------
    SettingError
        When there would be more pieces than `MOST_PIECES`.

    Examples
    --------
    >>> from outline2path.tolerance import Budget
    >>> found = levels_of(shapely.MultiPolygon([shapely.box(0, 0, 10, 9)]), step_mm=2.0,
    ...                   cover_mm=1.5, budget=Budget())
    >>> [(level.parent, level.children, round(level.area.area)) for level in found]
    [(-1, (1,), 90), (0, (2,), 30), (1, (), 2)]
    """
    areas: list[shapely.Polygon] = []
    parents: list[int] = []
    pieces, owners = list(area.geoms), [-1] * len(area.geoms)
    while pieces:
        first = len(areas)
        if first > MOST_PIECES:
            raise SettingError(
                f"rings {step_mm:g} mm apart would be more than {MOST_PIECES}",
                value=step_mm,
                limit=MOST_PIECES,
                remedy="use a wider stepover or a larger cutter",
            )
        areas += pieces
        parents += owners
        smaller = offset(shapely.MultiPolygon(pieces), -step_mm, budget=budget)
        kept = list(smaller.geoms)
        place = np.full(len(kept), -1)
        if kept:
            spots = shapely.points([piece.exterior.coords[0] for piece in kept])
            inner, outer = shapely.STRtree(pieces).query(spots, predicate="intersects")
            place[inner] = outer
        pieces = [piece for piece, at in zip(kept, place, strict=True) if at >= 0]
        owners = [first + int(at) for at in place if at >= 0]
    return _kept(areas, parents, cover_mm - step_mm)


def _kept(areas: list[shapely.Polygon], parents: list[int], covered_mm: float) -> list[Level]:
    """Drop childless pieces that the ring round them cuts, and number the rest."""
    with_children = set(parents)
    drop = {
        k
        for k, area in enumerate(areas)
        if parents[k] >= 0 and k not in with_children and _radius_within(area, covered_mm)
    }
    order = [k for k in range(len(areas)) if k not in drop]
    number = {k: i for i, k in enumerate(order)} | {-1: -1}
    children: list[list[int]] = [[] for _ in order]
    for k in order:
        if parents[k] >= 0:
            children[number[parents[k]]].append(number[k])
    return [
        Level(areas[k], number[parents[k]], tuple(mine))
        for k, mine in zip(order, children, strict=True)
    ]


def _radius_within(area: shapely.Polygon, limit_mm: float) -> bool:
    """Tell whether no disc larger than the limit fits in an area."""
    if limit_mm <= 0 or area.area > limit_mm * area.length:  # area <= radius x edge length
        return False
    circle = shapely.maximum_inscribed_circle(area, _FINE * limit_mm)
    return float(shapely.length(circle)) <= (1 - _FINE) * limit_mm
