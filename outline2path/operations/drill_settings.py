"""Settings of drilling and boring: every number they need, checked on creation.

All lengths in mm, angles in degrees. The defaults are starting points for wood on a small machine
(common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from outline2path.errors import SettingError
from outline2path.operations.checks import check_choices, check_finite, check_within
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, Budget

if TYPE_CHECKING:
    from outline2path.operations.rings import Direction

__all__ = ["DrillSettings"]

_BOUNDS = {
    "peck_mm": (0.05, 100.0),
    "retract_mm": (0.1, 50.0),
    "through_mm": (0.0, 20.0),
    "depth_per_pass_mm": (0.01, 100.0),
    "stepover": (0.02, 1.0),
    "finish_allowance_mm": (0.0, 5.0),
    "ramp_angle_deg": (0.1, 45.0),
}


@dataclass(frozen=True, kw_only=True)
class DrillSettings:
    """How holes are drilled, and bored where they are wider than the cutter.

    Attributes
    ----------
    points_mm : tuple of (x, y)
        Places to drill besides the outline's circles, in the outline's coordinates.
    peck_mm : float
        Most that is drilled before the drill comes up to clear the chips.
    retract_mm : float
        How far above the surface it comes up.
    through_mm : float
        How far the full diameter goes below the floor; for holes through the stock.
    tolerance_mm : float
        T: how far a circle may be from the cutter's width to be drilled, and from round.
    depth_per_pass_mm : float
        Most one turn of a bore goes down.
    stepover : float
        Of a bore's rings, as a share of the cutter's diameter.
    finish_allowance_mm : float
        What boring leaves for one full circle at full depth; 0 for none.
    ramp_angle_deg : float
        Steepest angle of a bore's helix.
    direction : "climb" or "conventional"
        Of a bore, for a clockwise spindle.

    Raises
    ------
    SettingError
        When a setting is impossible.

    Examples
    --------
    >>> DrillSettings(peck_mm=0)
    Traceback (most recent call last):
    outline2path.errors.SettingError: peck 0 is outside 0.05 to 100
    """

    points_mm: tuple[tuple[float, float], ...] = ()
    peck_mm: float = 2.0
    retract_mm: float = 1.0
    through_mm: float = 0.3
    tolerance_mm: float = DEFAULT_TOLERANCE_MM
    depth_per_pass_mm: float = 1.5
    stepover: float = 0.4
    finish_allowance_mm: float = 0.0
    ramp_angle_deg: float = 3.0
    direction: Direction = "climb"

    def __post_init__(self) -> None:
        check_finite(self)
        check_choices(self, {"direction": ("climb", "conventional")})
        check_within(self, _BOUNDS)
        Budget(self.tolerance_mm)  # refuses what cannot be shared out
        for point in self.points_mm:
            if len(point) != 2 or not all(map(math.isfinite, point)):
                raise SettingError(
                    f"{point!r} is no place to drill",
                    value=point,
                    remedy="give x and y in mm",
                )
