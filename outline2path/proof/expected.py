"""Expected: one profile that a program was to make, told without a word about how.

In: the drawn region, the side, the cutter, the depths. Out: a frozen value that the judge reads.
Lengths in mm, z in work coordinates, y and z up. The region comes as an Outline, as anything
that gives its region within a tolerance, or as plain shapely geometry, so that the judge may ask
for it far finer than the program's own tolerance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import get_args

import shapely

from outline2path.errors import SettingError
from outline2path.proof.feature import ExpectedTab, Feature, RegionSource, Side

__all__ = ["Expected", "ExpectedTab"]


@dataclass(frozen=True, kw_only=True)
class Expected:
    """What the program was to make.

    Attributes
    ----------
    region_fine : Outline, callable or shapely geometry
        The drawn region where the program works; a callable takes a tolerance in mm.
    side : "outside", "inside" or "on"
        Where the cutter runs: around the region, within it, or along its edge.
    cutter_mm : float
        Diameter of the cutter that will be mounted.
    tolerance_mm : float
        Most that may be left where the cutter reaches.
    allowance_mm : float
        Stock to be left on the edge on purpose; negative to cut deeper.
    top_mm, bottom_mm : float
        z of the stock's top and underside.
    through_mm : float
        How far below the underside the last pass goes.
    tabs : tuple of ExpectedTab
        Bridges to be left.
    clearance_mm : float
        z at or above which the tool may travel sideways by rapid.
    depth_per_pass_mm, flute_length_mm : float or None
        Most that one pass may go deeper; length of the cutting edges.
    travel_mm : tuple of 6 floats or None
        x, y, z least and greatest that the machine reaches, in work coordinates.
    stock_mm : tuple of 4 floats or None
        x, y least and greatest of the stock.
    most_feed_mm_min : float, tuple of 3 floats, or None
        What the machine can do along every move, or what its axes x, y and z can do.
    most_rpm : float or None
        Fastest its spindle turns.
    start_mm : tuple of 3 floats or None
        Where the tool stands before, if that is known.
    largest_loose_mm2 : float
        Where tabs hold the part, pieces up to this area may come free (common practice, no
        source: small slugs are left without tabs).

    Raises
    ------
    SettingError
        When a figure is impossible.

    Examples
    --------
    >>> wanted = Expected(region_fine=shapely.box(0, 0, 40, 30), side="outside", cutter_mm=3.0,
    ...                   top_mm=0.0, bottom_mm=-6.0, clearance_mm=5.0)
    >>> wanted.deepest_mm, wanted.radius_mm, wanted.feature.geometry.area
    (-6.0, 1.5, 1200.0)
    """

    region_fine: RegionSource
    side: Side
    cutter_mm: float
    top_mm: float
    bottom_mm: float
    clearance_mm: float
    tolerance_mm: float = 0.02
    allowance_mm: float = 0.0
    through_mm: float = 0.0
    tabs: tuple[ExpectedTab, ...] = ()
    depth_per_pass_mm: float | None = None
    flute_length_mm: float | None = None
    travel_mm: tuple[float, float, float, float, float, float] | None = None
    stock_mm: tuple[float, float, float, float] | None = None
    most_feed_mm_min: float | tuple[float, ...] | None = None
    most_rpm: float | None = None
    start_mm: tuple[float, float, float] | None = None
    largest_loose_mm2: float = 150.0

    def __post_init__(self) -> None:
        if self.side not in get_args(Side):
            raise SettingError(f"side {self.side!r} is none of {get_args(Side)}", value=self.side)
        for name in ("cutter_mm", "tolerance_mm"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value > 0):
                raise SettingError(f"{name} {value!r} is not above zero", value=value, limit=0)
        if not self.bottom_mm < self.top_mm <= self.clearance_mm:
            raise SettingError(
                f"underside {self.bottom_mm:g}, top {self.top_mm:g} and clearance "
                f"{self.clearance_mm:g} mm are not in this order",
                value=(self.bottom_mm, self.top_mm, self.clearance_mm),
            )
        if self.radius_mm + self.allowance_mm <= 0:
            raise SettingError(
                f"an allowance of {self.allowance_mm:g} mm is beyond the cutter's radius",
                value=self.allowance_mm,
                limit=-self.radius_mm,
            )

    @property
    def radius_mm(self) -> float:
        """Half the cutter's diameter, mm."""
        return self.cutter_mm / 2

    @property
    def deepest_mm(self) -> float:
        """Lowest z that the program was to reach, mm."""
        return self.bottom_mm - self.through_mm

    @property
    def feature(self) -> Feature:
        """The profile as a feature, the way the judge works with it."""
        return Feature(
            kind="profile",
            region_fine=self.region_fine,
            side=self.side,
            top_mm=self.top_mm,
            bottom_mm=self.bottom_mm,
            through_mm=self.through_mm,
            allowance_mm=self.allowance_mm,
            tabs=self.tabs,
            tolerance_mm=self.tolerance_mm,
        )

    @property
    def fine_mm(self) -> float:
        """How far the judged region's chords may lie from the drawn curve, mm."""
        return self.feature.fine_mm

    @property
    def part(self) -> shapely.MultiPolygon:
        """The drawn region, forty times finer than the tolerance, rings oriented."""
        return self.feature.region
