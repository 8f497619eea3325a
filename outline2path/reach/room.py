"""Room: how much of it a free space has, whatever the cutter.

In: a region in mm and which side of its edges is free. Out: its boundary with samples, every
neck and slot end with its width, and every closed piece with the widest disc in it. All narrow
spots of every cutter, and every thin wall, are read off this one survey.

The region is thinned first, so that no point of an edge moves by more than `fine_mm`. Pockets
shallower than `ignore_mm` between the two points a disc touches count as roughness, not as gaps.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.reach.boundary import Boundary
from outline2path.reach.contacts import Contacts
from outline2path.reach.holes import widest_discs
from outline2path.reach.mesh import Mesh, sample
from outline2path.reach.necks import necks
from outline2path.reach.slot_ends import slot_ends
from outline2path.tolerance import TOUCH_MM

__all__ = ["Room", "survey"]

FINEST_STEP = 20
"""Samples are never nearer to one another than so many times `fine_mm`."""

CELLS = 50_000
"""A close search of a closed piece goes down to its edge's length over this."""


@dataclass(frozen=True, eq=False)
class Room:
    """What a free space holds.

    Attributes
    ----------
    boundary : Boundary
        Its edges.
    mesh : Mesh
        Samples of them.
    contacts : Contacts
        Necks and slot ends with their widths in mm.
    closed : ndarray of shapely.Polygon
        Free pieces with edges all round.
    middle, hole_mm : ndarray, shapes (k, 2) and (k,)
        Centre and diameter of the widest disc in each closed piece.
    open_rings : ndarray of shapely.LinearRing, or None
        Edges of the free piece round everything, where there is one.
    fine_mm : float
        Most an edge was moved.
    """

    boundary: Boundary
    mesh: Mesh
    contacts: Contacts
    closed: NDArray[np.object_]
    middle: NDArray[np.float64]
    hole_mm: NDArray[np.float64]
    open_rings: NDArray[np.object_] | None
    fine_mm: float

    @property
    def tightest_mm(self) -> float | None:
        """The widest cutter that passes every gap and enters every hole; None: no limit."""
        every = np.concatenate([self.contacts.width_mm, self.hole_mm])
        return float(every.min()) if len(every) else None

    def space(self, margin_mm: float) -> shapely.MultiPolygon:
        """Return the free space as polygons, ended `margin_mm` beyond the outermost edges."""
        if self.open_rings is None:
            return shapely.multipolygons(self.closed)
        frame = _frame(self.boundary.points, margin_mm)
        around = shapely.polygons(shapely.get_exterior_ring(frame), holes=list(self.open_rings))
        return shapely.multipolygons([around, *self.closed])


def survey(
    region: shapely.MultiPolygon, *, free_inside: bool, fine_mm: float, ignore_mm: float
) -> Room:
    """Survey the inside or the outside of a region.

    Parameters
    ----------
    region : MultiPolygon
        Valid, in mm.
    free_inside : bool
        Whether the free space is the region's inside or its outside.
    fine_mm : float
        Most an edge may be moved by thinning.
    ignore_mm : float
        Depth of the pockets that count as roughness.

    Examples
    --------
    >>> plate = shapely.box(0, 0, 40, 30) - shapely.box(10, 10, 12, 30)
    >>> survey(shapely.MultiPolygon([plate]), free_inside=False, fine_mm=0.0005,
    ...        ignore_mm=0.02).tightest_mm
    2.0
    """
    thin = _thinned(region, fine_mm)
    boundary = Boundary.of(thin, free_inside=free_inside)
    mesh = sample(boundary, finest_mm=FINEST_STEP * fine_mm)
    found = necks(boundary, mesh, touch_mm=TOUCH_MM).and_these(
        slot_ends(boundary, mesh, touch_mm=2 * fine_mm)
    )
    closed, rings = shapely.get_parts(thin), None
    if not free_inside:
        closed, rings = _outside(thin, boundary)
    middle, hole_mm = _holes(closed, boundary, found, fine_mm)
    found = found.where(found.depth_mm >= ignore_mm)
    return Room(boundary, mesh, found, closed, middle, hole_mm, rings, fine_mm)


def _holes(
    closed: NDArray[np.object_], boundary: Boundary, contacts: Contacts, fine_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Widest disc in each closed piece: searched for, or a wider one that is known exactly.

    A piece with a neck or a slot end in it never is what limits the cutter, and may be searched
    less closely; along walls that run level a close search would take long.
    """
    disc, piece = shapely.STRtree(closed).query(
        shapely.points(contacts.centre), predicate="intersects"
    )
    within = np.minimum(FINEST_STEP * fine_mm, shapely.length(closed) / CELLS)
    within[piece] = FINEST_STEP * fine_mm
    middle, hole_mm = widest_discs(closed, boundary, within_mm=within)
    order = np.argsort(contacts.width_mm[disc])
    disc, piece = disc[order], piece[order]
    wider = contacts.width_mm[disc] > hole_mm[piece]
    disc, piece = disc[wider], piece[wider]
    middle[piece], hole_mm[piece] = contacts.centre[disc], contacts.width_mm[disc]
    return middle, hole_mm


def _thinned(region: shapely.MultiPolygon, fine_mm: float) -> shapely.MultiPolygon:
    """Leave out points that matter by less than `fine_mm`, if that keeps the region valid."""
    for careful in (False, True):
        thin = shapely.simplify(region, fine_mm, preserve_topology=careful)
        if shapely.is_valid(thin) and shapely.area(thin) > 0:
            parts = shapely.get_parts(thin)
            return shapely.multipolygons(parts[shapely.area(parts) > 0])
    return region


def _frame(points: NDArray[np.float64], margin_mm: float) -> shapely.Polygon:
    low, high = points.min(axis=0) - margin_mm, points.max(axis=0) + margin_mm
    return shapely.box(*low, *high)


def _outside(
    region: shapely.MultiPolygon, boundary: Boundary
) -> tuple[NDArray[np.object_], NDArray[np.object_]]:
    """Find the closed pieces outside a region, and the edges of the piece round everything."""
    frame = _frame(boundary.points, 1.0)
    pieces = shapely.get_parts(shapely.difference(frame, region))
    pieces = pieces[shapely.area(pieces) > 0]
    corner = shapely.points(*shapely.get_coordinates(frame)[0])
    around = shapely.intersects(pieces, corner)
    rings = shapely.get_rings(pieces[around])
    return pieces[~around], rings[1:]
