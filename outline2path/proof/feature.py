"""Feature: one thing a program was to make, and the ground it may and must take for it.

In: the drawn region or line, the surface the work starts from and the floor it goes to. Lengths
in mm, z in work coordinates, up. A feature allows certain ground to be taken, down to its lowest
point, and demands that some of it be gone:

- profile, "outside": all around the region is waste; the region itself must stand at every height.
  "inside": the region is taken. "on": the cutter's centre follows the edge.
- pocket: the region is taken down to a flat floor, and nothing may stay on the floor.
- face: the region is taken down to a flat floor; the cutter may run over its edges.
- hole: circles. As wide as the cutter they are drilled: the tip goes down at each centre. Wider
  ones are bored: the circle is taken.
- chamfer: the region's edge is taken off at the slope of the cutter, `width_mm` wide at the top
  seen from above; "outside" where the region stands, "inside" where it is a hole.
- line: the cutter's centre follows a line (or the edge of a region) at the floor's height.

The region comes as an Outline, as anything that gives its region within a tolerance, or as plain
shapely geometry, so that the judge may ask for it far finer than the program's own tolerance.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias, get_args

import shapely
from shapely.geometry.base import BaseGeometry

from outline2path.errors import SettingError

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.shop.cutter import Cutter

__all__ = ["ExpectedTab", "Feature", "Kind", "RegionSource", "Side", "fine_region"]

Side = Literal["outside", "inside", "on"]
Kind = Literal["profile", "pocket", "face", "hole", "chamfer", "line"]
RegionSource: TypeAlias = "Outline | BaseGeometry | Callable[[float], BaseGeometry]"
_FINER = 40


@dataclass(frozen=True, kw_only=True)
class ExpectedTab:
    """A bridge left standing: its place on the path or the edge, and its size in mm.

    `length_mm` is what stays of it in the middle of the cut, `height_mm` stands on the stock's
    underside. `cutter_mm` is the diameter of the cutter that left it, where it is another than the
    one judged.
    """

    at_mm: tuple[float, float]
    length_mm: float
    height_mm: float
    cutter_mm: float | None = None


@dataclass(frozen=True, kw_only=True, eq=False)
class Feature:
    """One thing a program was to make.

    Attributes
    ----------
    name : str
        For people: what to call it where it is wrong.
    kind : "profile", "pocket", "face", "hole", "chamfer" or "line"
        See above.
    region_fine : Outline, callable or shapely geometry
        Where; a callable takes a tolerance in mm. Areas, for a hole also points (drilled) and for
        a line also lines.
    side : "outside", "inside" or "on"
        Of profiles and chamfers; the other kinds leave it alone.
    top_mm, bottom_mm : float
        z of the surface the work starts from and of the floor. Cuts through the stock name its
        underside. A hole is as wide as its cutter down to the floor; a drill's point goes deeper.
        A chamfer names the lowest z of the tip.
    through_mm : float
        How far below `bottom_mm` the lowest pass goes.
    allowance_mm : float
        Stock to be left on the edge on purpose; negative to cut deeper.
    tabs : tuple of ExpectedTab
        Bridges to be left.
    standing : tuple of ExpectedTab
        Bridges that an earlier program has left on this edge: not to be cut into, and nothing
        is asked of the ground near them.
    width_mm : float or None
        Of a chamfer, at `top_mm`, seen from above.
    over_mm : float or None
        Of a face: how far beyond the region's edges ground may be taken; None for two diameters
        of the cutter and 3 mm.
    tolerance_mm : float
        Most that may be left where the cutter reaches.

    Raises
    ------
    SettingError
        When figures are impossible or do not go together.

    Examples
    --------
    >>> slot = Feature(kind="pocket", region_fine=shapely.box(0, 0, 40, 6), bottom_mm=-3.0)
    >>> slot.deepest_mm, slot.region.area
    (-3.0, 240.0)
    """

    kind: Kind
    region_fine: RegionSource
    bottom_mm: float
    top_mm: float = 0.0
    name: str = ""
    side: Side = "outside"
    through_mm: float = 0.0
    allowance_mm: float = 0.0
    tabs: tuple[ExpectedTab, ...] = ()
    standing: tuple[ExpectedTab, ...] = ()
    width_mm: float | None = None
    over_mm: float | None = None
    tolerance_mm: float = 0.02

    def __post_init__(self) -> None:
        for field, choices in (("kind", get_args(Kind)), ("side", get_args(Side))):
            value = getattr(self, field)
            if value not in choices:
                raise SettingError(f"{field} {value!r} is none of {choices}", value=value)
        if not (math.isfinite(self.tolerance_mm) and self.tolerance_mm > 0):
            raise SettingError(
                f"tolerance_mm {self.tolerance_mm!r} is not above zero",
                value=self.tolerance_mm,
                limit=0,
            )
        if not self.bottom_mm < self.top_mm:
            raise SettingError(
                f"the floor {self.bottom_mm:g} of {self.label} is not below its top "
                f"{self.top_mm:g} mm",
                value=self.bottom_mm,
                limit=self.top_mm,
            )
        width = self.width_mm
        if (self.kind == "chamfer") != (width is not None and width > 0):
            raise SettingError(f"a {self.kind} cannot have the width {width!r}", value=width)
        if self.kind == "chamfer" and self.side == "on":
            raise SettingError(f"a chamfer has no side {self.side!r}", value=self.side)

    @property
    def label(self) -> str:
        """What to call it: its name, or its kind."""
        return self.name or f"the {self.kind}"

    @property
    def deepest_mm(self) -> float:
        """Lowest z of the ground it may take; a drill's point comes on top of that, mm."""
        return self.bottom_mm - self.through_mm

    def tip_mm(self, cutter: Cutter) -> float:
        """Lowest z that a cutter's tip was to reach, mm."""
        drilled = self.kind == "hole" and cutter.shape == "drill"
        return self.deepest_mm - (cutter.point_length_mm if drilled else 0.0)

    @property
    def follows_line(self) -> bool:
        """Whether the cutter's centre was to follow a line, whatever its width."""
        return self.kind == "line" or (self.kind == "profile" and self.side == "on")

    @property
    def keeps_region(self) -> bool:
        """Whether the region stands and all around it is waste."""
        return self.kind in ("profile", "chamfer") and self.side == "outside"

    @property
    def fine_mm(self) -> float:
        """How far the judged region's chords may lie from the drawn curve, mm."""
        return self.tolerance_mm / _FINER

    @property
    def geometry(self) -> BaseGeometry:
        """The drawn region or line, forty times finer than the tolerance."""
        return fine_region(self.region_fine, self.fine_mm)

    @property
    def region(self) -> shapely.MultiPolygon:
        """The areas of the geometry, rings oriented."""
        found = self.geometry
        parts = [g for g in shapely.get_parts(found).tolist() if g.geom_type == "Polygon"]
        if not parts:
            raise SettingError(f"the expected region, a {found.geom_type}, holds no area")
        return shapely.orient_polygons(shapely.MultiPolygon(parts))


def fine_region(source: RegionSource, within_mm: float) -> BaseGeometry:
    """Ask for a region, or a line, within a distance of the drawn curve.

    Examples
    --------
    >>> fine_region(lambda tolerance: shapely.Point(0, 0).buffer(tolerance), 1.0).bounds
    (-1.0, -1.0, 1.0, 1.0)
    """
    if isinstance(source, BaseGeometry):
        return source
    if callable(source):
        return source(within_mm)
    return source.region_within(within_mm)
