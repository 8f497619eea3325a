"""Unreached: holes, openings and gaps that a profile leaves uncut, told rather than dropped.

In: the drawn region, the rings cut, the width a cutter needs (diameter, allowance and margin).
Out: findings with place, width and remedy, in mm. `reach` studies narrow spots in full; this is
the profile's own word on what it could not do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from outline2path.findings import Finding
from outline2path.operations.offset import offset
from outline2path.tolerance import Budget

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from outline2path.operations.rings import Ring, Side

__all__ = ["joined_parts", "narrow_parts", "unreached_edges", "widest_mm"]

_TOLD_ONE_BY_ONE = 20


def widest_mm(region: shapely.Polygon | shapely.MultiPolygon) -> tuple[float, tuple[float, float]]:
    """Return the diameter and centre of the widest disc that fits in any part of a region.

    Examples
    --------
    >>> wide, _ = widest_mm(shapely.Polygon([(0, 0), (4, 0), (0, 3)]))
    >>> round(wide, 2)  # incircle of the 3-4-5 triangle: radius 1
    2.0
    """
    parts = shapely.get_parts(region)
    largest = parts[np.argsort(-shapely.area(parts))[:_TOLD_ONE_BY_ONE]]
    radii = shapely.maximum_inscribed_circle(largest, Budget().simplify_mm)
    best = radii[int(np.argmax(shapely.length(radii)))]
    x, y = shapely.get_coordinates(best)[0].tolist()
    return 2 * float(shapely.length(best)), (x, y)


def unreached_edges(
    region: shapely.MultiPolygon, rings: list[Ring], *, side: Side, need_mm: float
) -> list[Finding]:
    """Tell of every hole (outside profile) or opening (inside) that got no ring.

    Examples
    --------
    >>> plate = shapely.box(0, 0, 9, 9).difference(shapely.box(4, 4, 5, 5))
    >>> found = unreached_edges(shapely.MultiPolygon([plate]), [], side="outside", need_mm=3.0)
    >>> print(found[0])
    warning: a hole 1.00 mm wide stays uncut at x 4.50, y 4.50; use a cutter below 1.00 mm, or \
scale the drawing up by 3.03
    """
    wanted = _openings(region, side)
    if not len(wanted):
        return []
    starts = [ring.loop.points[0] for ring in rings if not ring.keeps_inside]
    reached = shapely.STRtree(wanted).query(shapely.points(np.reshape(starts, (-1, 2))), "within")
    missed = np.delete(wanted, np.unique(reached[1]))
    kind = "opening" if side == "inside" else "hole"
    found = [_uncut(kind, hole, need_mm) for hole in missed[:_TOLD_ONE_BY_ONE]]
    if len(missed) > _TOLD_ONE_BY_ONE:
        rest = len(missed) - _TOLD_ONE_BY_ONE
        found.append(
            Finding(
                code=f"{kind}-uncut",
                severity="warning",
                message=f"{rest} more {kind}s stay uncut",
                value=rest,
                remedy="use a smaller cutter",
            )
        )
    return found


def _openings(region: shapely.MultiPolygon, side: Side) -> NDArray[np.object_]:
    if side == "inside":
        return np.asarray(shapely.get_parts(region))
    holes = [hole for part in region.geoms for hole in part.interiors]
    return np.asarray(shapely.polygons(holes)) if holes else np.array([], dtype=object)


def _uncut(kind: str, hole: shapely.Polygon, need_mm: float) -> Finding:
    wide, place = widest_mm(hole)
    return Finding(
        code=f"{kind}-uncut",
        severity="warning",
        message=f"{'an' if kind == 'opening' else 'a'} {kind} {wide:.2f} mm wide stays uncut",
        at_mm=place,
        value=wide,
        limit=need_mm,
        unit="mm",
        remedy=f"use a cutter below {wide:.2f} mm, or scale the drawing up by "
        f"{1.01 * need_mm / max(wide, Budget().simplify_mm):.2f}",
    )


def joined_parts(
    region: shapely.MultiPolygon, area: shapely.MultiPolygon, *, side: Side, need_mm: float
) -> list[Finding]:
    """Tell of separate parts that no cut comes between (outside profile).

    Examples
    --------
    >>> two = shapely.MultiPolygon([shapely.box(0, 0, 9, 9), shapely.box(11, 0, 20, 9)])
    >>> found = joined_parts(two, two.buffer(1.5), side="outside", need_mm=3.0)
    >>> print(found[0].message, found[0].at_mm)
    2 parts stay in one piece, the gap between them is 2.00 mm (10.0, 9.0)
    """
    if side != "outside" or len(region.geoms) < 2:
        return []
    parts = shapely.get_parts(region)
    pieces = shapely.get_parts(area)
    inside, piece = shapely.STRtree(pieces).query(shapely.point_on_surface(parts), "within")
    found = []
    for k in np.unique(piece)[np.bincount(piece)[np.unique(piece)] > 1]:
        group = parts[inside[piece == k]]
        link = shapely.shortest_line(group[0], shapely.MultiPolygon(list(group[1:])))
        gap = float(shapely.length(link))
        x, y = shapely.get_coordinates(link).mean(axis=0).tolist()
        found.append(
            Finding(
                code="parts-joined",
                severity="warning",
                message=f"{len(group)} parts stay in one piece, the gap between them is "
                f"{gap:.2f} mm",
                at_mm=(x, y),
                value=gap,
                limit=need_mm,
                unit="mm",
                remedy=f"use a cutter below {gap:.2f} mm, move the parts apart, or cut them "
                "one at a time",
            )
        )
    return found


def narrow_parts(
    region: shapely.MultiPolygon, area: shapely.MultiPolygon, *, need_mm: float
) -> list[Finding]:
    """Tell of branches and necks of a pocket that are too narrow for the cutter.

    A rounded corner is none: what is told of lies farther from everything cut than half of what
    the cutter needs.

    Parameters
    ----------
    region : MultiPolygon
        What was to be cleared, mm.
    area : MultiPolygon
        Where the cutter's centre gets.
    need_mm : float
        Width the cutter needs, mm.

    Examples
    --------
    >>> spoon = shapely.MultiPolygon([shapely.box(0, 0, 9, 9).union(shapely.box(8, 4, 20, 6))])
    >>> (found,) = narrow_parts(spoon, spoon.buffer(-1.5), need_mm=3.0)
    >>> print(found.message, found.remedy)
    a part of the pocket 2.00 mm wide stays uncut use a cutter below 2.00 mm
    """
    openings = shapely.get_parts(region)
    entered = openings[shapely.intersects(openings, area)]
    swept = offset(area, need_mm / 2)
    left = shapely.get_parts(shapely.get_parts(shapely.difference(entered, swept)))
    left = left[~shapely.is_empty(left)]
    left = left[shapely.area(left) > 0]
    near = offset(area, need_mm)
    shapely.prepare(near)
    found = []
    for part in left[~shapely.covers(near, left)][:_TOLD_ONE_BY_ONE]:
        wide, place = widest_mm(part)
        found.append(
            Finding(
                code="opening-uncut",
                severity="warning",
                message=f"a part of the pocket {wide:.2f} mm wide stays uncut",
                at_mm=place,
                value=wide,
                limit=need_mm,
                unit="mm",
                remedy=f"use a cutter below {wide:.2f} mm",
            )
        )
    return found
