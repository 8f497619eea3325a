"""Cutter: what turns and cuts, and the body behind it. Lengths in mm, angles in degrees.

The envelope of the turning edges is told as a radius at each height above the tip: flat and facing
cutters are cylinders, ball cutters begin with a half sphere, V and chamfer cutters with a cone
that may have a flat tip, drills with their point.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Literal, TypeAlias, get_args

from outline2path.errors import SettingError
from outline2path.units import format_length, parse_length

__all__ = ["Cutter", "Shape"]

Shape = Literal["flat", "ball", "v", "chamfer", "drill", "facing"]
Length: TypeAlias = "str | float"
_USUAL_ANGLE = {"v": 60.0, "chamfer": 90.0, "drill": 118.0}
"""Included angles where none is given: common practice, no source."""


@dataclass(frozen=True, init=False)
class Cutter:
    """A cutter.

    Parameters
    ----------
    diameter : str or float
        Widest cutting diameter, a length with unit or mm.
    flutes : int
        Number of cutting edges.
    flute_length : str or float, optional
        Length of the cutting edges: the deepest cut at one depth.
    shape : "flat", "ball", "v", "chamfer", "drill" or "facing"
        Form of its end. A facing cutter cuts with its flat underside but not straight down.
    angle : float, optional
        Included angle of the cone of a V or chamfer cutter, or of a drill's point, degrees; 60, 90
        and 118 where left out.
    tip : str or float, optional
        Diameter of the flat at the end of the cone; a sharp point where left out.
    stick_out : str or float, optional
        From the holder's face to the tip.
    shank : str or float, optional
        Diameter of the shank above the flutes.
    holder, holder_length : str or float, optional
        Diameter of collet nut or holder, and how far it reaches up.
    name : str
        What the workshop calls it.

    Raises
    ------
    SettingError
        When a figure is impossible, alone or with another.

    Examples
    --------
    >>> Cutter("1/8 in", flutes=1)
    Cutter("3.175 mm", flutes=1)
    >>> round(Cutter(6, shape="v", angle=90, tip=0.2).radius_at_mm(1.0), 9)
    1.1
    """

    diameter_mm: float
    flutes: int
    flute_length_mm: float | None
    shape: Shape
    angle_deg: float | None
    tip_mm: float
    stick_out_mm: float | None
    shank_mm: float | None
    holder_mm: float | None
    holder_length_mm: float | None
    name: str

    def __init__(
        self,
        diameter: Length,
        *,
        flutes: int = 2,
        flute_length: Length | None = None,
        shape: Shape = "flat",
        angle: float | None = None,
        tip: Length | None = None,
        stick_out: Length | None = None,
        shank: Length | None = None,
        holder: Length | None = None,
        holder_length: Length | None = None,
        name: str = "",
    ) -> None:
        wide = parse_length(diameter)
        if not 0.05 <= wide <= 100:
            raise SettingError(
                f"a cutter of {wide:g} mm is outside 0.05 to 100 mm",
                value=wide,
                limit=(0.05, 100),
                remedy="give the cutting diameter, as 3.175mm or 1/8in",
            )
        if isinstance(flutes, bool) or not isinstance(flutes, int) or not 1 <= flutes <= 12:
            raise SettingError(
                f"{flutes!r} flutes are outside 1 to 12", value=flutes, limit=(1, 12)
            )
        if shape not in get_args(Shape):
            raise SettingError(
                f"a cutter's shape {shape!r} is unknown",
                value=shape,
                limit=get_args(Shape),
                remedy=f"one of {', '.join(get_args(Shape))}",
            )
        values = {
            "diameter_mm": wide,
            "flutes": flutes,
            "flute_length_mm": _positive("flute length", flute_length),
            "shape": shape,
            "angle_deg": _angle(shape, angle),
            "tip_mm": _tip(shape, tip, wide),
            "stick_out_mm": _positive("stick-out", stick_out),
            "shank_mm": _positive("shank", shank),
            "holder_mm": _positive("holder", holder),
            "holder_length_mm": _positive("holder length", holder_length),
            "name": name,
        }
        for field in fields(self):
            object.__setattr__(self, field.name, values[field.name])

    @property
    def radius_mm(self) -> float:
        """Half the widest diameter, mm."""
        return self.diameter_mm / 2

    @property
    def is_conical(self) -> bool:
        """Whether the tip is a cone: V cutters, chamfer cutters and drills."""
        return self.angle_deg is not None

    @property
    def cuts_down(self) -> bool:
        """Whether it may go straight down into solid stock; facing cutters may not."""
        return self.shape != "facing"

    @property
    def point_length_mm(self) -> float:
        """Height of the tip below the place where the full diameter is reached, mm.

        Examples
        --------
        >>> round(Cutter(10, shape="drill", angle=118).point_length_mm, 4)
        3.0043
        """
        return self.depth_for_radius_mm(self.radius_mm)

    def radius_at_mm(self, height_mm: float) -> float:
        """Return the radius of the cutting envelope at a height above the tip, mm.

        Negative heights have no radius and give 0; above the tip's form it is the radius.

        Examples
        --------
        >>> Cutter(6, shape="ball").radius_at_mm(3), Cutter(6).radius_at_mm(0)
        (3.0, 3.0)
        """
        if height_mm < 0:
            return 0.0
        if self.angle_deg is not None:
            slope = math.tan(math.radians(self.angle_deg / 2))
            return min(self.tip_mm / 2 + height_mm * slope, self.radius_mm)
        if self.shape == "ball" and height_mm < self.radius_mm:
            return math.sqrt(height_mm * (2 * self.radius_mm - height_mm))
        return self.radius_mm

    def depth_for_radius_mm(self, radius_mm: float) -> float:
        """Return the height above the tip at which the envelope has a radius, mm; 0 in the flat.

        Raises
        ------
        SettingError
            When the cutter is nowhere so wide.

        Examples
        --------
        >>> round(Cutter(6, shape="v", angle=90).depth_for_radius_mm(2.0), 9)
        2.0
        """
        if not radius_mm <= self.radius_mm:
            raise SettingError(
                f"a radius of {radius_mm:g} mm is more than the cutter's {self.radius_mm:g} mm",
                value=radius_mm,
                limit=self.radius_mm,
                remedy="use a wider cutter",
            )
        if self.angle_deg is not None:
            slope = math.tan(math.radians(self.angle_deg / 2))
            return max(0.0, radius_mm - self.tip_mm / 2) / slope
        if self.shape == "ball":
            return self.radius_mm - math.sqrt(self.radius_mm**2 - max(0.0, radius_mm) ** 2)
        return 0.0

    @property
    def label(self) -> str:
        """Short name for tables and program headers.

        >>> Cutter(3.175, flutes=1).label
        '3.175 mm, 1 flute'
        >>> Cutter(6, shape="v", angle=60).label
        'V 60 deg 6 mm, 2 flutes'
        """
        plural = "" if self.flutes == 1 else "s"
        shape = "" if self.shape == "flat" else f"{'V' if self.shape == 'v' else self.shape} "
        angle = "" if self.angle_deg is None else f"{self.angle_deg:g} deg "
        return f"{shape}{angle}{self.diameter_mm:g} mm, {self.flutes} flute{plural}"

    def __repr__(self) -> str:
        parts = [f'"{self.diameter_mm:g} mm"', f"flutes={self.flutes}"]
        if self.shape != "flat":
            parts.append(f'shape="{self.shape}"')
        if self.angle_deg is not None:
            parts.append(f"angle={self.angle_deg:g}")
        lengths = {
            "flute_length": self.flute_length_mm,
            "tip": self.tip_mm or None,
            "stick_out": self.stick_out_mm,
        }
        parts += [f'{name}="{format_length(value)}"' for name, value in lengths.items() if value]
        return f"Cutter({', '.join(parts)})"


def _positive(what: str, length: Length | None) -> float | None:
    if length is None:
        return None
    long = parse_length(length)
    if long <= 0:
        raise SettingError(f"a {what} of {long:g} mm is not positive", value=long)
    return long


def _angle(shape: Shape, angle: float | None) -> float | None:
    usual = _USUAL_ANGLE.get(shape)
    if usual is None:
        if angle is not None:
            raise SettingError(
                f"a {shape} cutter has no angle of {angle:g} degrees",
                value=angle,
                remedy="give angles to V and chamfer cutters and drills",
            )
        return None
    wide = usual if angle is None else float(angle)
    if not 5 <= wide <= 175:
        raise SettingError(
            f"an included angle of {wide:g} degrees is outside 5 to 175",
            value=wide,
            limit=(5, 175),
            remedy="give the whole angle of the cone, not half of it",
        )
    return wide


def _tip(shape: Shape, tip: Length | None, wide: float) -> float:
    flat = 0.0 if tip is None else parse_length(tip)
    limit = wide if shape in ("v", "chamfer") else 0.0
    if not 0 <= flat <= limit or (flat and flat == limit):
        raise SettingError(
            f"a tip flat of {flat:g} mm does not go with a {shape} cutter of {wide:g} mm",
            value=flat,
            limit=limit,
            remedy="give the flat's diameter, on V and chamfer cutters only",
        )
    return flat
