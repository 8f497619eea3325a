"""Stretches: the parts of a profile's rings that a larger cutter has left to a smaller one.

In: the smaller cutter's rings, what is still uncut in their kerf, the tabs the larger cutter left,
depths and cutter. Out: one Contour for each ring with something left, cut along open stretches.
Lengths in mm.

A stretch is where the cutter's disc meets uncut stock, and an overlap more at both ends. So its
ends lie in ground that is cleared to full depth, where the cutter comes straight down. Tabs left
by the larger cutter are climbed over. Rings that must be cut all round, such as holes the larger
cutter could not enter, are cut as any profile is, with leads and tabs.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from outline2path.operations.cut import Contour, Cut, Span, Tab
from outline2path.operations.entries import Raised, walk
from outline2path.operations.rings import Ring, enclosing
from outline2path.tolerance import SAME_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry

    from outline2path.operations.contours import Kit
    from outline2path.operations.loops import Loop

__all__ = ["Share", "rest_contours", "share_of", "stretches_of"]

_QUADRANT = 32
Stretch = tuple[float, float]
"""Distances along a ring, mm; the end may lie beyond one round."""


def stretches_of(loop: Loop, near: BaseGeometry) -> list[Stretch]:
    """Return where a ring lies in an area, as stretches of distance along it.

    Parameters
    ----------
    loop : Loop
        The ring, mm.
    near : geometry
        The area.

    Returns
    -------
    list of (start, end)
        Sorted; one stretch of the whole length where all of the ring lies in the area.

    Examples
    --------
    >>> from outline2path.operations.loops import Loop
    >>> loop = Loop.of([(0, 0), (10, 0), (10, 10), (0, 10)])
    >>> stretches_of(loop, shapely.box(-1, -1, 2, 3))
    [(37.0, 42.0)]
    >>> stretches_of(loop, shapely.box(-1, -1, 20, 20))
    [(0.0, 40.0)]
    """
    line = shapely.LineString(loop.points)
    away = shapely.get_parts(shapely.difference(line, near))
    away = away[shapely.length(away) > SAME_MM]
    if not len(away):
        return [(0.0, loop.length_mm)]
    middles = shapely.get_coordinates(shapely.line_interpolate_point(away, 0.5, normalized=True))
    middle = loop.nearest(middles)  # tells which of the two ways round a piece runs
    half = shapely.length(away) / 2
    gaps = sorted(
        (float(m - h) % loop.length_mm, float(m - h) % loop.length_mm + 2 * float(h))
        for m, h in zip(middle, half, strict=True)
    )
    stretches = []
    for (_, leave), (back, _) in zip(gaps, [*gaps[1:], gaps[0]], strict=True):
        end = back if back > leave - SAME_MM else back + loop.length_mm
        if end - leave > SAME_MM and end - leave < loop.length_mm:
            stretches.append((leave % loop.length_mm, leave % loop.length_mm + end - leave))
    return sorted(stretches)


@dataclass(frozen=True, eq=False)
class Share:
    """What of a profile's rings is left to cut.

    Attributes
    ----------
    whole : tuple of Ring
        Rings to be cut all round, those inside others first.
    parts : tuple of (Ring, list of Stretch)
        Rings to be cut along stretches.
    """

    whole: tuple[Ring, ...]
    parts: tuple[tuple[Ring, list[Stretch]], ...]


def share_of(rings: list[Ring], near: BaseGeometry) -> Share:
    """Tell rings that lie in an area all round from those that do in part or not at all.

    Parameters
    ----------
    rings : list of Ring
        The smaller cutter's rings.
    near : geometry
        Where its centre must be to cut what is left, overlap included.

    Examples
    --------
    >>> from outline2path.operations.rings import rings_of
    >>> plate = shapely.box(0, 0, 9, 9).difference(shapely.box(3, 3, 6, 6))
    >>> rings = rings_of(shapely.MultiPolygon([plate]), side="outside", direction="climb")
    >>> share = share_of(rings, shapely.box(2, 2, 9.5, 7))
    >>> len(share.whole), [some for _, some in share.parts]
    (1, [[(20.0, 25.0)]])
    """
    pieces = [stretches_of(ring.loop, near) for ring in rings]
    pairs = list(zip(rings, pieces, strict=True))
    whole = [ring for ring, some in pairs if _all_round(ring.loop, some)]
    _, depth = enclosing(whole) if whole else ([], [])
    order = sorted(range(len(whole)), key=lambda k: (-depth[k], k))
    parts = [(ring, some) for ring, some in pairs if some and not _all_round(ring.loop, some)]
    return Share(tuple(whole[k] for k in order), tuple(parts))


def rest_contours(
    share: Share, whole: Sequence[Contour], tabs: Sequence[Tab], *, kit: Kit
) -> list[Contour]:
    """Cut the stretches at every depth, in one order with the rings cut all round.

    Parameters
    ----------
    share : Share
        What is left.
    whole : sequence of Contour
        The rings cut all round, in the order of `share.whole`, numbered from 0.
    tabs : sequence of Tab
        What the larger cutter left standing.
    kit : Kit
        Cutter, settings, depths of the profile.

    Returns
    -------
    list of Contour
        Inner rings wait for none, outer ones for those in them.
    """
    contours = list(whole)
    for number, (ring, some) in enumerate(share.parts, start=len(whole)):
        raised = _raised(ring.loop, tabs, kit)
        cuts = [cut for stretch in some for cut in _cuts(ring.loop, stretch, raised, kit)]
        contours.append(Contour(number=number, cuts=tuple(cuts)))
    every = [*share.whole, *(ring for ring, _ in share.parts)]
    parent, _ = enclosing(every) if every else ([], [])
    return [
        replace(contour, after=frozenset(k for k, outer in enumerate(parent) if outer == n))
        for n, contour in enumerate(contours)
    ]


def _all_round(loop: Loop, some: list[Stretch]) -> bool:
    return bool(some) and some[0][1] - some[0][0] >= loop.length_mm


def _cuts(loop: Loop, stretch: Stretch, raised: Raised, kit: Kit) -> list[Cut]:
    """Cut one stretch at every depth, coming down at its beginning."""
    cuts, above = [], kit.top_mm
    start, end = stretch
    pace = kit.pace(loop)
    x, y = loop.at(start).tolist()
    for z in kit.depths:
        spans = walk(loop, start, end, from_z=z, to_z=z, raised=raised, fresh=True, pace=pace)
        if spans and spans[-1].role == "plunge":
            spans.pop()  # it ends over a tab, and nothing lower follows
        if spans:
            low = float(spans[0].points[0, 2])
            down = Span("plunge", np.array([[x, y, max(above, low)], [x, y, low]]))
            spans.insert(0, down)
            cuts.append(Cut(operation="profile", cutter=kit.cutter, z_mm=z, spans=tuple(spans)))
        above = z
    return cuts


def _raised(loop: Loop, tabs: Sequence[Tab], kit: Kit) -> Raised:
    """Raise the path over each tab beside the ring, a radius farther than the tab reaches."""
    if not tabs:
        return Raised()
    line = shapely.LineString(loop.points)
    spots = shapely.points([tab.at_mm for tab in tabs])
    beside = spots[shapely.dwithin(line, spots, kit.cutter.diameter_mm)]
    reach = kit.settings.tab_length_mm / 2 + kit.cutter.radius_mm
    found = []
    for spot, middle in zip(beside, shapely.line_locate_point(line, beside), strict=True):
        for low, high in stretches_of(loop, shapely.buffer(spot, reach, quad_segs=_QUADRANT)):
            if (middle - low) % loop.length_mm <= high - low:  # not beyond a thin wall
                found.append((low, high))
    return Raised(tuple(sorted(found)), kit.tab_top_mm)
