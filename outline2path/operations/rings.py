"""Rings: the closed paths round a region, with what stays and what goes.

In: the area the cutter's centre may not enter (outside profile) or must stay in (inside), as
`offset` made it. Out: one Ring for each edge of it, in the direction of cutting, and which ring
encloses which. Lengths in mm, y up.

Direction: with a clockwise spindle, climb cutting keeps the finished wall on the cutter's right
(common practice, no source), so the waste lies on the left; conventional is the reverse.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.operations.loops import Loop

__all__ = ["Direction", "Ring", "Side", "enclosing", "rings_of"]

Side = Literal["outside", "inside", "on"]
"""Where the cutter runs: round the drawn region, inside it, or on its edge."""
Direction = Literal["climb", "conventional"]


@dataclass(frozen=True, eq=False)
class Ring:
    """One closed path of the cutter's centre.

    Attributes
    ----------
    loop : Loop
        Its points in the direction of cutting.
    keeps_inside : bool
        True where the finished wall is inside the ring (an outer edge), False where it is outside
        (a hole, an opening).
    waste_left : bool
        True where the waste lies left of the motion.
    """

    loop: Loop
    keeps_inside: bool
    waste_left: bool

    def waste_normal(self, along_mm: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """Return unit vectors towards the waste at distances along the ring, shape (..., 2)."""
        heading = self.loop.heading(along_mm)
        left = np.stack((-heading[..., 1], heading[..., 0]), axis=-1)
        return left if self.waste_left else -left


def rings_of(area: shapely.MultiPolygon, *, side: Side, direction: Direction) -> list[Ring]:
    """Return the rings round an area, turned the way they are cut.

    Parameters
    ----------
    area : MultiPolygon
        The area whose edge is the path, mm.
    side : "outside", "inside" or "on"
        "inside" when the waste is the area itself, else the waste is the rest.
    direction : "climb" or "conventional"
        See the module's head.

    Examples
    --------
    >>> (ring,) = rings_of(shapely.MultiPolygon([shapely.box(0, 0, 9, 9)]), side="outside",
    ...                    direction="climb")
    >>> ring.keeps_inside, ring.loop.area_mm2  # an outer edge, clockwise
    (True, -81.0)
    """
    climb = direction == "climb"
    rings = []
    for part in area.geoms:
        for k, line in enumerate((part.exterior, *part.interiors)):
            keeps_inside = (k == 0) != (side == "inside")
            loop = Loop.of(shapely.get_coordinates(line), clockwise=keeps_inside == climb)
            rings.append(Ring(loop, keeps_inside, climb))
    return rings


def enclosing(rings: list[Ring]) -> tuple[list[int], list[int]]:
    """Say which ring directly encloses each ring, and how many enclose it in all.

    Returns
    -------
    parent : list of int
        Index of the smallest enclosing ring, -1 where there is none.
    depth : list of int
        Number of enclosing rings.

    Examples
    --------
    >>> washer = shapely.box(0, 0, 9, 9).difference(shapely.box(3, 3, 6, 6))
    >>> enclosing(rings_of(shapely.MultiPolygon([washer]), side="on", direction="climb"))
    ([-1, 0], [0, 1])
    """
    areas = [ring.loop.polygon for ring in rings]
    sizes = np.abs([ring.loop.area_mm2 for ring in rings])
    starts = shapely.points([ring.loop.points[0] for ring in rings])
    inner, outer = shapely.STRtree(areas).query(starts, predicate="intersects")
    larger = sizes[outer] > sizes[inner]
    parent, depth = [-1] * len(rings), [0] * len(rings)
    for i, o in zip(inner[larger].tolist(), outer[larger].tolist(), strict=True):
        depth[i] += 1
        if parent[i] < 0 or sizes[o] < sizes[parent[i]]:
            parent[i] = o
    return parent, depth
