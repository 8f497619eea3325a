"""Rest: what a larger cutter leaves for a smaller one.

In: an outline, the two cutters, how the region is cut, allowance and tolerance, mm. Out: the
stock the larger cutter left and the smaller one reaches, as a region.

pocket   all of the region is cleared by both: inside corners, slots and necks are left.
outside, inside
         both run once round, as a profile does: left is what lies in the smaller cutter's kerf and
         not in the larger one's.

Both run at the distance a profile or pocket of theirs has. What lies within a few micrometres of
the larger cutter's sweep counts as swept; an overlap makes up for it where the two meet.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

import shapely
from shapely.geometry.base import BaseGeometry

from outline2path.errors import RefusedError, SettingError
from outline2path.operations.checks import check_holds_area
from outline2path.operations.offset import offset
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, GRID_MM, Budget

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.shop.cutter import Cutter

__all__ = ["How", "default_overlap_mm", "nothing_left", "rest_region"]

How = Literal["pocket", "outside", "inside"]


def rest_region(
    outline: Outline,
    large_cutter: Cutter,
    small_cutter: Cutter,
    *,
    side: How = "pocket",
    allowance_mm: float = 0.0,
    tolerance_mm: float = DEFAULT_TOLERANCE_MM,
    overlap_mm: float | None = None,
) -> shapely.MultiPolygon:
    """Return what the larger cutter leaves and the smaller one reaches.

    Parameters
    ----------
    outline : Outline
        What is drawn, mm.
    large_cutter, small_cutter : Cutter
        In the order they cut.
    side : "pocket", "outside" or "inside"
        How both cut; see the module's head.
    allowance_mm, tolerance_mm : float
        Of both operations, mm.
    overlap_mm : float, optional
        How far the region is grown over ground that is cut already, never over what must
        stand; `default_overlap_mm` when left out.

    Raises
    ------
    SettingError
        When the first cutter is not the larger one.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> from outline2path.shop.cutter import Cutter
    >>> square = Outline.from_shapely(shapely.box(0, 0, 30, 30))
    >>> left = rest_region(square, Cutter(6), Cutter(2), overlap_mm=0)  # four corners
    >>> len(left.geoms), round(left.area, 1)  # (4 - pi) (9 - 1) = 6.87
    (4, 6.8)
    """
    if not large_cutter.diameter_mm > small_cutter.diameter_mm:
        raise SettingError(
            f"a cutter of {large_cutter.diameter_mm:g} mm leaves nothing that one of "
            f"{small_cutter.diameter_mm:g} mm can reach",
            value=large_cutter.diameter_mm,
            limit=small_cutter.diameter_mm,
            remedy="give the larger cutter first",
        )
    budget = Budget(tolerance_mm)
    region = outline.region_within(budget.flatten_mm)
    check_holds_area(region, doing="cut")
    wrong = _wrong_mm(budget)
    kept = allowance_mm + budget.margin_mm
    small = _Kerf(region, small_cutter.radius_mm, kept, side, budget)
    large = _Kerf(region, large_cutter.radius_mm, kept, side, budget)
    reached = small.swept(0.0)
    left = reached.difference(large.swept(wrong)).buffer(0)
    more = overlap_mm
    if more is None:
        more = default_overlap_mm(large_cutter, small_cutter, tolerance_mm=tolerance_mm)
    if more > 0:
        left = offset(_areas(left), more, budget=budget).intersection(reached)
    return _areas(left)


def default_overlap_mm(
    large_cutter: Cutter, small_cutter: Cutter, *, tolerance_mm: float = DEFAULT_TOLERANCE_MM
) -> float:
    """Return how far the two cutters' work should overlap, mm.

    A quarter of the smaller cutter's radius; but no less than twice the length over which a
    fillet of the larger one's radius R runs into the wall closer than the few micrometres e that
    count as swept, sqrt(2 R e).

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> default_overlap_mm(Cutter(6), Cutter(4))
    0.5
    """
    ends = 2 * math.sqrt(2 * large_cutter.radius_mm * _wrong_mm(Budget(tolerance_mm)))
    return max(small_cutter.radius_mm / 4, ends)


def nothing_left(larger_mm: float, smaller_mm: float) -> RefusedError:
    """Return the error that says a larger cutter leaves nothing; diameters in mm.

    Examples
    --------
    >>> print(nothing_left(6.0, 2.0))
    the cutter of 6 mm leaves nothing that one of 2 mm can reach; leave this step out
    """
    return RefusedError(
        f"the cutter of {larger_mm:g} mm leaves nothing that one of {smaller_mm:g} mm can reach",
        value=smaller_mm,
        limit=larger_mm,
        remedy="leave this step out",
    )


def _wrong_mm(budget: Budget) -> float:
    """How far two offsets may differ where they should be the same."""
    return 2 * (budget.simplify_mm + budget.chords_mm + 4 * GRID_MM)


class _Kerf:
    """What one cutter sweeps."""

    def __init__(
        self,
        region: shapely.MultiPolygon,
        radius_mm: float,
        kept_mm: float,
        side: How,
        budget: Budget,
    ) -> None:
        self.radius_mm, self.side, self.budget = radius_mm, side, budget
        away = radius_mm + kept_mm
        self.centre = offset(region, away if side == "outside" else -away, budget=budget)

    def swept(self, more_mm: float) -> BaseGeometry:
        """Return the sweep, grown a little on all sides."""
        wide = self.radius_mm + more_mm
        outer = offset(self.centre, wide, budget=self.budget)
        if self.side == "pocket":
            return outer
        return outer.difference(offset(self.centre, -wide, budget=self.budget))


def _areas(geometry: BaseGeometry) -> shapely.MultiPolygon:
    parts = shapely.get_parts(geometry)
    parts = parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) > GRID_MM)]
    return shapely.orient_polygons(shapely.MultiPolygon(list(parts)))
