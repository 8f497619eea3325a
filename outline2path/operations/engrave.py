"""Engrave: lines followed at a depth, and the edges of filled shapes.

In: an Outline, a Cutter, the settings, z of the surface and of the floor, mm. Out: Cuts, one
contour for each open line and each closed edge. The cutter's tip runs on the line itself, within
the tolerance; there is no allowance and no side. Lines whose ends meet are followed in one go.
An open line may as well be begun at its other end, a closed edge at a few other places.

Passes. An open line is followed forth and back, so that the cutter stays down between passes; a
closed edge is followed round in one sense, a little over its start on the last pass.

How wide the groove gets is told as a finding: the cutter's width at the surface, seen from above.

Refused: drills and facing cutters, and floors that are not below the surface (SettingError).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from outline2path.errors import SettingError
from outline2path.findings import Finding
from outline2path.operations.checks import check_finite, check_within
from outline2path.operations.cut import Contour, Cut, Cuts, Span, Way
from outline2path.operations.passes import pass_depths
from outline2path.operations.shortfalls import flute_findings
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, GRID_MM, LENGTH_EPSILON_MM, Budget

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.shop.cutter import Cutter

__all__ = ["EngraveSettings", "engrave"]

Floats = NDArray[np.float64]

_OVER_MM = 0.5
"""How far a closed line is followed over its start: common practice, no source."""
_STARTS = 8
"""Places at which a closed edge may be begun."""
_BOUNDS = {"depth_mm": (0.01, 100.0), "depth_per_pass_mm": (0.01, 100.0)}


@dataclass(frozen=True, kw_only=True)
class EngraveSettings:
    """How lines are engraved.

    Attributes
    ----------
    depth_mm : float or None
        Below the surface; None takes the floor the operation is given.
    depth_per_pass_mm : float
        Most that one pass goes deeper.
    tolerance_mm : float
        How far the tip may be from the drawn line.

    Raises
    ------
    SettingError
        When a setting is impossible.

    Examples
    --------
    >>> EngraveSettings(depth_mm=0)
    Traceback (most recent call last):
    outline2path.errors.SettingError: depth 0 is outside 0.01 to 100
    """

    depth_mm: float | None = None
    depth_per_pass_mm: float = 0.5
    tolerance_mm: float = DEFAULT_TOLERANCE_MM

    def __post_init__(self) -> None:
        check_finite(self)
        check_within(self, _BOUNDS)
        Budget(self.tolerance_mm)  # refuses what cannot be shared out


def engrave(
    outline: Outline,
    cutter: Cutter,
    *,
    settings: EngraveSettings | None = None,
    top_mm: float,
    bottom_mm: float,
) -> Cuts:
    """Plan the cuts along an outline's lines and round its filled shapes.

    Parameters
    ----------
    outline : Outline
        Lines and shapes in mm, y up, in work coordinates.
    cutter : Cutter
        V, chamfer, ball or flat.
    settings : EngraveSettings, optional
        Depth, depth per pass; lengths in mm.
    top_mm, bottom_mm : float
        z of the surface, and of the floor; where the settings name a depth, the lowest z allowed.

    Raises
    ------
    SettingError
        When the cutter does not engrave, or the depth goes below the floor.

    Examples
    --------
    >>> from outline2path.drawing.single_line import single_line
    >>> from outline2path.shop.cutter import Cutter
    >>> plan = engrave(single_line("L", height=6), Cutter(6, shape="v", angle=60),
    ...                settings=EngraveSettings(depth_per_pass_mm=0.2), top_mm=0, bottom_mm=-0.3)
    >>> [[span.points[-1].tolist() for span in cut.spans] for cut in plan.contours[0].cuts]
    [[[0.0, 6.0, -0.15], [3.5, 0.0, -0.15]], [[3.5, 0.0, -0.3], [0.0, 6.0, -0.3]]]
    """
    settings = settings or EngraveSettings()
    if cutter.shape in ("drill", "facing"):
        raise SettingError(
            f"a {cutter.shape} cutter does not engrave",
            value=cutter.shape,
            remedy="use a V, ball or flat cutter",
        )
    floor = _floor(settings, top_mm=top_mm, bottom_mm=bottom_mm)
    depths = pass_depths(
        top_mm=top_mm,
        bottom_mm=floor,
        depth_per_pass_mm=settings.depth_per_pass_mm,
        through_mm=0.0,
    )
    levels = list(zip((top_mm, *depths), depths, strict=False))
    drawn = outline.drawn_within(Budget(settings.tolerance_mm).flatten_mm)
    starts = [_both_ends(line, cutter, levels) for line in _open_lines(drawn.lines)]
    starts += [_round_about(ring, cutter, levels) for ring in _closed_lines(drawn.region)]
    contours = tuple(
        Contour(number=n, cuts=own.make(), others=others)
        for n, (own, *rest) in enumerate(starts)
        for others in (tuple(rest),)
    )
    deep = top_mm - floor
    findings = [_groove(cutter, deep)]
    findings += flute_findings(cutter, deep_mm=deep, step_mm=deep / len(depths))
    return Cuts(contours, tuple(findings))


def _floor(settings: EngraveSettings, *, top_mm: float, bottom_mm: float) -> float:
    if settings.depth_mm is None:
        return bottom_mm
    floor = top_mm - settings.depth_mm
    if floor < bottom_mm - LENGTH_EPSILON_MM:
        raise SettingError(
            f"an engraving {settings.depth_mm:g} mm deep goes below the floor "
            f"{top_mm - bottom_mm:g} mm under the surface",
            value=settings.depth_mm,
            limit=top_mm - bottom_mm,
            remedy="engrave less deep",
        )
    return floor


def _open_lines(lines: BaseGeometry) -> list[Floats]:
    """Return the points of each line, those whose ends meet joined."""
    if lines.is_empty:
        return []
    merged = shapely.get_parts(shapely.line_merge(lines))
    return [shapely.get_coordinates(m) for m in merged if shapely.length(m) > GRID_MM]


def _closed_lines(region: shapely.MultiPolygon) -> list[BaseGeometry]:
    return list(shapely.get_rings(shapely.get_parts(region)))


def _both_ends(points: Floats, cutter: Cutter, levels: list[tuple[float, float]]) -> list[Way]:
    """Offer to begin an open line at either end."""
    return [
        _way(way[0], way[-1] if len(levels) % 2 else way[0],
             partial(_forth_and_back, way, cutter, levels))
        for way in (points, points[::-1])
    ]  # fmt: skip


def _round_about(
    ring: BaseGeometry, cutter: Cutter, levels: list[tuple[float, float]]
) -> list[Way]:
    """Offer to begin a closed edge at its first point, or at a few others along it."""
    points = shapely.get_coordinates(ring)
    marks = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
    wanted = np.linspace(0.0, marks[-1], _STARTS, endpoint=False)
    first = np.unique(np.searchsorted(marks[:-1], wanted))
    found = []
    for k in first[first < len(points) - 1].tolist():
        turned = shapely.LinearRing(np.vstack((points[k:-1], points[:k])))
        end = shapely.get_coordinates(turned.interpolate(_over_mm(turned)))[0]
        found.append(_way(points[k], end, partial(_round, turned, cutter, levels)))
    return found


def _way(begin: Floats, end: Floats, make: Callable[[], tuple[Cut, ...]]) -> Way:
    return Way(
        begin_mm=(float(begin[0]), float(begin[1])),
        end_mm=(float(end[0]), float(end[1])),
        make=make,
    )


def _over_mm(ring: BaseGeometry) -> float:
    return min(_OVER_MM, float(ring.length) / 4)


def _forth_and_back(
    points: Floats, cutter: Cutter, levels: list[tuple[float, float]]
) -> tuple[Cut, ...]:
    """Follow an open line, every second pass from its other end."""
    cuts = []
    for n, (above, z) in enumerate(levels):
        way = points[::-1] if n % 2 else points
        cuts.append(Cut("engrave", cutter, z, (_down(way, above, z), _level(way, z))))
    return tuple(cuts)


def _round(
    ring: BaseGeometry, cutter: Cutter, levels: list[tuple[float, float]]
) -> tuple[Cut, ...]:
    """Follow a closed edge, on the last pass a little over its start."""
    points = shapely.get_coordinates(ring)
    begin = substring(shapely.LineString(points), 0.0, _over_mm(ring))
    last = np.vstack((points, shapely.get_coordinates(begin)[1:]))
    ways = [points] * (len(levels) - 1) + [last]
    return tuple(
        Cut("engrave", cutter, z, (_down(way, above, z), _level(way, z)))
        for way, (above, z) in zip(ways, levels, strict=True)
    )


def _down(points: Floats, above: float, z: float) -> Span:
    x, y = points[0]
    return Span("plunge", np.array([[x, y, above], [x, y, z]]))


def _level(points: Floats, z: float) -> Span:
    return Span("cut", np.column_stack((points, np.full(len(points), z))))


def _groove(cutter: Cutter, deep_mm: float) -> Finding:
    wide = 2 * cutter.radius_at_mm(deep_mm)
    return Finding(
        code="groove-width",
        severity="info",
        message=f"engraved lines are {wide:.2f} mm wide at the surface, {deep_mm:.2f} mm deep",
        value=wide,
        unit="mm",
        remedy="engrave less deep, or with a sharper cutter, where they should be finer"
        if cutter.is_conical
        else None,
    )
