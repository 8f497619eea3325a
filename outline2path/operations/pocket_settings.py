"""Settings of a pocket: every number it needs, checked on creation.

All lengths in mm, angles in degrees, shares of the cutter's diameter. What can be judged alone is
judged when the settings are made; what depends on the cutter in `check_against`. The defaults are
starting points for wood on a small machine (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from outline2path.errors import SettingError
from outline2path.operations.checks import check_choices, check_finite, check_within
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, Budget

if TYPE_CHECKING:
    from outline2path.operations.rings import Direction

__all__ = ["PocketEntry", "PocketSettings"]

PocketEntry = Literal["auto", "plunge", "ramp", "helix"]
"""How the cutter comes down; "auto" takes a helix where there is room, else a ramp."""

_CHOICES = {
    "entry": ("auto", "plunge", "ramp", "helix"),
    "direction": ("climb", "conventional"),
}
_BOUNDS = {
    "stepover": (0.02, 1.0),
    "allowance_mm": (-100.0, 100.0),
    "depth_per_pass_mm": (0.01, 100.0),
    "finish_allowance_mm": (0.0, 20.0),
    "floor_allowance_mm": (0.0, 20.0),
    "through_mm": (0.0, 20.0),
    "ramp_angle_deg": (0.1, 45.0),
    "rest_of_mm": (0.01, 1000.0),
}


@dataclass(frozen=True, kw_only=True)
class PocketSettings:
    """How a pocket is cleared.

    Attributes
    ----------
    stepover : float
        Distance between neighbouring rings as a share of the cutter's diameter, up to 1.
    tolerance_mm : float
        T of the one-sided promise.
    allowance_mm : float
        Stock left on the walls for good: the pocket shrinks by it; negative makes it wider.
    depth_per_pass_mm : float
        Most one pass takes.
    finish_allowance_mm : float
        What clearing leaves on the walls for a finishing pass; 0 for none.
    floor_allowance_mm : float
        What clearing leaves on the floor for a finishing pass; 0 for none.
    through_mm : float
        How far the last pass goes below the floor asked for, as when a pocket goes through.
    entry : "auto", "helix", "ramp" or "plunge"
        How the cutter comes down.
    ramp_angle_deg : float
        Steepest angle of a ramp or helix.
    direction : "climb" or "conventional"
        For a clockwise spindle.
    rest_of_mm : float, optional
        Diameter of a larger cutter that has cleared this pocket before, with the same
        allowance: only what it left is cut.
    raise_thin_chips : bool
        Raise the feed where the stepover thins the chip.
    slow_inside_arcs : bool
        Lower the feed on arcs along walls that the cutter's rim runs faster than its centre.

    Raises
    ------
    SettingError
        When a setting is impossible.

    Examples
    --------
    >>> PocketSettings(stepover=0.5).entry
    'auto'
    >>> PocketSettings(stepover=1.2)
    Traceback (most recent call last):
    outline2path.errors.SettingError: stepover 1.2 is outside 0.02 to 1
    """

    stepover: float = 0.4
    tolerance_mm: float = DEFAULT_TOLERANCE_MM
    allowance_mm: float = 0.0
    depth_per_pass_mm: float = 1.5
    finish_allowance_mm: float = 0.0
    floor_allowance_mm: float = 0.0
    through_mm: float = 0.0
    entry: PocketEntry = "auto"
    ramp_angle_deg: float = 3.0
    direction: Direction = "climb"
    rest_of_mm: float | None = None
    raise_thin_chips: bool = False
    slow_inside_arcs: bool = False

    def __post_init__(self) -> None:
        check_choices(self, _CHOICES)
        check_finite(self)
        Budget(self.tolerance_mm)  # refuses what cannot be shared out
        check_within(self, _BOUNDS)

    def check_against(self, *, cutter_mm: float, deep_mm: float) -> None:
        """Judge the settings together with the cutter's diameter and the pocket's depth, mm.

        Raises
        ------
        SettingError
            When clearing would leave more than half the cutter on the walls or the whole depth
            on the floor, or when the cutter before was no larger.

        Examples
        --------
        >>> PocketSettings(rest_of_mm=3).check_against(cutter_mm=3, deep_mm=5)
        Traceback (most recent call last):
        outline2path.errors.SettingError: a cutter of 3 mm leaves nothing that one of 3 mm can \
reach; give the larger cutter's diameter
        """
        if self.finish_allowance_mm > cutter_mm / 2:
            raise SettingError(
                f"a finish allowance of {self.finish_allowance_mm:g} mm is more than half the "
                f"cutter's {cutter_mm:g} mm",
                value=self.finish_allowance_mm,
                limit=cutter_mm / 2,
                remedy="leave less for finishing",
            )
        if self.floor_allowance_mm >= deep_mm > 0:
            raise SettingError(
                f"a floor allowance of {self.floor_allowance_mm:g} mm leaves nothing to clear in "
                f"a pocket {deep_mm:g} mm deep",
                value=self.floor_allowance_mm,
                limit=deep_mm,
                remedy="leave less on the floor",
            )
        if self.rest_of_mm is not None and self.rest_of_mm <= cutter_mm:
            raise SettingError(
                f"a cutter of {self.rest_of_mm:g} mm leaves nothing that one of {cutter_mm:g} mm "
                "can reach",
                value=self.rest_of_mm,
                limit=cutter_mm,
                remedy="give the larger cutter's diameter",
            )
