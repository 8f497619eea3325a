"""Machine: what the mill can reach and how fast it moves. Lengths in mm, feeds in mm/min."""

from __future__ import annotations

from dataclasses import dataclass

from outline2path.errors import SettingError
from outline2path.units import parse_feed, parse_size, parse_speed

__all__ = ["Machine"]


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

    def __init__(
        self,
        *,
        travel: str = "300 x 200 x 60 mm",
        greatest_feed: str | float = 2500.0,
        rapid: str | float = 3000.0,
        acceleration: float = 200.0,
        speeds: tuple[str | float, str | float] = (5000.0, 24000.0),
        name: str = "small mill",
    ) -> None:
        lengths = parse_size(travel)
        feed, fast = parse_feed(greatest_feed), parse_feed(rapid)
        slow_rpm, fast_rpm = parse_speed(speeds[0]), parse_speed(speeds[1])
        for label, figure in (
            ("travel", min(lengths)),
            ("greatest feed", feed),
            ("rapid", fast),
            ("acceleration", acceleration),
            ("spindle speed", slow_rpm),
        ):
            if not figure > 0:
                raise SettingError(f"a {label} of {figure:g} is not positive", value=figure)
        if slow_rpm > fast_rpm:
            raise SettingError(
                f"slowest speed {slow_rpm:g} rpm is above the fastest, {fast_rpm:g} rpm",
                value=slow_rpm,
                limit=fast_rpm,
            )
        object.__setattr__(self, "name", name)
        object.__setattr__(self, "travel_mm", lengths)
        object.__setattr__(self, "greatest_feed", feed)
        object.__setattr__(self, "rapid", fast)
        object.__setattr__(self, "acceleration", float(acceleration))
        object.__setattr__(self, "speeds_rpm", (slow_rpm, fast_rpm))

    def __repr__(self) -> str:
        x, y, z = self.travel_mm
        return f'Machine(name="{self.name}", travel="{x:g} x {y:g} x {z:g} mm")'
