"""Bays: waste that the path itself cuts off from the rest.

In: the rings, the area whose edge they are, the cutter. Out: the pieces of waste, seen from above,
that hang on nothing once every ring is cut to full depth, each larger than a piece that may be let
fly. The slug of a hole is one; the waste between a tail and a leg, closed off by a gap that the
cutter just passes, is another. The pieces are the holes of the cutter's sweep by shapely's
buffer; a tenth of a millimetre does not matter here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely
from shapely.geometry.base import BaseGeometry

from outline2path.shop.holding import LARGE_PIECE_MM2

if TYPE_CHECKING:
    from outline2path.operations.rings import Ring

__all__ = ["loose_waste"]

_QUADRANT = 8
_SIMPLER = 0.02
"""Share of the cutter's radius that the path may be simplified by for this."""


def loose_waste(
    rings: list[Ring], *, area: BaseGeometry, inside: bool, cutter_mm: float
) -> list[shapely.Polygon]:
    """Return the large pieces of waste that hang on nothing once the rings are cut.

    Parameters
    ----------
    rings : list of Ring
        Every ring cut to full depth.
    area : geometry
        The area whose edge they are, mm.
    inside : bool
        Whether the waste is the area itself rather than the rest.
    cutter_mm : float
        Cutting diameter, mm.

    Examples
    --------
    >>> from outline2path.operations.rings import rings_of
    >>> plate = shapely.box(0, 0, 60, 60).difference(shapely.box(9, 9, 29, 29))
    >>> area = shapely.MultiPolygon([plate])
    >>> rings = rings_of(area, side="outside", direction="climb")
    >>> [round(p.area) for p in loose_waste(rings, area=area, inside=False, cutter_mm=2.0)]
    [324]
    """
    radius = cutter_mm / 2
    lines = shapely.multilinestrings([shapely.linearrings(r.loop.points) for r in rings])
    swept = shapely.buffer(shapely.simplify(lines, _SIMPLER * radius), radius, quad_segs=_QUADRANT)
    pieces = [
        shapely.Polygon(hole) for part in shapely.get_parts(swept) for hole in part.interiors
    ]
    pieces = [piece for piece in pieces if piece.area > LARGE_PIECE_MM2]
    return [p for p in pieces if area.intersects(_by_the_rim(p, _SIMPLER * radius)) == inside]


def _by_the_rim(piece: shapely.Polygon, inward_mm: float) -> BaseGeometry:
    """Return a point just inside a piece: its middle may be a hole of something else."""
    inner = shapely.get_parts(piece.buffer(-inward_mm, quad_segs=1))[0]
    return shapely.points(inner.exterior.coords[0])
