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
    parts = _nested(loops, slice(None), rule) if all(loops.sound) else None
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
    areas: list[shapely.MultiPolygon] = [EMPTY] * len(rules)
    crossed: dict[int, Crossed] = {}
    parts: list[Objects] = []
    homes: list[int] = []
    counts = np.bincount(loops.owner, minlength=len(rules)).tolist()
    last = 0
    for k, rule in enumerate(rules):
        first, last = last, last + counts[k]
        if last == first:
            continue
        held = _nested(loops, slice(first, last), rule) if all(loops.sound[first:last]) else None
        if held is None:
            crossed[k] = crossed_area([loops.ring(j) for j in range(first, last)], rule)
            areas[k] = crossed[k].area
        elif len(held):
            parts.append(held)
            homes.append(k)
    for k, area in zip(homes, _areas(parts), strict=True):
        areas[k] = area
    return areas, crossed


def _areas(parts: list[Objects]) -> list[shapely.MultiPolygon]:
    """One area of each group of polygons, shells counter-clockwise."""
    if len(parts) <= 1:
        return [shapely.multipolygons(shapely.orient_polygons(held)) for held in parts]
    index = np.arange(len(parts)).repeat([len(p) for p in parts])
    held = shapely.orient_polygons(np.concatenate(parts))
    areas: list[shapely.MultiPolygon] = shapely.multipolygons(held, indices=index).tolist()
    return areas


def _nested(loops: Loops, which: slice, rule: str) -> Objects | None:
    """Polygons of rings that neither touch nor cross one another; None where they do."""
    polygons = loops.polygons[which]
    if len(polygons) == 1:
        return polygons
    inner, outer = _meeting(polygons)
    if len(inner):
        within = _within(polygons, inner, outer)
        if within is None:
            return None
        inner, outer = inner[within], outer[within]
    if not len(inner):
        return polygons
    depth, around = [0] * len(polygons), [0] * len(polygons)
    pairs = list(zip(inner.tolist(), outer.tolist(), strict=True))
    signs = np.where(shapely.is_ccw(loops.rings[which]), 1, -1).tolist()
    for i, o in pairs:
        depth[i] += 1
        around[i] += 1 if rule == "evenodd" else signs[o]
    if rule == "evenodd":
        kinds = [1 if n % 2 == 0 else -1 for n in depth]
    else:
        kinds = [(n + s != 0) - (n != 0) for n, s in zip(around, signs, strict=True)]
    return _assembled(polygons, loops.rings[which], pairs, depth, kinds)


def _meeting(polygons: Objects) -> tuple[Ints, Ints]:
    """Pairs of rings whose boxes meet, the smaller first."""
    if len(polygons) <= _MANY:
        boxes = shapely.bounds(polygons)
        meet = (boxes[:, None, :2] <= boxes[:, 2:]).all(axis=2)
        first, second = np.nonzero(np.triu(meet & meet.T, 1))
    else:
        first, second = shapely.STRtree(polygons).query(polygons)
        once = first < second
        first, second = first[once], second[once]
    if not len(first):
        return first, second
    size = shapely.area(polygons)
    smaller = size[first] < size[second]
    return np.where(smaller, first, second), np.where(smaller, second, first)


def _within(polygons: Objects, inner: Ints, outer: Ints) -> NDArray[np.bool_] | None:
    """Whether rings lie in others without touching them; None where any meet."""
    outside, inside = polygons[outer], polygons[inner]
    shapely.prepare(outside)
    within: NDArray[np.bool_] = shapely.contains_properly(outside, inside)
    if within.all():
        return within
    beside = ~within
    return None if shapely.intersects(outside[beside], inside[beside]).any() else within


def _assembled(
    polygons: Objects,
    rings: Objects,
    pairs: list[tuple[int, int]],
    depth: list[int],
    kinds: list[int],
) -> Objects:
    """Give each hole to the deepest shell around it; `kinds` is 1 for shells, -1 for holes."""
    deepest: dict[int, int] = {}
    for hole, shell in pairs:
        if kinds[hole] < 0 < kinds[shell]:
            known = deepest.get(hole)
            if known is None or depth[shell] > depth[known]:
                deepest[hole] = shell
    home: dict[int, list[int]] = {}
    for hole, shell in deepest.items():
        home.setdefault(shell, []).append(hole)
    built = polygons.copy()
    for shell, holes in home.items():
        built[shell] = shapely.polygons(rings[shell], holes=rings[holes])
    return built[np.array(kinds) > 0]
