"""Crowded: where a cone has no room beside an edge, told with place and figures.

In: the drawn region, which of its edges are chamfered, and the cone as it stands in the work. Out:
the ground that the cone's centre must keep out of for the sake of edges not chamfered, and
findings: gaps and holes too narrow for the cone at the wall's edge, walls so thin that the
chamfers of both sides meet, and stretches left sharp for a neighbour's sake. Lengths in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.findings import Finding
from outline2path.operations.sampling import Places, places_along, runs_of

if TYPE_CHECKING:
    from outline2path.operations.chamfer_settings import ChamferSettings, Cone, Edges

__all__ = ["DrawnEdges", "cone_findings", "crowded_finding", "drawn_edges"]


@dataclass(frozen=True, eq=False)
class DrawnEdges:
    """The rings of a drawn region, part by part, and which of them are to be chamfered.

    Examples
    --------
    >>> washer = shapely.box(0, 0, 9, 9).difference(shapely.box(3, 3, 6, 6))
    >>> edges = drawn_edges(shapely.MultiPolygon([washer]), "outer")
    >>> edges.owns(np.array([-0.5, 5.0])), edges.owns(np.array([3.5, 5.0]))
    (True, False)
    >>> round(edges.crowded_by(None, 1.0, quad_segs=32).area, 1)  # 8 a r + (pi - 4) r^2, a = 3
    23.1
    """

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
    parts = shapely.get_parts(shapely.orient_polygons(region))
    lines = shapely.get_rings(parts)
    holes = np.concatenate([np.arange(len(part.interiors) + 1) > 0 for part in parts])
    wanted = {"all": np.ones(len(lines), bool), "outer": ~holes, "holes": holes}
    return DrawnEdges(lines, wanted[edges])


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

    Examples
    --------
    >>> from outline2path.operations.chamfer_settings import ChamferSettings, cone_for
    >>> from outline2path.shop.cutter import Cutter
    >>> cone = cone_for(Cutter(6, shape="v", angle=90), ChamferSettings(width_mm=1))
    >>> crowded_finding(shapely.LineString([(0, 4), (0, 6)]), shapely.box(-9, 4, 0.5, 6),
    ...                 cone).at_mm
    (0.0, 5.0)
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


def cone_findings(
    region: shapely.MultiPolygon,
    paths: list[NDArray[np.float64]],
    cone: Cone,
    *,
    settings: ChamferSettings,
) -> list[Finding]:
    """Tell of edges the cone does not reach, and of walls whose two chamfers meet.

    Parameters
    ----------
    region : MultiPolygon
        As drawn.
    paths : list of ndarray, shape (n, 2)
        Where the tip's centre goes.
    cone : Cone
        As it stands in the work.
    settings : ChamferSettings
        Side and edges.

    Examples
    --------
    >>> from outline2path.operations.chamfer_settings import ChamferSettings, cone_for
    >>> from outline2path.shop.cutter import Cutter
    >>> settings = ChamferSettings(width_mm=1, overrun_mm=0.5)
    >>> bar = shapely.MultiPolygon([shapely.box(0, 0, 30, 1.5)])
    >>> path = shapely.get_coordinates(shapely.buffer(bar, 0.5))
    >>> found = cone_findings(bar, [path], cone_for(Cutter(6, shape="v", angle=90), settings),
    ...                       settings=settings)
    >>> print(found[0].message)
    a wall 1.50 mm thick is no thicker than two chamfers of 1.00 mm, so over 30.0 mm of edge its \
top goes
    """
    places = places_along(region, step_mm=max(cone.width_mm, cone.edge_radius_mm) / 2)
    chosen = drawn_edges(region, settings.edges).chosen[places.ring]
    found = []
    if paths:
        width = cone.top_radius_mm - places.distance(paths)
        short = chosen & (width < cone.width_mm / 2)
        found += [_short(places, run, width, cone) for run in runs_of(short, places.ring)]
    if settings.edges == "all":
        if settings.side == "inside":
            places = replace(places, inward=-places.inward, edges=places.edges[:, ::-1])
        thick = places.thickness(2 * cone.width_mm)
        thin = np.isfinite(thick)
        walls = [_thin(places, run, thick, cone) for run in runs_of(thin, places.ring)]
        found += _each_once(walls, within_mm=cone.width_mm)
    return found


def _each_once(walls: list[Finding], *, within_mm: float) -> list[Finding]:
    """Leave out walls told from their other side too, or from close by."""
    kept, taken = list[Finding](), set[tuple[int, int]]()
    for wall in walls:
        x, y = (math.floor(v / within_mm) for v in wall.at_mm or (0.0, 0.0))
        if (x, y) not in taken:
            kept.append(wall)
            taken |= {(x + i, y + j) for i in (-1, 0, 1) for j in (-1, 0, 1)}
    return kept


def _short(
    places: Places, run: NDArray[np.intp], width: NDArray[np.float64], cone: Cone
) -> Finding:
    worst = int(run[np.argmin(width[run])])
    x, y = places.points[worst].tolist()
    got = max(float(width[worst]), 0.0)
    what = "stay sharp" if got == 0 else f"get a chamfer of only {got:.2f} mm"
    return Finding(
        code="chamfer-narrow",
        severity="warning",
        message=f"{float(places.lengths_mm[run].sum()):.1f} mm of an edge {what}: there is no "
        f"room for the cone, {2 * cone.edge_radius_mm:.2f} mm wide at the wall's edge",
        at_mm=(x, y),
        value=got,
        limit=cone.width_mm,
        unit="mm",
        remedy="use less overrun or a sharper tip",
    )


def _thin(
    places: Places, run: NDArray[np.intp], thick: NDArray[np.float64], cone: Cone
) -> Finding:
    worst = int(run[np.argmin(thick[run])])
    x, y = (places.points[worst] + places.inward[worst] * thick[worst] / 2).tolist()
    return Finding(
        code="chamfer-thin",
        severity="warning",
        message=f"a wall {float(thick[worst]):.2f} mm thick is no thicker than two chamfers of "
        f"{cone.width_mm:.2f} mm, so over {float(places.lengths_mm[run].sum()):.1f} mm of edge "
        "its top goes",
        at_mm=(x, y),
        value=float(thick[worst]),
        limit=2 * cone.width_mm,
        unit="mm",
        remedy="make the chamfer narrower, or the wall thicker",
    )
