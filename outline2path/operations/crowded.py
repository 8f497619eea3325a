"""Crowded: where a cone has no room beside an edge, told with place and figures.

In: the drawn region, which of its edges are chamfered, and the cone as it stands in the work. Out:
the ground that the cone's centre must keep out of for the sake of edges not chamfered, and
findings: gaps and holes too narrow for the cone at the wall's edge, walls so thin that the
chamfers of both sides meet, and stretches left sharp for a neighbour's sake. Lengths in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.findings import Finding
from outline2path.reach.spots import narrow_spots
from outline2path.reach.walls import thin_walls
from outline2path.tolerance import Budget

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.operations.chamfer_settings import ChamferSettings, Cone, Edges

__all__ = ["DrawnEdges", "cone_findings", "crowded_finding", "drawn_edges"]

_TOLD_ONE_BY_ONE = 20


@dataclass(frozen=True, eq=False)
class DrawnEdges:
    """The rings of a drawn region, as lines, and which of them are to be chamfered."""

    lines: NDArray[np.object_]
    chosen: NDArray[np.bool_]

    @cached_property
    def _tree(self) -> shapely.STRtree:
        return shapely.STRtree(self.lines)

    def owns(self, place: NDArray[np.float64]) -> bool:
        """Tell whether the edge nearest to a place (x, y) is to be chamfered."""
        return bool(self.chosen[self._tree.nearest(shapely.Point(place))])

    def crowded_by(
        self, keep: BaseGeometry | None, within_mm: float, *, quad_segs: int
    ) -> BaseGeometry:
        """Return all within a distance of edges not chamfered and of what else is kept."""
        stays = [*self.lines[~self.chosen], *([] if keep is None else [keep])]
        if not stays:
            return shapely.Polygon()
        outside = within_mm / math.cos(math.pi / (4 * quad_segs))
        grown: BaseGeometry = shapely.union_all(
            shapely.buffer(stays, outside, quad_segs=quad_segs)
        )
        shapely.prepare(grown)
        return grown


def drawn_edges(region: shapely.MultiPolygon, edges: Edges) -> DrawnEdges:
    """Return the rings of a region and the choice among them.

    Examples
    --------
    >>> washer = shapely.box(0, 0, 9, 9).difference(shapely.box(3, 3, 6, 6))
    >>> drawn_edges(shapely.MultiPolygon([washer]), "holes").chosen.tolist()
    [False, True]
    """
    parts = shapely.get_parts(region)
    outer = shapely.get_exterior_ring(parts)
    holes = np.array([hole for part in parts for hole in part.interiors], dtype=object)
    chosen = [edges != "holes"] * len(outer) + [edges != "outer"] * len(holes)
    return DrawnEdges(np.concatenate((outer, holes)), np.array(chosen))


def crowded_finding(lost: BaseGeometry, crowded: BaseGeometry, cone: Cone) -> Finding:
    """Tell of a stretch of an edge that stays sharp for a neighbour's sake.

    Parameters
    ----------
    lost : geometry
        The stretch of the cutter's path that is left out.
    crowded : geometry
        The ground it lies in.
    cone : Cone
        As it stands in the work.
    """
    parts = shapely.get_parts(lost)
    middles = shapely.line_interpolate_point(parts, 0.5, normalized=True)
    depths = shapely.distance(middles, crowded.boundary)
    worst = int(np.argmax(depths))
    x, y = shapely.get_coordinates(middles[worst])[0].tolist()
    room = cone.top_radius_mm - float(depths[worst])
    return Finding(
        code="chamfer-crowded",
        severity="warning",
        message=f"{lost.length:.1f} mm of an edge stay sharp: the cone is "
        f"{cone.top_radius_mm:.2f} mm to each side at the surface, and a neighbouring edge is "
        f"{room:.2f} mm from its middle",
        at_mm=(x, y),
        value=room,
        limit=cone.top_radius_mm,
        unit="mm",
        remedy="use less overrun, a sharper tip or a narrower chamfer",
    )


def cone_findings(outline: Outline, cone: Cone, *, settings: ChamferSettings) -> list[Finding]:
    """Tell of gaps and holes the cone cannot enter, and of walls whose chamfers meet.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> from outline2path.operations.chamfer_settings import ChamferSettings, cone_for
    >>> from outline2path.shop.cutter import Cutter
    >>> settings = ChamferSettings(width_mm=1, overrun_mm=0.5)
    >>> bar = Outline.from_shapely(shapely.box(0, 0, 30, 1.5))
    >>> found = cone_findings(bar, cone_for(Cutter(6, shape="v", angle=90), settings),
    ...                       settings=settings)
    >>> print(found[0].message)
    a wall 1.50 mm thick is no thicker than two chamfers of 1.00 mm: its top edge goes
    """
    need = 2 * (cone.edge_radius_mm + Budget(settings.tolerance_mm).margin_mm)
    reach = narrow_spots(outline, need, side=settings.side, tolerance_mm=settings.tolerance_mm)
    tight = [spot for spot in reach.spots if spot.kind != "corner"]
    found = [
        Finding(
            code="chamfer-narrow",
            severity="warning",
            message=f"a {spot.kind} {spot.gap_mm or 0.0:.2f} mm wide has no room for the cone, "
            f"{need:.2f} mm wide at the wall's edge: its edges stay sharp",
            at_mm=spot.at_mm,
            value=spot.gap_mm,
            limit=need,
            unit="mm",
            remedy="use less overrun or a sharper tip",
        )
        for spot in tight[:_TOLD_ONE_BY_ONE]
    ]
    if settings.side == "outside" and settings.edges == "all":
        walls = thin_walls(outline, thinner_than_mm=2 * cone.width_mm)
        found += [
            Finding(
                code="chamfer-thin",
                severity="warning",
                message=f"a wall {wall.thickness_mm:.2f} mm thick is no thicker than two "
                f"chamfers of {cone.width_mm:.2f} mm: its top edge goes",
                at_mm=wall.at_mm,
                value=wall.thickness_mm,
                limit=2 * cone.width_mm,
                unit="mm",
                remedy="make the chamfer narrower, or the wall thicker",
            )
            for wall in walls[:_TOLD_ONE_BY_ONE]
        ]
    return found
