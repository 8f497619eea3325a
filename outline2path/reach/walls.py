"""Thin walls: parts of the outline too thin to survive.

In: an Outline, a thickness in mm. Out: each place where the part is thinner than that, with its
least thickness. It is the question of narrow spots asked of the part instead of the free space:
where would a disc of that diameter not pass? The points of sharp corners are no walls.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import shapely

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.findings import Finding
from outline2path.reach.copies import Pattern, once_each, patterns
from outline2path.reach.narrow import Spot, spots_in
from outline2path.reach.room import survey
from outline2path.tolerance import DEFAULT_TOLERANCE_MM

__all__ = ["Wall", "thin_walls", "wall_findings"]

FINE_MM = DEFAULT_TOLERANCE_MM / 40
"""Most an edge is moved by thinning: thicknesses are right to 0.002 mm."""
LOOKS_KEPT = 16
"""The latest answers are kept, since jobs ask about copies of one part step by step."""
MOST_NAMED = 20
"""So many walls get a finding of their own; the rest share one."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Wall:
    """A thin place of the part.

    Attributes
    ----------
    at_mm : tuple of float
        Middle of the thinnest place, x, y in mm.
    thickness_mm : float
        The least thickness.
    area : MultiPolygon
        All that is thinner than the limit there, in mm; empty at a sharp waist.
    limit_mm : float
        The limit asked about.

    Examples
    --------
    >>> Wall(at_mm=(2.0, 3.0), thickness_mm=0.8)
    Wall(0.800 mm thick at x 2.00, y 3.00)
    """

    at_mm: tuple[float, float]
    thickness_mm: float
    area: shapely.MultiPolygon = field(default_factory=shapely.MultiPolygon)
    limit_mm: float = 1.0

    def as_dict(self) -> dict[str, Any]:
        """Return the wall as the report writes it."""
        return {"at_mm": list(self.at_mm), "thickness_mm": self.thickness_mm}

    def __repr__(self) -> str:
        x, y = self.at_mm
        return f"Wall({self.thickness_mm:.3f} mm thick at x {x:.2f}, y {y:.2f})"


def thin_walls(outline: Outline, *, thinner_than_mm: float = 1.0) -> tuple[Wall, ...]:
    """Find the places where the part is thinner than a limit, thinnest first.

    Parameters
    ----------
    outline : Outline
        Its filled regions are the part, in mm.
    thinner_than_mm : float
        The limit; 0 finds none.

    Raises
    ------
    SettingError
        When the limit is negative or not finite.

    Examples
    --------
    >>> frame = shapely.box(0, 0, 40, 30) - shapely.box(0.6, 2, 38, 28)
    >>> thin_walls(Outline.from_shapely(frame))
    (Wall(0.600 mm thick at x 0.30, y 2.00),)
    """
    if not (math.isfinite(thinner_than_mm) and thinner_than_mm >= 0):
        raise SettingError(
            f"a wall thickness of {thinner_than_mm:g} mm is no length", value=thinner_than_mm
        )
    region = outline.region_within(FINE_MM)
    if thinner_than_mm == 0 or region.is_empty:
        return ()
    spots = []
    for places in once_each(patterns(region, apart_mm=0.0)):
        low_mm, found = _thin(places[0], thinner_than_mm)
        shifts = [place.shift_from(low_mm) for place in places]
        spots += [spot.moved(*shift) for shift in shifts for spot in found]
    walls = [
        Wall(
            at_mm=spot.at_mm,
            thickness_mm=spot.gap_mm,
            area=spot.lost,
            limit_mm=thinner_than_mm,
        )
        for spot in spots
        if spot.gap_mm is not None
    ]
    return tuple(sorted(walls, key=lambda wall: (wall.thickness_mm, wall.at_mm)))


@lru_cache(maxsize=LOOKS_KEPT)
def _thin(
    pattern: Pattern, thinner_than_mm: float
) -> tuple[tuple[float, float], tuple[Spot, ...]]:
    """Where the lower left corner of the pattern was, and its narrow spots."""
    room = survey(
        pattern.region, free_inside=True, fine_mm=FINE_MM, ignore_mm=DEFAULT_TOLERANCE_MM
    )
    if room.tightest_mm is None or room.tightest_mm >= thinner_than_mm:
        return pattern.low_mm, ()
    return pattern.low_mm, spots_in(room, thinner_than_mm, ignore_mm=DEFAULT_TOLERANCE_MM)[0]


def wall_findings(walls: tuple[Wall, ...]) -> tuple[Finding, ...]:
    """Put thin walls into findings with their remedy.

    Examples
    --------
    >>> wall = Wall(at_mm=(2.0, 3.0), thickness_mm=0.8)
    >>> print(wall_findings((wall,))[0])
    warning: the part is only 0.80 mm thick at x 2.00, y 3.00; enlarge the drawing 1.25 times, \
or thicken it there
    """
    found = [
        _finding(wall, f"the part is only {wall.thickness_mm:.2f} mm thick")
        for wall in walls[:MOST_NAMED]
    ]
    rest = walls[MOST_NAMED:]
    if rest:
        message = f"{len(rest)} more places are thinner than {rest[0].limit_mm:g} mm"
        found.append(_finding(rest[0], message))
    return tuple(found)


def _finding(wall: Wall, message: str) -> Finding:
    larger = ""
    if wall.thickness_mm > 0:
        scale = math.ceil(1000 * wall.limit_mm / wall.thickness_mm) / 1000
        larger = f"enlarge the drawing {scale:g} times, or "
    return Finding(
        code="thin-wall",
        severity="warning",
        message=message,
        at_mm=wall.at_mm,
        value=wall.thickness_mm,
        limit=wall.limit_mm,
        unit="mm",
        remedy=f"{larger}thicken it there",
    )
