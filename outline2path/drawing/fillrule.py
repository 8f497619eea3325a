"""Fill rules: closed rings, as drawn -> the area they fill, as valid polygons.

In: rings of shapes in any unit, with crossings, overlaps, spikes and doubled edges as they
come; for each shape the rule nonzero or evenodd. Out: a MultiPolygon each, the exact set of points
whose winding number is nonzero (odd). Rings that neither touch nor cross are nested by
containment, which is fast; all others are cut into faces. Definitions: SVG 2 section 13.4
(from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.drawing.faces import Crossed, crossed_area
from outline2path.drawing.loops import Loops, rings_table

__all__ = ["EMPTY", "filled_area", "filled_areas", "sound_area"]

EMPTY = shapely.MultiPolygon()
"""No area."""
_MANY = 100
"""Rings from which a tree finds those that meet faster than looking at every pair."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Objects = NDArray[Any]


def filled_area(rings: Sequence[Floats], rule: str) -> shapely.MultiPolygon:
    """Return the area that rings fill.

    Parameters
    ----------
    rings : sequence of ndarray, shape (n, 2)
        Closed rings; the first point need not be repeated.
    rule : "nonzero" or "evenodd"

    Examples
    --------
    Two nested squares of 10 and 4 in the same direction (SVG 2 section 13.4):

    >>> big = np.array([[0, 0], [10, 0], [10, 10], [0, 10.0]])
    >>> small = np.array([[3, 3], [7, 3], [7, 7], [3, 7.0]])
    >>> filled_area([big, small], "nonzero").area, filled_area([big, small], "evenodd").area
    (100.0, 84.0)
    """
    return filled_areas(rings_table(rings), [rule])[0][0]


def sound_area(rings: Sequence[Floats], rule: str) -> shapely.MultiPolygon | None:
    """Return the filled area of rings that neither cross nor touch; None for any others.

    Examples
    --------
    >>> sound_area([np.array([[0, 0], [2, 0], [2, 2.0]])], "nonzero").area
    2.0
    """
    loops = rings_table(rings)
    if not len(loops):
        return EMPTY
    parts = _nested(loops, np.arange(len(loops)), rule) if loops.sound.all() else None
    return None if parts is None else shapely.orient_polygons(shapely.multipolygons(parts))


def filled_areas(
    loops: Loops, rules: Sequence[str]
) -> tuple[list[shapely.MultiPolygon], dict[int, Crossed]]:
    """Return the area that the rings of each figure fill.

    Parameters
    ----------
    loops : Loops
        Rings of all figures, those of one figure together.
    rules : sequence of "nonzero" or "evenodd"
        The rule of each figure.

    Returns
    -------
    areas : list of MultiPolygon
    crossed : dict of int to Crossed
        Figures whose rings cross, touch or repeat one another or themselves.

    Examples
    --------
    >>> bow = np.array([[0, 0], [2, 2], [2, 0], [0, 2.0]])
    >>> areas, crossed = filled_areas(rings_table([bow]), ["nonzero"])
    >>> areas[0].area, list(crossed)
    (2.0, [0])
    """
    areas = np.full(len(rules), EMPTY, dtype=object)
    crossed: dict[int, Crossed] = {}
    parts: list[Objects] = []
    homes: list[int] = []
    firsts = np.searchsorted(loops.owner, np.arange(len(rules) + 1)).tolist()
    sound = loops.sound.tolist()
    for k, rule in enumerate(rules):
        first, last = firsts[k], firsts[k + 1]
        if last == first:
            continue
        held = None
        if last - first == 1 and sound[first]:
            held = loops.polygons[first:last]
        elif all(sound[first:last]):
            held = _nested(loops, np.arange(first, last), rule)
        if held is None:
            crossed[k] = crossed_area([loops.ring(j) for j in range(first, last)], rule)
            areas[k] = crossed[k].area
        elif len(held):
            parts.append(held)
            homes.append(k)
    if parts:
        index = np.arange(len(parts)).repeat([len(p) for p in parts])
        held = shapely.orient_polygons(np.concatenate(parts))
        areas[homes] = shapely.multipolygons(held, indices=index)
    return areas.tolist(), crossed


def _nested(loops: Loops, which: Ints, rule: str) -> Objects | None:
    """Polygons of rings that neither touch nor cross one another; None where they do."""
    polygons, signs = loops.polygons[which], np.sign(loops.area[which])
    if len(which) == 1:
        return polygons
    first, second = _meeting(loops.low[which], loops.high[which], polygons)
    size = np.abs(loops.area[which])
    smaller = size[first] < size[second]
    inner, outer = np.where(smaller, first, second), np.where(smaller, second, first)
    within = np.zeros(len(inner), dtype=bool)
    if len(inner):
        shapely.prepare(polygons[outer])
        within = shapely.contains_properly(polygons[outer], polygons[inner])
        beside = ~within
        if (
            beside.any()
            and shapely.intersects(polygons[outer[beside]], polygons[inner[beside]]).any()
        ):
            return None
    inner, outer = inner[within], outer[within]
    if not len(inner):
        return polygons
    depth = np.bincount(inner, minlength=len(which))
    around = np.bincount(inner, weights=signs[outer], minlength=len(which))
    if rule == "evenodd":
        shells, holes = depth % 2 == 0, depth % 2 == 1
    else:
        inside, outside = around + signs != 0, around != 0
        shells, holes = inside & ~outside, outside & ~inside
    return _assembled(polygons, inner, outer, depth, shells, holes)


def _meeting(low: Floats, high: Floats, polygons: Objects) -> tuple[Ints, Ints]:
    """Pairs of rings whose boxes meet."""
    if len(low) <= _MANY:
        meet = (low[:, None] <= high).all(axis=2)
        first, second = np.nonzero(np.triu(meet & meet.T, 1))
        return first, second
    first, second = shapely.STRtree(polygons).query(polygons)
    once = first < second
    return first[once], second[once]


def _assembled(
    polygons: Objects,
    inner: Ints,
    outer: Ints,
    depth: Ints,
    shells: NDArray[np.bool_],
    holes: NDArray[np.bool_],
) -> Objects:
    """Give each hole to the deepest shell around it."""
    pair = holes[inner] & shells[outer]
    if not pair.any():
        return polygons[shells]
    rings = shapely.get_exterior_ring(polygons)
    hole, shell = inner[pair], outer[pair]
    order = np.lexsort((depth[shell], hole))
    hole, shell = hole[order], shell[order]
    last = np.append(hole[1:] != hole[:-1], True)
    home: dict[int, list[int]] = {}
    for h, s in zip(hole[last].tolist(), shell[last].tolist(), strict=True):
        home.setdefault(s, []).append(h)
    built = polygons.copy()
    for s, held in home.items():
        built[s] = shapely.polygons(rings[s], holes=rings[held])
    return built[shells]
