"""Holes: the circles of a drawing as places to drill, and places as circles.

In: a region in mm, flattened within a known distance. Out: one Hole for each part that is round,
and a finding for each that is not. Round means: no point of its edge is farther from one circle
than a given distance. The circle is fitted to the corners by least squares (I. Kasa, 1976, from
memory), which is exact where they lie on the drawn curve.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from outline2path.errors import SettingError
from outline2path.findings import Finding
from outline2path.tolerance import SMALLEST_TOLERANCE_MM, Budget
from outline2path.units import parse_length

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline

__all__ = ["Hole", "circles", "openings", "round_holes"]


@dataclass(frozen=True)
class Hole:
    """A round hole: its middle, the radius of its edge, and of the circle inside its edge, mm.

    Examples
    --------
    >>> Hole((5.0, 7.0), radius_mm=3.0, inner_mm=2.999).at_mm
    (5.0, 7.0)
    """

    at_mm: tuple[float, float]
    radius_mm: float
    inner_mm: float


def round_holes(
    region: shapely.MultiPolygon, *, within_mm: float
) -> tuple[list[Hole], list[Finding]]:
    """Return the round parts of a region, and findings on the others.

    Parameters
    ----------
    region : MultiPolygon
        In mm.
    within_mm : float
        Most that the edge may be from a circle, inwards or outwards.

    Examples
    --------
    >>> coin = shapely.Point(7, 5).buffer(3, quad_segs=64)
    >>> holes, findings = round_holes(shapely.MultiPolygon([coin, shapely.box(20, 0, 26, 6)]),
    ...                               within_mm=0.01)
    >>> [(round(h.at_mm[0], 6), round(h.at_mm[1], 6), round(h.radius_mm, 6)) for h in holes]
    [(7.0, 5.0, 3.0)]
    >>> print(findings[0])
    error: a shape 6.00 x 6.00 mm is not round by 1.24 mm, so it cannot be drilled at x 23.00, \
y 3.00; select only circles, or clear it as a pocket
    """
    holes, findings = list[Hole](), list[Finding]()
    for part in region.geoms:
        hole, off = _fitted(part)
        if off <= within_mm:
            holes.append(hole)
        else:
            findings.append(_not_round(part, off, within_mm))
    return holes, findings


def _fitted(part: shapely.Polygon) -> tuple[Hole, float]:
    """Fit a circle to a part's edge: the hole it would be, and how far the edge is from it."""
    corners = shapely.get_coordinates(part.exterior)[:-1]
    about = corners.mean(axis=0)
    x, y = (corners - about).T
    terms = np.column_stack((2 * x, 2 * y, np.ones(len(x))))
    cx, cy, _ = np.linalg.lstsq(terms, x * x + y * y, rcond=None)[0]
    middle = about + np.array((cx, cy))
    nearest = float(part.exterior.distance(shapely.Point(middle)))
    distances = np.hypot(*(corners - middle).T)
    mean = float(distances.mean())
    hole = Hole((float(middle[0]), float(middle[1])), mean, nearest)
    off = max(float(distances.max()) - mean, mean - nearest)
    return hole, math.inf if part.interiors or not part.covers(shapely.Point(middle)) else off


def _not_round(part: shapely.Polygon, off_mm: float, within_mm: float) -> Finding:
    x0, y0, x1, y1 = part.bounds
    spot = part.representative_point()
    far = math.isfinite(off_mm)
    why = f"is not round by {off_mm:.3g} mm" if far else "is not round"
    return Finding(
        code="hole-not-round",
        severity="error",
        message=f"a shape {x1 - x0:.2f} x {y1 - y0:.2f} mm {why}, so it cannot be drilled",
        at_mm=(float(spot.x), float(spot.y)),
        value=off_mm if far else None,
        limit=within_mm,
        unit="mm",
        remedy="select only circles, or clear it as a pocket",
    )


def circles(points_mm: Iterable[tuple[float, float]], *, diameter: str | float) -> Outline:
    """Return true circles about places, as an outline to be drilled or bored.

    Parameters
    ----------
    points_mm : iterable of (x, y)
        Middles in mm, y up.
    diameter : str or float
        Length with unit, or mm.

    Raises
    ------
    SettingError
        When the diameter is not positive, or there is no place.

    Examples
    --------
    >>> circles([(0, 0), (20, 0)], diameter=6).size_mm
    (26.0, 6.0)
    """
    from outline2path.drawing.outline import Outline  # keeps the chain of imports short

    r = parse_length(diameter) / 2
    places = [(float(x), float(y)) for x, y in points_mm]
    if not (r > 0 and places):
        raise SettingError(
            f"{len(places)} circles of {2 * r:g} mm cannot be drilled",
            value=2 * r,
            remedy="give at least one place and a diameter above zero",
        )
    path = "".join(
        f"M{x + r!r} {y!r}A{r!r} {r!r} 0 0 1 {x - r!r} {y!r}A{r!r} {r!r} 0 0 1 {x + r!r} {y!r}Z"
        for x, y in places
    )
    return Outline.from_path(path, y_up=True)


def openings(outline: Outline, *, widest: str | float | None = None) -> Outline:
    """Return the holes in an outline's regions as an outline of their own, at the same place.

    Parameters
    ----------
    outline : Outline
        Such as a plate with holes drawn in it.
    widest : str or float, optional
        Leave out holes wider than this, measured as a circle of their area.

    Raises
    ------
    SettingError
        When there is no such hole.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> plate = shapely.box(0, 0, 40, 20) - shapely.Point(9, 9).buffer(2, quad_segs=64)
    >>> openings(Outline.from_shapely(plate)).bounds_mm
    (7.0, 7.0, 11.0, 11.0)
    """
    from outline2path.drawing.outline import Outline  # keeps the chain of imports short

    most = math.inf if widest is None else parse_length(widest)
    region = outline.region_within(Budget(SMALLEST_TOLERANCE_MM).flatten_mm)
    holes = [shapely.Polygon(hole) for part in region.geoms for hole in part.interiors]
    holes = [hole for hole in holes if 2 * math.sqrt(hole.area / math.pi) <= most]
    if not holes:
        raise SettingError(
            f"{outline!r} has no hole" + ("" if widest is None else f" up to {most:g} mm wide"),
            value=most,
            remedy="choose shapes with holes in them",
        )
    return Outline.from_shapely(shapely.MultiPolygon(holes))
