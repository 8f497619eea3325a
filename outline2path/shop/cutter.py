"""Cutter: what turns and cuts. Its shape, its reach and what holds it, lengths in mm.

In: what a person reads off the packet, lengths with unit, angles in degrees. Out: one frozen value
that answers how wide the cutter is at a height above its tip: `radius_at_mm` and its inverse
`depth_for_radius_mm`. The surface that the turning edges sweep is taken, not the edges.

Shapes. flat and facing: a cylinder. ball: a half sphere below a cylinder. v, chamfer and drill: a
cone of the included angle, cut off by the tip's flat, below a cylinder: radius at height h is
tip / 2 + h tan(angle / 2) (elementary geometry).

Refused: figures that are not positive, a cone without its angle, an angle or tip on a cutter that
has none, and lengths that contradict each other.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Literal, get_args

from outline2path.errors import SettingError
from outline2path.late import later
from outline2path.units import format_length, parse_angle, parse_length

__all__ = ["MOST_NUMBER", "Cutter", "Shape"]

Shape = Literal["flat", "ball", "v", "chamfer", "drill", "facing"]

_CONES: tuple[Shape, ...] = ("v", "chamfer", "drill")
_DRILL_POINT_DEG = 118.0
"""Point angle of an ordinary twist drill: common practice, no source."""
_ANGLES = (5.0, 175.0)
MOST_NUMBER = 99_999
"""Highest number of a cutter's place: five digits, as line numbers have (NISTIR 6556, 3.3.1)."""


@dataclass(frozen=True, init=False, repr=False)
class Cutter:
    """A cutter; a flat end mill unless told otherwise.

    Parameters
    ----------
    diameter : str or float
        Cutting diameter, a length with unit or mm.
    flutes : int
        Number of cutting edges.
    flute_length : str or float, optional
        Length of the cutting edges: the deepest cut at one depth.
    shape : "flat", "ball", "v", "chamfer", "drill" or "facing"
        See the module's note.
    angle : str or float, optional
        Included angle of the cone, degrees; needed for v and chamfer, 118 for a drill.
    tip : str or float, optional
        Diameter of the flat at the cone's tip; 0 when left out.
    stick_out : str or float, optional
        From the collet's or holder's face to the tip.
    shank : str or float, optional
        Diameter of the shank.
    holder, holder_length : str or float, optional
        Diameter and length of the collet nut or holder.
    name : str
        What the workshop calls it.
    number : int, optional
        Of its place on the machine, for programs that change cutters.

    Raises
    ------
    SettingError
        When a figure is not positive, or does not go with the others.

    Examples
    --------
    >>> Cutter("1/8 in", flutes=1)
    Cutter("3.175 mm", flutes=1)
    >>> round(Cutter("6 mm", shape="v", angle="90 deg", tip=0.2).radius_at_mm(1.0), 9)
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
    number: int | None

    def __init__(
        self,
        diameter: str | float,
        *,
        flutes: int = 2,
        flute_length: str | float | None = None,
        shape: Shape = "flat",
        angle: str | float | None = None,
        tip: str | float | None = None,
        stick_out: str | float | None = None,
        shank: str | float | None = None,
        holder: str | float | None = None,
        holder_length: str | float | None = None,
        name: str = "",
        number: int | None = None,
    ) -> None:
        wide = parse_length(diameter)
        _check_body(wide, flutes, shape)
        _check_number(number)
        figures = {
            "diameter_mm": wide,
            "flutes": flutes,
            "flute_length_mm": _length(flute_length, "flute length"),
            "shape": shape,
            "angle_deg": _cone_angle(shape, angle),
            "tip_mm": _tip(shape, tip, wide),
            "stick_out_mm": _length(stick_out, "stick-out"),
            "shank_mm": _length(shank, "shank diameter"),
            "holder_mm": _length(holder, "holder diameter"),
            "holder_length_mm": _length(holder_length, "holder length"),
            "name": name,
            "number": number,
        }
        for field in fields(self):
            object.__setattr__(self, field.name, figures[field.name])
        self._check_together()

    def _check_together(self) -> None:
        edges, out = self.flute_length_mm, self.stick_out_mm
        if edges is not None and out is not None and edges > out:
            raise SettingError(
                f"a flute length of {edges:g} mm is more than the stick-out of {out:g} mm",
                value=edges,
                limit=out,
                remedy="the stick-out runs from the collet's face to the tip",
            )
        if self.holder_length_mm is not None and self.holder_mm is None:
            raise SettingError(
                f"a holder {self.holder_length_mm:g} mm long has no diameter",
                value=self.holder_length_mm,
                remedy="give the holder's diameter too",
            )

    @property
    def radius_mm(self) -> float:
        """Half the diameter, mm."""
        return self.diameter_mm / 2

    @property
    def is_conical(self) -> bool:
        """Whether its tip is a cone: V cutters, chamfer cutters and drills."""
        return self.angle_deg is not None

    @property
    def cuts_down(self) -> bool:
        """Whether it may go straight down into solid stock; facing cutters may not."""
        return self.shape != "facing"

    @property
    def label(self) -> str:
        """Short name for tables and program headers.

        >>> Cutter(3.175, flutes=1).label
        '3.175 mm, 1 flute'
        >>> Cutter(6, shape="v", angle=60).label
        'V 60 deg 6 mm, 2 flutes'
        """
        plural = "" if self.flutes == 1 else "s"
        shape = "V" if self.shape == "v" else self.shape
        front = "" if shape == "flat" else f"{shape} "
        if self.angle_deg is not None and self.shape != "drill":
            front += f"{self.angle_deg:g} deg "
        return f"{front}{self.diameter_mm:g} mm, {self.flutes} flute{plural}"

    @property
    def point_length_mm(self) -> float:
        """Height above the tip at which the cutter has its full diameter, mm.

        (d / 2) / tan(angle / 2) for a pointed drill: 0.300430 d at 118 degrees (Machinery's
        Handbook, from memory; elementary geometry).

        >>> round(Cutter(1, shape="drill").point_length_mm, 6)
        0.30043
        """
        return self.depth_for_radius_mm(self.radius_mm)

    def radius_at_mm(self, height_mm: float) -> float:
        """Return the radius of the cutting envelope at a height above the tip, mm.

        Raises
        ------
        SettingError
            When the height is below the tip.

        Examples
        --------
        >>> ball = Cutter(10, shape="ball")
        >>> ball.radius_at_mm(0), ball.radius_at_mm(2), ball.radius_at_mm(9)
        (0.0, 4.0, 5.0)
        """
        if not height_mm >= 0:
            raise SettingError(
                f"a height of {height_mm:g} mm is below the cutter's tip", value=height_mm
            )
        r = self.radius_mm
        if self.shape == "ball":
            below = max(r - height_mm, 0.0)
            return math.sqrt(r * r - below * below)
        if self.angle_deg is None:
            return r
        return min(r, self.tip_mm / 2 + height_mm * self._slope)

    def depth_for_radius_mm(self, radius_mm: float) -> float:
        """Return the least height above the tip at which the cutter has this radius, mm.

        Raises
        ------
        SettingError
            When the cutter is nowhere as wide.

        Examples
        --------
        >>> round(Cutter(6, shape="v", angle=90, tip=0.2).depth_for_radius_mm(1.5), 9)
        1.4
        """
        r = self.radius_mm
        if not 0 <= radius_mm <= r:
            raise SettingError(
                f"a cutter of {self.diameter_mm:g} mm has no radius of {radius_mm:g} mm",
                value=radius_mm,
                limit=r,
            )
        if self.shape == "ball":
            return r - math.sqrt(r * r - radius_mm * radius_mm)
        if self.angle_deg is None:
            return 0.0
        return max(radius_mm - self.tip_mm / 2, 0.0) / self._slope

    @property
    def _slope(self) -> float:
        return math.tan(math.radians((self.angle_deg or 0.0) / 2))

    def __repr__(self) -> str:
        words = [f'"{self.diameter_mm:g} mm"', f"flutes={self.flutes}"]
        if self.flute_length_mm is not None:
            words.append(f'flute_length="{format_length(self.flute_length_mm)}"')
        if self.shape != "flat":
            words.append(f'shape="{self.shape}"')
        if self.angle_deg is not None:
            words.append(f"angle={self.angle_deg:g}")
        for key in ("tip", "stick_out", "shank", "holder", "holder_length"):
            value = getattr(self, f"{key}_mm")
            if value:
                words.append(f'{key}="{value:g} mm"')
        if self.name:
            words.append(f"name={self.name!r}")
        if self.number is not None:
            words.append(f"number={self.number}")
        return f"Cutter({', '.join(words)})"

    def _repr_html_(self) -> str:
        return str(later("cutter_html", self))

    def _repr_svg_(self) -> str:
        return str(later("cutter_svg", self))


def _check_body(wide: float, flutes: int, shape: str) -> None:
    if not 0.05 <= wide <= 100:
        raise SettingError(
            f"a cutter of {wide:g} mm is outside 0.05 to 100 mm",
            value=wide,
            limit=(0.05, 100),
            remedy="give the cutting diameter, as 3.175mm or 1/8in",
        )
    if isinstance(flutes, bool) or not isinstance(flutes, int) or not 1 <= flutes <= 12:
        raise SettingError(f"{flutes!r} flutes are outside 1 to 12", value=flutes, limit=(1, 12))
    if shape not in get_args(Shape):
        raise SettingError(
            f"shape {shape!r} is none of {', '.join(get_args(Shape))}",
            value=shape,
            limit=get_args(Shape),
        )


def _check_number(number: int | None) -> None:
    whole = isinstance(number, int) and not isinstance(number, bool)
    if number is not None and not (whole and 1 <= number <= MOST_NUMBER):
        raise SettingError(
            f"{number!r} numbers no place on a machine",
            value=number,
            limit=(1, MOST_NUMBER),
            remedy="give the whole number that the T word calls the cutter by",
        )


def _length(value: str | float | None, what: str) -> float | None:
    if value is None:
        return None
    long = parse_length(value)
    if long <= 0:
        raise SettingError(f"a {what} of {long:g} mm is not positive", value=long)
    return long


def _cone_angle(shape: Shape, angle: str | float | None) -> float | None:
    if shape not in _CONES:
        if angle is not None:
            raise SettingError(
                f"a {shape} cutter has no angle of {angle}",
                value=angle,
                remedy=f"give a shape that has one: {', '.join(_CONES)}",
            )
        return None
    if angle is None:
        if shape == "drill":
            return _DRILL_POINT_DEG
        raise SettingError(
            f"a {shape} cutter needs its included angle",
            remedy="give the angle between its two sides, as 60deg or 90deg",
        )
    wide = parse_angle(angle)
    if not _ANGLES[0] <= wide <= _ANGLES[1]:
        raise SettingError(
            f"an included angle of {wide:g} degrees is outside {_ANGLES[0]:g} to {_ANGLES[1]:g}",
            value=wide,
            limit=_ANGLES,
            remedy="give the whole angle between the two sides, in degrees",
        )
    return wide


def _tip(shape: Shape, tip: str | float | None, wide: float) -> float:
    if tip is None:
        return 0.0
    flat = parse_length(tip)
    if shape not in _CONES:
        raise SettingError(
            f"a {shape} cutter has no tip of {flat:g} mm",
            value=flat,
            remedy=f"give a shape that has one: {', '.join(_CONES)}",
        )
    if not 0 <= flat < wide:
        raise SettingError(
            f"a tip of {flat:g} mm is outside 0 to the cutter's {wide:g} mm",
            value=flat,
            limit=(0.0, wide),
        )
    return flat
