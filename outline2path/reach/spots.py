"""Can this cutter get there? The answer for an outline, a cutter and a side.

In: an Outline and a cutter diameter in mm. Out: a Reach: every narrow spot with its place, width,
lost depth and lost area, the widest cutter that would pass everywhere, and findings in words.

Outside: the free space is round the outline and in its holes. Inside: it is the outline's own
regions. On the line the cutter follows the outline itself, and nothing counts as out of reach.
A cutter fits a gap when it is no wider than the gap.

Refused: a cutter or a tolerance that is no sensible length.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Any, Literal, NamedTuple

import shapely

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.findings import Finding
from outline2path.late import later
from outline2path.notebook import html_picture, html_table
from outline2path.reach.copies import Pattern, gap_between_mm, once_each, patterns
from outline2path.reach.narrow import Kind, Spot, in_order, spots_in, tight_places
from outline2path.reach.remedies import advice, reach_findings
from outline2path.reach.room import survey
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, Budget

__all__ = ["Kind", "Reach", "Side", "Spot", "forget_looks", "narrow_spots"]

Side = Literal["outside", "inside", "on"]
"""Which side of the outline is cut."""
FINE_SHARE = 40
"""Edges are thinned by at most the tolerance over this, at most by 0.0005 mm: widths are right to
0.002 mm."""
APART = 4
"""Parts farther apart than the cutter, by so many tolerances, are none of each other's business: a
disc that rests on one of them is clear of the other."""
LOOKS_KEPT = 16
"""The latest answers are kept, since jobs ask about copies of one part step by step."""
_ROWS_SHOWN = 12
"""As many as the picture numbers."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Reach:
    """Where a cutter cannot get.

    Attributes
    ----------
    outline : Outline
        The outline asked about.
    cutter_mm : float
        The cutter's diameter.
    side : "outside", "inside" or "on"
        The side that is cut.
    spots : tuple of Spot
        Holes first, then gaps by width, then corners by depth.
    unreached_area_mm2 : float
        All the area of the free space the cutter leaves.
    largest_cutter_mm : float or None
        The widest cutter that passes every gap and enters every hole, corner rounding aside; None
        when neither limits it. A property of the outline, whatever the cutter.
    tight : tuple of (x, y, width)
        Gaps and holes the cutter just fits but a tolerant path will not enter, in mm.
    allowance_mm, tolerance_mm : float
        How far the part was grown; corners losing less than the tolerance are left out.
    """

    outline: Outline
    cutter_mm: float
    side: Side = "outside"
    spots: tuple[Spot, ...] = ()
    unreached_area_mm2: float = 0.0
    largest_cutter_mm: float | None = None
    tight: tuple[tuple[float, float, float], ...] = ()
    allowance_mm: float = 0.0
    tolerance_mm: float = DEFAULT_TOLERANCE_MM
    blocked: bool = False
    """Whether the cutter reaches nothing at all."""

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What a person must know, gravest first, with remedies in words and numbers."""
        return reach_findings(self)

    def as_dict(self) -> dict[str, Any]:
        """Return the `reach` part of the report, lengths in mm, areas in mm2.

        Examples
        --------
        >>> plate = Outline.from_shapely(shapely.box(0, 0, 40, 30))
        >>> narrow_spots(plate, 3.0).as_dict()
        {'unreached_area_mm2': 0.0, 'largest_cutter_mm': None, 'spots': []}
        """
        return {
            "unreached_area_mm2": self.unreached_area_mm2,
            "largest_cutter_mm": self.largest_cutter_mm,
            "spots": [spot.as_dict() for spot in self.spots],
        }

    def __repr__(self) -> str:
        largest = self.largest_cutter_mm
        limit = "no limit" if largest is None else f"largest {largest:.3f} mm"
        return f"Reach({self.cutter_mm:g} mm {self.side}: {len(self.spots)} spots, {limit})"

    @cached_property
    def _shown(self) -> tuple[bytes, dict[str, int]]:
        shown: tuple[bytes, dict[str, int]] = later("for_notebook", later("reach_png", self))
        return shown

    def _repr_html_(self) -> str:
        picture = html_picture(*self._shown, words=_caption(self))
        if not self.spots:
            return picture
        heads = (
            "",
            "kind",
            "x mm",
            "y mm",
            "width mm",
            "lost depth mm",
            "lost mm\u00b2",
            "remedy",
        )
        rows = [_row(number, spot, self) for number, spot in enumerate(self.spots, start=1)]
        return picture + html_table(heads, rows, caption=_caption(self), most=_ROWS_SHOWN)

    def _repr_png_(self) -> tuple[bytes, dict[str, int]]:
        return self._shown


def narrow_spots(
    outline: Outline,
    cutter_mm: float,
    *,
    side: Side = "outside",
    tolerance_mm: float = DEFAULT_TOLERANCE_MM,
    allowance_mm: float = 0.0,
) -> Reach:
    """Find where a cutter cannot get.

    Parameters
    ----------
    outline : Outline
        In mm.
    cutter_mm : float
        The cutter's diameter.
    side : "outside", "inside" or "on"
        Outside: the outline is the part. Inside: it is the opening.
    tolerance_mm : float
        Corners that lose less than this are left out; 0.002 to 1 mm.
    allowance_mm : float
        The walls stand this much farther into the free space than drawn; below 0, less far.

    Raises
    ------
    SettingError
        When a length is not finite, or the cutter is not wider than 0.

    Examples
    --------
    >>> plate = shapely.box(0, 0, 40, 30) - shapely.box(10, 10, 12, 20)
    >>> reach = narrow_spots(Outline.from_shapely(plate), 3.0)
    >>> [spot.kind for spot in reach.spots], round(reach.largest_cutter_mm, 3)
    (['hole'], 2.0)
    """
    if not (math.isfinite(cutter_mm) and cutter_mm > 0):
        raise SettingError(
            f"a cutter of {cutter_mm:g} mm is no cutter",
            value=cutter_mm,
            remedy="give its diameter",
        )
    if not math.isfinite(allowance_mm):
        raise SettingError(f"an allowance of {allowance_mm:g} mm is no length", value=allowance_mm)
    if side not in {"outside", "inside", "on"}:
        raise SettingError(f"side {side!r} is unknown", value=side, remedy="outside, inside or on")
    budget = Budget(tolerance_mm)
    if side == "on":
        return Reach(outline=outline, cutter_mm=cutter_mm, side=side, tolerance_mm=tolerance_mm)
    fine_mm = min(tolerance_mm, DEFAULT_TOLERANCE_MM) / FINE_SHARE
    outward = allowance_mm if side == "outside" else -allowance_mm
    region = _grown(outline.region_within(fine_mm), outward)
    if region.is_empty:
        return Reach(
            outline=outline,
            cutter_mm=cutter_mm,
            side=side,
            unreached_area_mm2=float(outline.region.area),
            allowance_mm=allowance_mm,
            tolerance_mm=tolerance_mm,
            blocked=side == "inside",
        )
    inside = side == "inside"
    apart_mm = 0.0 if inside else cutter_mm + APART * tolerance_mm
    parts = patterns(region, apart_mm=apart_mm)
    asked = _Asked(cutter_mm, inside, fine_mm, tolerance_mm, budget.margin_mm)
    looks = [_look(places[0], asked).at(places) for places in once_each(parts)]
    spots = in_order(spot for look in looks for spot in look.spots)
    tightest = min((w.tightest_mm for w in looks if w.tightest_mm is not None), default=None)
    tight = sorted((place for look in looks for place in look.tight), key=lambda place: place[2])
    return Reach(
        outline=outline,
        cutter_mm=cutter_mm,
        side=side,
        spots=spots,
        unreached_area_mm2=sum(look.area_mm2 for look in looks),
        largest_cutter_mm=tightest if inside else gap_between_mm(parts, tightest),
        tight=tuple(tight),
        allowance_mm=allowance_mm,
        tolerance_mm=tolerance_mm,
        blocked=inside and _all_lost(spots, region),
    )


class _Asked(NamedTuple):
    """What is asked about a free space: lengths in mm, and which side of the edges it is."""

    cutter_mm: float
    free_inside: bool
    fine_mm: float
    ignore_mm: float
    margin_mm: float


@dataclass(frozen=True, eq=False)
class _Look:
    """What was found round one pattern, and where its lower left corner was."""

    low_mm: tuple[float, float]
    spots: tuple[Spot, ...]
    area_mm2: float
    tightest_mm: float | None
    tight: tuple[tuple[float, float, float], ...]

    def at(self, places: Sequence[Pattern]) -> _Look:
        """Return all that is found round copies of it."""
        shifts = [place.shift_from(self.low_mm) for place in places]
        return replace(
            self,
            spots=tuple(spot.moved(*shift) for shift in shifts for spot in self.spots),
            area_mm2=len(shifts) * self.area_mm2,
            tight=tuple((x + dx, y + dy, w) for dx, dy in shifts for x, y, w in self.tight),
        )


@lru_cache(maxsize=LOOKS_KEPT)
def _look(pattern: Pattern, asked: _Asked) -> _Look:
    room = survey(
        pattern.region,
        free_inside=asked.free_inside,
        fine_mm=asked.fine_mm,
        ignore_mm=asked.ignore_mm,
    )
    spots, area = spots_in(room, asked.cutter_mm, ignore_mm=asked.ignore_mm)
    tight = tight_places(room, asked.cutter_mm, asked.cutter_mm + 2 * asked.margin_mm)
    return _Look(pattern.low_mm, spots, area, room.tightest_mm, tuple(tight))


def forget_looks() -> None:
    """Forget what was found before, so that the next look at a part takes its full time."""
    _look.cache_clear()


def _grown(region: shapely.MultiPolygon, distance_mm: float) -> shapely.MultiPolygon:
    """Move the walls of a region by the allowance, corners rounded."""
    if distance_mm == 0:
        return region
    moved = shapely.buffer(region, distance_mm, quad_segs=64)
    parts = shapely.get_parts(moved)
    return shapely.multipolygons(parts[shapely.area(parts) > 0])


def _all_lost(spots: tuple[Spot, ...], region: shapely.MultiPolygon) -> bool:
    holes = sum(spot.kind == "hole" for spot in spots)
    return holes == len(region.geoms)


def _caption(reach: Reach) -> str:
    largest = reach.largest_cutter_mm
    limit = (
        "no gap or hole limits the cutter"
        if largest is None
        else f"the widest cutter that passes everywhere is {largest:.2f} mm"
    )
    return (
        f"{reach.cutter_mm:g} mm cutter, {reach.side}: "
        f"{reach.unreached_area_mm2:.2f} mm² out of reach; {limit}"
    )


def _row(number: int, spot: Spot, reach: Reach) -> tuple[str, ...]:
    return (
        f"{number}",
        spot.kind,
        f"{spot.at_mm[0]:.2f}",
        f"{spot.at_mm[1]:.2f}",
        "" if spot.gap_mm is None else f"{spot.gap_mm:.3f}",
        f"{spot.lost_depth_mm:.3f}",
        f"{spot.lost_area_mm2:.3f}",
        advice(spot, reach),
    )
