"""Settings of a chamfer, and the cone that cuts it. Lengths in mm, angles in degrees.

Geometry (elementary, included angle A, half of it against the axis; checked numerically in the
tests): a chamfer of width w seen from above is d = w / tan(A/2) deep on the wall. With a tip flat
of radius t and an overrun e the tip runs d + e below the surface, the cone is t + e tan(A/2) wide
where it meets the wall's new edge, and that plus w at the surface.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from outline2path.errors import SettingError
from outline2path.operations.checks import check_choices, check_finite, check_within
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, LENGTH_EPSILON_MM, Budget

if TYPE_CHECKING:
    from outline2path.operations.leads import LeadKind
    from outline2path.operations.rings import Direction
    from outline2path.shop.cutter import Cutter

__all__ = ["ChamferSettings", "Cone", "Edges", "cone_for"]

Edges = Literal["all", "outer", "holes"]
_CHOICES = {
    "side": ("outside", "inside"),
    "edges": ("all", "outer", "holes"),
    "lead": ("arc", "line", "none"),
    "direction": ("climb", "conventional"),
}
_BOUNDS = {
    "width_mm": (0.01, 50.0),
    "depth_mm": (0.01, 50.0),
    "overrun_mm": (0.0, 20.0),
    "depth_per_pass_mm": (0.01, 100.0),
    "lead_mm": (0.05, 100.0),
}
_FLATTEST_DEG = 150.0
"""Flatter cones turn an error in height into four times as much in width, and more."""


@dataclass(frozen=True, kw_only=True)
class ChamferSettings:
    """How an edge is chamfered.

    Attributes
    ----------
    side : "outside" or "inside"
        outside: the drawn region stands; inside: it is an opening, and what is round it stands.
    edges : "all", "outer" or "holes"
        Which edges of the drawn region; the others are kept clear of.
    width_mm : float or None
        Width seen from above; give this or the depth.
    depth_mm : float or None
        Depth on the wall.
    overrun_mm : float
        How far the tip runs below the chamfer, so that its weak point does not cut the edge.
    depth_per_pass_mm : float
        Most one pass goes deeper.
    tolerance_mm : float
        T: most that the width may fall short.
    lead : "arc", "line" or "none"
        How the cutter comes to the edge and leaves it.
    lead_mm : float, optional
        Radius or length of the lead; the cone's radius at the surface when left out.
    direction : "climb" or "conventional"
        For a clockwise spindle.

    Raises
    ------
    SettingError
        When a setting is impossible, or width and depth are both given, or neither.

    Examples
    --------
    >>> ChamferSettings(width_mm=1, depth_mm=1)
    Traceback (most recent call last):
    outline2path.errors.SettingError: a chamfer 1 mm wide and 1 mm deep is told twice; give its \
width or its depth
    """

    side: Literal["outside", "inside"] = "outside"
    edges: Edges = "all"
    width_mm: float | None = None
    depth_mm: float | None = None
    overrun_mm: float = 0.3
    depth_per_pass_mm: float = 1.5
    tolerance_mm: float = DEFAULT_TOLERANCE_MM
    lead: LeadKind = "arc"
    lead_mm: float | None = None
    direction: Direction = "climb"

    def __post_init__(self) -> None:
        check_choices(self, _CHOICES)
        check_finite(self)
        check_within(self, _BOUNDS)
        Budget(self.tolerance_mm)  # refuses what cannot be shared out
        if (self.width_mm is None) == (self.depth_mm is None):
            told = "twice" if self.width_mm is not None else "by nothing"
            figures = (
                f" {self.width_mm:g} mm wide and {self.depth_mm:g} mm deep"
                if self.width_mm is not None and self.depth_mm is not None
                else ""
            )
            raise SettingError(
                f"a chamfer{figures} is told {told}", remedy="give its width or its depth"
            )


@dataclass(frozen=True, kw_only=True)
class Cone:
    """A cone as it stands in the work on its last pass, mm.

    Attributes
    ----------
    width_mm, depth_mm : float
        Of the chamfer: seen from above, and on the wall.
    tip_depth_mm : float
        How far the tip runs below the surface.
    edge_radius_mm : float
        Radius where the cone meets the wall's new edge: its distance from the wall.
    top_radius_mm : float
        Radius at the surface.

    Examples
    --------
    >>> Cone(width_mm=1.0, depth_mm=1.0, tip_depth_mm=1.5, edge_radius_mm=0.5,
    ...      top_radius_mm=1.5).tip_depth_mm
    1.5
    """

    width_mm: float
    depth_mm: float
    tip_depth_mm: float
    edge_radius_mm: float
    top_radius_mm: float


def cone_for(cutter: Cutter, settings: ChamferSettings) -> Cone:
    """Return how a cutter stands to cut this chamfer.

    Raises
    ------
    SettingError
        When the cutter is no cone, is too flat, or is not wide enough.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> cone = cone_for(Cutter(6, shape="chamfer", angle=60, tip=0.2),
    ...                 ChamferSettings(width_mm=1, overrun_mm=0.5))
    >>> round(cone.depth_mm, 6), round(cone.edge_radius_mm, 6), round(cone.top_radius_mm, 6)
    (1.732051, 0.388675, 1.388675)
    """
    angle = cutter.angle_deg
    if cutter.shape not in ("v", "chamfer") or angle is None:
        raise SettingError(
            f"a {cutter.shape} cutter cuts no chamfer",
            value=cutter.shape,
            remedy="use a V or chamfer cutter",
        )
    if angle > _FLATTEST_DEG:
        raise SettingError(
            f"a cone of {angle:g} degrees is too flat to keep a width",
            value=angle,
            limit=_FLATTEST_DEG,
            remedy="use one of 60 to 120 degrees",
        )
    slope = math.tan(math.radians(angle / 2))
    if settings.width_mm is not None:
        width, depth = settings.width_mm, settings.width_mm / slope
    else:
        depth = settings.depth_mm or 0.0
        width = depth * slope
    edge = cutter.tip_mm / 2 + settings.overrun_mm * slope
    if edge + width > cutter.radius_mm + LENGTH_EPSILON_MM:
        widest = cutter.radius_mm - edge
        raise SettingError(
            f"a chamfer {width:.3f} mm wide with {settings.overrun_mm:g} mm of overrun needs a "
            f"cutter {2 * (edge + width):.2f} mm wide, and this one is {cutter.diameter_mm:g} mm",
            value=width,
            limit=max(widest, 0.0),
            remedy=f"make it at most {widest:.2f} mm wide, or use a wider cutter"
            if widest > 0
            else "use less overrun, or a wider cutter",
        )
    return Cone(
        width_mm=width,
        depth_mm=depth,
        tip_depth_mm=depth + settings.overrun_mm,
        edge_radius_mm=edge,
        top_radius_mm=edge + width,
    )
