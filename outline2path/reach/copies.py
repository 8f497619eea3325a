"""Copies: equal parts that lie far enough apart are looked at once.

In: a region in mm and how far apart parts must lie to be none of each other's business. Out: what
differs, as patterns, each with the places it lies at. What is found in a pattern is then moved to
each of its places. A pattern is one polygon, or several that lie near one another.

Two parts are copies when their corners agree to within a hair (SAME_MM) after a shift. Corners
that fall on two sides of a rounding step are taken for different: that costs time, and nothing
else. A look at something has a cost of its own, so parts that are few and plain are all looked at
together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.tolerance import SAME_MM

__all__ = ["Pattern", "gap_between_mm", "once_each", "patterns"]

Floats = NDArray[np.float64]

_ASIDE = 0.317
"""Of a rounding step: drawn numbers are round, and should fall well inside their steps."""
WORTH = 1000
"""Corners that looking at copies once must save."""


@dataclass(frozen=True)
class Pattern:
    """A part, or several near one another; equal to every copy of itself.

    Examples
    --------
    >>> tag = shapely.box(0, 0, 4, 2)
    >>> one, other = (Pattern.of(shapely.MultiPolygon([shapely.box(x, 0, x + 4, 2)]))
    ...               for x in (0.1, 8.3))
    >>> one == other, one.low_mm, other.low_mm
    (True, (0.1, 0.0), (8.3, 0.0))
    """

    key: bytes
    low_mm: tuple[float, float]
    region: shapely.MultiPolygon

    @classmethod
    def of(cls, region: shapely.MultiPolygon) -> Pattern:
        """Take a region in mm; its lower left corner says where it lies."""
        whole = shapely.normalize(region)
        points, ring = shapely.get_coordinates(
            shapely.get_rings(shapely.get_parts(whole)), return_index=True
        )
        low = points.min(axis=0)
        steps = np.floor((points - low) / SAME_MM + _ASIDE).astype(np.int64)
        holes = shapely.get_num_interior_rings(shapely.get_parts(whole))
        key = steps.tobytes() + np.bincount(ring).tobytes() + holes.tobytes()
        return cls(key, (float(low[0]), float(low[1])), region)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Pattern) and self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)

    def shift_from(self, low_mm: tuple[float, float]) -> tuple[float, float]:
        """How far this copy lies from the one at `low_mm`, in mm."""
        return self.low_mm[0] - low_mm[0], self.low_mm[1] - low_mm[1]


def once_each(parts: Sequence[Pattern]) -> list[list[Pattern]]:
    """Put copies into one list each; all that is not worth it becomes one pattern of its own.

    Examples
    --------
    >>> discs = [shapely.Point(x, 0).buffer(4, quad_segs=300) for x in (0, 10, 20)]
    >>> tags = [shapely.box(x, 9, x + 3, 12) for x in (0, 9)]
    >>> region = shapely.MultiPolygon([*discs, *tags])
    >>> [len(places) for places in once_each(patterns(region, apart_mm=1))]
    [3, 1]
    """
    groups: dict[Pattern, list[Pattern]] = {}
    for part in parts:
        groups.setdefault(part, []).append(part)
    found, rest = [], list[shapely.Polygon]()
    for one, places in groups.items():
        if (len(places) - 1) * shapely.get_num_coordinates(one.region) >= WORTH:
            found.append(places)
        else:
            rest += [polygon for place in places for polygon in place.region.geoms]
    return [*found, [Pattern.of(shapely.multipolygons(rest))]] if rest else found


def patterns(region: shapely.MultiPolygon, *, apart_mm: float) -> list[Pattern]:
    """Take a region apart into parts that lie farther from one another than `apart_mm`.

    Parameters
    ----------
    region : MultiPolygon
        In mm.
    apart_mm : float
        Parts nearer than this stay together; 0 takes every polygon for itself.

    Examples
    --------
    >>> two = shapely.MultiPolygon([shapely.box(0, 0, 4, 2), shapely.box(9, 0, 13, 2)])
    >>> [len(set(patterns(two, apart_mm=wide))) for wide in (4, 6)]
    [1, 1]
    >>> [len(patterns(two, apart_mm=wide)) for wide in (4, 6)]
    [2, 1]
    """
    parts = shapely.get_parts(region)
    label = np.arange(len(parts))
    if apart_mm > 0 and len(parts) > 1:
        one, other = shapely.STRtree(parts).query(parts, predicate="dwithin", distance=apart_mm)
        label = _hung_together(one, other, len(parts))
    order = np.argsort(label, kind="stable")
    groups = np.split(order, np.flatnonzero(np.diff(label[order])) + 1)
    return [Pattern.of(shapely.multipolygons(parts[group])) for group in groups]


def gap_between_mm(parts: Sequence[Pattern], below_mm: float | None) -> float | None:
    """Return the least distance between two parts in mm, if it is below the one given.

    Examples
    --------
    >>> two = shapely.MultiPolygon([shapely.box(0, 0, 4, 2), shapely.box(9, 0, 13, 2)])
    >>> gap_between_mm(patterns(two, apart_mm=1), None), gap_between_mm([], 3.0)
    (5.0, 3.0)
    """
    if len(parts) < 2:
        return below_mm
    shapes = np.array([part.region for part in parts])
    boxes = shapely.box(*shapely.bounds(shapes).T)
    tree = shapely.STRtree(boxes)
    if below_mm is None:
        below_mm = float(shapes[0].distance(shapes[1]))
    one, other = tree.query(boxes, predicate="dwithin", distance=below_mm)
    one, other = one[one < other], other[one < other]
    far = shapely.distance(boxes[one], boxes[other])
    for k in np.argsort(far, kind="stable").tolist():
        if far[k] >= below_mm - SAME_MM:
            break
        shapely.prepare(shapes[one[k]])
        below_mm = min(below_mm, float(shapely.distance(shapes[one[k]], shapes[other[k]])))
    return below_mm


def _hung_together(one: NDArray[np.intp], other: NDArray[np.intp], count: int) -> NDArray[np.intp]:
    """Label things so that those linked by pairs, directly or by others, share a label."""
    label = np.arange(count)
    while True:
        before = label.copy()
        np.minimum.at(label, one, before[other])
        label = label[label]
        if (label == before).all():
            return label
