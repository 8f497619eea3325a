"""Relief: round notches in inside corners, so that a square mate seats.

In: an outline in mm and the round cutter that will cut it. Out: the outline with its void grown
at each corner that is concave to the cutter, by what this cutter needs to clear the corner's
point, and no more. A cutter of radius r stops r (1 / sin(b/2) - 1) short of a corner of angle b.

- Dog-bone: the cutter goes on along the bisector until its rim reaches the corner's point. In a
  square corner it bites r (1 - 1/sqrt 2) = 0.292893 r into each wall.
- T-bone: it goes on along one wall and bites r into the other alone; its rim touches the corner's
  point. By choice the wall bitten is the shorter one, so that long walls stay whole to hold the
  mate's thickness.

Both from elementary geometry. The planner keeps the cutter off the walls by its share of the
tolerance T; so that it still gets in, notches are made for a radius of r + T, and dog-bones go T
beyond the corner's point. Where the corner is too narrow for the cutter, a finding says so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.drawing.outline import Outline
from outline2path.drawing.reshaping import reshaped
from outline2path.errors import SettingError
from outline2path.findings import Finding
from outline2path.operations.corners import Edges, VoidSide, checked_side, edges_of
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, Budget
from outline2path.units import parse_angle, parse_length

__all__ = ["relieve"]

Floats = NDArray[np.float64]
Style = Literal["dog-bone", "t-bone"]
Wall = Literal["shorter", "longer"]

_SHARPEST_DEG = 10.0
"""Narrower corners would need notches more than eleven radii long."""
_SAGITTA = 0.05
"""Share of T by which a notch's chords may lie outside its circle."""


@dataclass(frozen=True, eq=False)
class _Corner:
    """One corner: its point, unit vectors along its walls, their lengths, the void's angle."""

    point: Floats
    ahead: Floats
    back: Floats
    ahead_mm: float
    back_mm: float
    angle_deg: float

    @property
    def at_mm(self) -> tuple[float, float]:
        return float(self.point[0]), float(self.point[1])


def relieve(
    outline: Outline,
    cutter: Cutter,
    *,
    style: Style = "dog-bone",
    side: VoidSide = "outside",
    into: Wall = "shorter",
    widest: str | float = 135.0,
    tolerance: str | float = DEFAULT_TOLERANCE_MM,
) -> Outline:
    """Return the outline with its inside corners relieved for a cutter.

    Parameters
    ----------
    outline : Outline
        At its final size.
    cutter : Cutter
        The round cutter that finishes the corners.
    style : "dog-bone" or "t-bone"
        A notch along the corner's bisector, or along one wall.
    side : "outside" or "inside"
        Outside: the regions are the part, and the cutter works in its holes and notches. Inside:
        the regions are openings, and the cutter works in them.
    into : "shorter" or "longer"
        Which wall a T-bone bites.
    widest : str or float
        Corners wider than this angle are left alone.
    tolerance : str or float
        T of the job.

    Returns
    -------
    Outline
        With notches; findings name the corners that the cutter cannot enter.

    Raises
    ------
    SettingError
        When the cutter is not flat, a choice is unknown, or a notch would break through to
        another edge.

    Examples
    --------
    >>> pocket = Outline.from_shapely(shapely.box(0, 0, 20, 10))
    >>> notched = relieve(pocket, Cutter("4 mm"), side="inside")
    >>> [round(x, 2) for x in notched.bounds_mm]
    [-0.62, -0.62, 20.62, 10.62]
    """
    side, margin = checked_side(side), Budget(parse_length(tolerance)).tolerance_mm
    _check(style, into, cutter)
    region = outline.region
    notches: list[BaseGeometry] = []
    findings: list[Finding] = []
    radius = cutter.radius_mm + margin
    for corner in _corners(edges_of(region), side, parse_angle(widest)):
        if style == "dog-bone":
            way = _along_bisector(corner, radius, 2 * margin)
        else:
            way = _along_wall(corner, radius, margin, into)
        if not _fits(region, way[0], radius - margin, side):
            findings.append(_too_narrow(corner, cutter))
            continue
        notches.append(_notch(way, radius, margin))
    if not notches:
        return reshaped(outline, region, findings=findings) if findings else outline
    cleared = shapely.union_all(notches)
    made = region.difference(cleared) if side == "outside" else region.union(cleared)
    if _pieces(made) != _pieces(region):
        raise _broken_through(region, notches, side)
    return reshaped(outline, made, findings=findings)


def _check(style: str, into: str, cutter: Cutter) -> None:
    for name, value, known in (
        ("style", style, ("dog-bone", "t-bone")),
        ("into", into, ("shorter", "longer")),
        ("the cutter's shape", cutter.shape, ("flat",)),
    ):
        if value not in known:
            raise SettingError(
                f"{name} {value!r} does not do for relief",
                value=value,
                limit=known,
                remedy=f"use {' or '.join(known)}",
            )


def _corners(edges: Edges, side: VoidSide, widest_deg: float) -> list[_Corner]:
    """Return the corners that are concave to the cutter, in the order of the rings."""
    angle = edges.void_angle(side)
    chosen = np.flatnonzero((angle >= _SHARPEST_DEG) & (angle <= widest_deg))
    return [
        _Corner(
            point=edges.start[k],
            ahead=edges.along[k],
            back=-edges.along[edges.before[k]],
            ahead_mm=float(edges.length[k]),
            back_mm=float(edges.length[edges.before[k]]),
            angle_deg=float(angle[k]),
        )
        for k in chosen.tolist()
    ]


def _along_bisector(corner: _Corner, radius: float, beyond: float) -> Floats:
    """Centres from where the cutter just fits, on to where its rim is `beyond` the point."""
    bisector = corner.ahead + corner.back
    bisector = bisector / np.hypot(*bisector)
    first = 1.01 * radius / math.sin(math.radians(corner.angle_deg) / 2)
    way: Floats = corner.point + np.outer([first, radius - beyond], bisector)
    return way


def _along_wall(corner: _Corner, radius: float, margin: float, into: Wall) -> Floats:
    """Centres beside the wall that stays whole, from where the cutter fits to the point's foot."""
    stays, bitten = corner.ahead, corner.back
    if (corner.ahead_mm < corner.back_mm) == (into == "shorter"):
        stays, bitten = bitten, stays
    normal = bitten - (bitten @ stays) * stays
    normal = normal / np.hypot(*normal)
    off = radius + 2 * _SAGITTA * margin  # chords included, the wall that stays is not touched
    first = 1.01 * off / math.tan(math.radians(corner.angle_deg) / 2)
    way: Floats = corner.point + off * normal + np.outer([first, 0.0], stays)
    return way


def _fits(region: BaseGeometry, centre: Floats, radius: float, side: VoidSide) -> bool:
    """Whether the cutter stands clear of the material there."""
    point = shapely.Point(centre)
    if region.contains(point) != (side == "inside"):
        return False
    return bool(shapely.distance(region.boundary, point) >= radius)


def _notch(way: Floats, radius: float, margin: float) -> BaseGeometry:
    """Return what the cutter sweeps, chords outside the circle by a small share of the margin."""
    sagitta = _SAGITTA * margin
    quarter = math.ceil(math.pi / 4 / math.acos(radius / (radius + sagitta)))
    grown = radius / math.cos(math.pi / 4 / quarter)
    return shapely.LineString(way).buffer(grown, quad_segs=quarter)


def _pieces(region: BaseGeometry) -> tuple[int, int]:
    parts = shapely.get_parts(region)
    return len(parts), int(shapely.get_num_interior_rings(parts).sum())


def _too_narrow(corner: _Corner, cutter: Cutter) -> Finding:
    return Finding(
        code="corner-not-relieved",
        severity="warning",
        message=f"a corner of {corner.angle_deg:.0f} degrees is too narrow for the cutter of "
        f"{cutter.diameter_mm:g} mm, and was left as it is",
        at_mm=corner.at_mm,
        value=cutter.diameter_mm,
        unit="mm",
        remedy="use a narrower cutter for this opening",
    )


def _broken_through(
    region: BaseGeometry, notches: list[BaseGeometry], side: VoidSide
) -> SettingError:
    """Say which notch reaches another edge."""
    before = _pieces(region)
    alone = (
        notch
        for notch in notches
        if _pieces(region.difference(notch) if side == "outside" else region.union(notch))
        != before
    )
    culprit = next(alone, notches[0]).centroid
    return SettingError(
        f"a corner relief would break through near x {culprit.x:.2f}, y {culprit.y:.2f} mm",
        at_mm=(culprit.x, culprit.y),
        remedy="use a narrower cutter, or leave more wood round the opening",
    )
