"""Machine: what the mill can reach, how fast it moves and what its controller knows.

Lengths in mm, feeds in mm/min, power in W. What a person leaves out is not judged: an unknown
height under the collet or an unknown power limits nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Literal, get_args

from outline2path.errors import SettingError
from outline2path.units import parse_feed, parse_length, parse_size, parse_speed

__all__ = ["Machine", "Units"]

Units = Literal["mm", "in"]


@dataclass(frozen=True, init=False)
class Machine:
    """A small mill.

    Parameters
    ----------
    travel : str
        "X x Y x Z" the cutter can move, one unit for all: "280 x 200 x 60 mm".
    greatest_feed : str or float
        Fastest feed it cuts at.
    rapid : str or float
        Speed of rapid moves, for the estimate of time.
    acceleration : float
        Of an axis, mm/s2, for the estimate of time.
    speeds : tuple of (str or float)
        Slowest and fastest spindle speed.
    name : str
        For the set-up sheet.
    under_collet : str or float, optional
        Height from the bed to the collet's face at the top of the travel.
    power : float, optional
        Of the spindle at the cutter, W.
    tool_change : bool
        Whether the controller knows M6.
    arcs : bool
        Whether the controller knows G2 and G3.
    units : "mm" or "in"
        What its programs are written in.

    Raises
    ------
    SettingError
        When a figure is not positive or the slowest speed is above the fastest.

    Examples
    --------
    >>> Machine(travel="280 x 200 x 60 mm").travel_mm
    (280.0, 200.0, 60.0)
    """

    name: str
    travel_mm: tuple[float, float, float]
    greatest_feed: float
    rapid: float
    acceleration: float
    speeds_rpm: tuple[float, float]
    under_collet_mm: float | None
    power_w: float | None
    tool_change: bool
    arcs: bool
    units: Units

    def __init__(
        self,
        *,
        travel: str = "300 x 200 x 60 mm",
        greatest_feed: str | float = 2500.0,
        rapid: str | float = 3000.0,
        acceleration: float = 200.0,
        speeds: tuple[str | float, str | float] = (5000.0, 24000.0),
        name: str = "small mill",
        under_collet: str | float | None = None,
        power: float | None = None,
        tool_change: bool = False,
        arcs: bool = True,
        units: Units = "mm",
    ) -> None:
        lengths = parse_size(travel)
        feed, fast = parse_feed(greatest_feed), parse_feed(rapid)
        slow_rpm, fast_rpm = parse_speed(speeds[0]), parse_speed(speeds[1])
        high = None if under_collet is None else parse_length(under_collet)
        for label, figure in (
            ("travel", min(lengths)),
            ("greatest feed", feed),
            ("rapid", fast),
            ("acceleration", acceleration),
            ("spindle speed", slow_rpm),
            ("height under the collet", high),
            ("power", power),
        ):
            if figure is not None and not 0 < figure < math.inf:
                raise SettingError(f"a {label} of {figure:g} is not positive", value=figure)
        if slow_rpm > fast_rpm:
            raise SettingError(
                f"slowest speed {slow_rpm:g} rpm is above the fastest, {fast_rpm:g} rpm",
                value=slow_rpm,
                limit=fast_rpm,
            )
        if units not in get_args(Units):
            raise SettingError(
                f"units {units!r} are none of {', '.join(get_args(Units))}",
                value=units,
                limit=get_args(Units),
            )
        figures = {
            "name": name,
            "travel_mm": lengths,
            "greatest_feed": feed,
            "rapid": fast,
            "acceleration": float(acceleration),
            "speeds_rpm": (slow_rpm, fast_rpm),
            "under_collet_mm": high,
            "power_w": None if power is None else float(power),
            "tool_change": tool_change,
            "arcs": arcs,
            "units": units,
        }
        for field in fields(self):
            object.__setattr__(self, field.name, figures[field.name])

    def squeeze_mm(self, *, stick_out_mm: float, above_bed_mm: float) -> float | None:
        """Return the room left between a cutter's tip, all the way up, and what lies on the bed.

        Parameters
        ----------
        stick_out_mm : float
            From the collet's face to the tip.
        above_bed_mm : float
            Height of the highest thing to pass over (waste board, stock, clamps) above the bed.

        Returns
        -------
        float or None
            mm; negative where it does not go; None where the height is not known.

        Examples
        --------
        >>> Machine(under_collet="90 mm").squeeze_mm(stick_out_mm=25, above_bed_mm=40)
        25.0
        """
        if self.under_collet_mm is None:
            return None
        return self.under_collet_mm - stick_out_mm - above_bed_mm

    def __repr__(self) -> str:
        x, y, z = self.travel_mm
        return f'Machine(name="{self.name}", travel="{x:g} x {y:g} x {z:g} mm")'
