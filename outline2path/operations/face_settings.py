"""Settings of facing: every number it needs, checked on creation.

All lengths in mm, shares of the cutter's diameter. The defaults are starting points for wood on a
small machine (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from outline2path.operations.checks import check_choices, check_finite, check_within
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, Budget

if TYPE_CHECKING:
    from outline2path.operations.rings import Direction

__all__ = ["FaceSettings", "Pattern"]

Pattern = Literal["zigzag", "one-way", "spiral-in"]
"""Lines to and fro; lines all one way, lifting in between; rings from the edge inwards."""

_CHOICES = {
    "pattern": ("zigzag", "one-way", "spiral-in"),
    "along": ("auto", "x", "y"),
    "direction": ("climb", "conventional"),
}
_BOUNDS = {
    "stepover": (0.02, 0.98),
    "overlap_mm": (0.0, 100.0),
    "depth_per_pass_mm": (0.01, 100.0),
}


@dataclass(frozen=True, kw_only=True)
class FaceSettings:
    """How a surface is faced.

    Attributes
    ----------
    pattern : "zigzag", "one-way" or "spiral-in"
        See `Pattern`.
    stepover : float
        Greatest distance between neighbouring lines as a share of the cutter's diameter.
    overlap_mm : float
        How far the cut goes beyond the region's edge on all sides.
    depth_per_pass_mm : float
        Most one pass takes.
    along : "auto", "x" or "y"
        Which way the lines run; "auto" takes the longer side.
    direction : "climb" or "conventional"
        For a clockwise spindle; zigzag cuts both ways by turns.
    tolerance_mm : float
        How closely drawn curves are followed.

    Raises
    ------
    SettingError
        When a setting is impossible.

    Examples
    --------
    >>> FaceSettings(pattern="in circles")
    Traceback (most recent call last):
    outline2path.errors.SettingError: pattern 'in circles' is none of zigzag, one-way, spiral-in
    """

    pattern: Pattern = "zigzag"
    stepover: float = 0.4
    overlap_mm: float = 1.0
    depth_per_pass_mm: float = 0.5
    along: Literal["auto", "x", "y"] = "auto"
    direction: Direction = "climb"
    tolerance_mm: float = DEFAULT_TOLERANCE_MM

    def __post_init__(self) -> None:
        check_choices(self, _CHOICES)
        check_finite(self)
        Budget(self.tolerance_mm)  # refuses what cannot be shared out
        check_within(self, _BOUNDS)
