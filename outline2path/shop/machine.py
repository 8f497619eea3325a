"""Machine: what the mill can reach, how fast it moves and what its controller knows.

Lengths in mm, feeds in mm/min, acceleration in mm/s2, power in W, times in s. What a person
leaves out is not judged: an unknown height under the collet or an unknown power limits nothing.

Feed, rapid and acceleration are one figure, which holds along every move, or three, which hold
for the axes x, y and z (`outline2path.shop.axes`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Literal, TypeAlias, get_args

from outline2path.errors import SettingError
from outline2path.late import later
from outline2path.shop.axes import PerAxis
from outline2path.units import parse_feed, parse_length, parse_size, parse_speed

__all__ = ["Machine", "Units"]

Units = Literal["mm", "in"]
Figure: TypeAlias = str | float
LONGEST_WAIT_S = 600.0
"""Ten minutes to start a spindle or to change a cutter: beyond it, a unit was mistaken."""


@dataclass(frozen=True, init=False)
class Machine:
    """A small mill.

    Parameters
    ----------
    travel : str
        "X x Y x Z" the cutter can move, one unit for all: "280 x 200 x 60 mm".
    greatest_feed : str or float, or three of them
        Fastest feed it cuts at: along every move, or of the axes x, y and z.
    rapid : str or float, or three of them
        Speed of rapid moves, for the estimate of time; one figure or three.
    acceleration : float, or three
        In mm/s2, for the estimate of time; one figure or three.
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
    spin_up : float
        Seconds the spindle needs to come up to speed: written as a dwell, and counted as time.
    cutter_change : float
        Seconds a change of cutter takes, counted where one program needs another cutter than the
        one before (common practice, no source).

    Raises
    ------
    SettingError
        When a figure is not positive or the slowest speed is above the fastest.

    Examples
    --------
    >>> Machine(travel="280 x 200 x 60 mm").travel_mm
    (280.0, 200.0, 60.0)
    >>> Machine(greatest_feed=("3 m/min", "2 m/min", "600 mm/min")).greatest_feed
    2000.0
    """

    name: str
    travel_mm: tuple[float, float, float]
    feeds: PerAxis
    rapids: PerAxis
    accelerations: PerAxis
    speeds_rpm: tuple[float, float]
    under_collet_mm: float | None
    power_w: float | None
    tool_change: bool
    arcs: bool
    units: Units
    spin_up_s: float
    cutter_change_s: float

    def __init__(
        self,
        *,
        travel: str = "300 x 200 x 60 mm",
        greatest_feed: str | float | tuple[Figure, Figure, Figure] = 2500.0,
        rapid: str | float | tuple[Figure, Figure, Figure] = 3000.0,
        acceleration: float | tuple[float, float, float] = 200.0,
        speeds: tuple[str | float, str | float] = (5000.0, 24000.0),
        name: str = "small mill",
        under_collet: str | float | None = None,
        power: float | None = None,
        tool_change: bool = False,
        arcs: bool = True,
        units: Units = "mm",
        spin_up: float = 2.0,
        cutter_change: float = 60.0,
    ) -> None:
        lengths = parse_size(travel)
        slow_rpm, fast_rpm = parse_speed(speeds[0]), parse_speed(speeds[1])
        high = None if under_collet is None else parse_length(under_collet)
        for label, figure in (
            ("travel", min(lengths)),
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
        for label, seconds in (("spindle start", spin_up), ("cutter change", cutter_change)):
            if not 0 <= seconds <= LONGEST_WAIT_S:
                raise SettingError(
                    f"a {label} of {seconds:g} s is outside 0 to {LONGEST_WAIT_S:g} s",
                    value=seconds,
                    limit=(0.0, LONGEST_WAIT_S),
                )
        figures = {
            "name": name,
            "travel_mm": lengths,
            "feeds": PerAxis.of(greatest_feed, label="greatest feed", parse=parse_feed),
            "rapids": PerAxis.of(rapid, label="rapid", parse=parse_feed),
            "accelerations": PerAxis.of(acceleration, label="acceleration", parse=_number),
            "speeds_rpm": (slow_rpm, fast_rpm),
            "under_collet_mm": high,
            "power_w": None if power is None else float(power),
            "tool_change": tool_change,
            "arcs": arcs,
            "units": units,
            "spin_up_s": float(spin_up),
            "cutter_change_s": float(cutter_change),
        }
        for field in fields(self):
            object.__setattr__(self, field.name, figures[field.name])

    @property
    def greatest_feed(self) -> float:
        """Fastest feed every level move may have, mm/min."""
        return self.feeds.level

    @property
    def greatest_plunge(self) -> float:
        """Fastest feed straight down, mm/min."""
        return self.feeds.down

    @property
    def rapid(self) -> float:
        """Speed every level rapid may have, mm/min."""
        return self.rapids.level

    @property
    def acceleration(self) -> float:
        """Acceleration every level move may have, mm/s2."""
        return self.accelerations.level

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

    def _repr_html_(self) -> str:
        return str(later("machine_html", self))


def _number(value: str | float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise SettingError(
            f"an acceleration of {value!r} is no number",
            value=value,
            remedy="give it in mm/s2, without a unit",
        )
    return float(value)
