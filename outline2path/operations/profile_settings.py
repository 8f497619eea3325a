"""Settings of a profile: every number it needs, checked on creation.

All lengths in mm, angles in degrees. What can be judged alone is judged when the settings are
made; what depends on cutter and stock in `check_against`. Nothing later re-checks. The defaults
are starting points for wood on a small machine (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Literal

from outline2path.errors import SettingError
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, Budget

if TYPE_CHECKING:
    from outline2path.operations.entries import Entry
    from outline2path.operations.leads import LeadKind
    from outline2path.operations.rings import Direction, Side

__all__ = ["BeginOn", "ProfileSettings"]

_CHOICES = {
    "side": ("outside", "inside", "on"),
    "lead": ("arc", "line", "none"),
    "entry": ("plunge", "ramp", "helix"),
    "direction": ("climb", "conventional"),
    "begin_on": (None, "front", "back", "left", "right"),
}
_TOWARDS = {"front": (0.0, -1.0), "back": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}
_MOST_TABS = 200
BeginOn = Literal["front", "back", "left", "right"]
"""Sides of the part as a person stands before it: front is the least y, left the least x."""


@dataclass(frozen=True, kw_only=True)
class ProfileSettings:
    """How a profile is cut.

    Attributes
    ----------
    side : "outside", "inside" or "on"
        Where the cutter runs; see `outline2path.operations.profile`.
    tolerance_mm : float
        T of the one-sided promise.
    allowance_mm : float
        Stock left on the drawn edge: the part grows by it, an opening shrinks by it. Negative
        makes the part smaller.
    depth_per_pass_mm : float
        Most one pass takes.
    through_mm : float
        How far the last pass goes below the stock's bottom.
    finish_allowance_mm : float
        What roughing leaves for a finishing pass; 0 for none.
    tabs : int
        Tabs on each part's edge; 0 for none.
    tab_length_mm, tab_height_mm : float
        Along the wall, and above the stock's bottom.
    lead : "arc", "line" or "none"
        How the cutter comes to the edge and leaves it.
    lead_mm : float, optional
        Radius or length of the lead; the cutter's radius when left out.
    entry : "plunge", "ramp" or "helix"
        How the cutter comes down.
    ramp_angle_deg : float
        Steepest angle of a ramp or helix.
    direction : "climb" or "conventional"
        For a clockwise spindle.
    begin_on : "front", "back", "left", "right" or None
        Side of the part on which the cut begins and ends, so that its mark is out of sight; None
        takes what keeps the rapids short.
    rest_of_mm : float, optional
        Diameter of a larger cutter that has run this profile before, with the same settings:
        only what it left is cut.
    slow_inside_arcs : bool
        Lower the feed in sharp inner corners and on tight inside arcs, where the rim runs faster
        than the centre and more of it is in the stock.

    Raises
    ------
    SettingError
        When a setting is impossible, alone or with another.

    Examples
    --------
    >>> ProfileSettings(tabs=4).tab_length_mm
    6.0
    >>> ProfileSettings(tabs=-1)
    Traceback (most recent call last):
    outline2path.errors.SettingError: tabs -1 is outside 0 to 200
    """

    side: Side = "outside"
    tolerance_mm: float = DEFAULT_TOLERANCE_MM
    allowance_mm: float = 0.0
    depth_per_pass_mm: float = 1.5
    through_mm: float = 0.3
    finish_allowance_mm: float = 0.0
    tabs: int = 0
    tab_length_mm: float = 6.0
    tab_height_mm: float = 1.5
    lead: LeadKind = "arc"
    lead_mm: float | None = None
    entry: Entry = "plunge"
    ramp_angle_deg: float = 3.0
    direction: Direction = "climb"
    begin_on: BeginOn | None = None
    rest_of_mm: float | None = None
    slow_inside_arcs: bool = False

    @property
    def towards(self) -> tuple[float, float] | None:
        """Direction of the side the cut begins on."""
        return None if self.begin_on is None else _TOWARDS[self.begin_on]

    def __post_init__(self) -> None:
        for name, allowed in _CHOICES.items():
            if getattr(self, name) not in allowed:
                words = tuple(filter(None, allowed))
                raise SettingError(
                    f"{name} {getattr(self, name)!r} is none of {', '.join(words)}",
                    value=getattr(self, name),
                    limit=words,
                )
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, float) and not math.isfinite(value):
                raise SettingError(f"{_spoken(field.name)} {value!r} is no finite number")
        Budget(self.tolerance_mm)  # refuses what cannot be shared out
        self._within("allowance_mm", -100.0, 100.0)
        self._within("depth_per_pass_mm", 0.01, 100.0)
        self._within("through_mm", 0.0, 20.0)
        self._within("finish_allowance_mm", 0.0, 20.0)
        self._within("tab_length_mm", 0.1, 100.0)
        self._within("tab_height_mm", 0.05, 100.0)
        self._within("ramp_angle_deg", 0.1, 45.0)
        if self.lead_mm is not None:
            self._within("lead_mm", 0.05, 100.0)
        if self.rest_of_mm is not None:
            self._within("rest_of_mm", 0.01, 1000.0)
            if self.side == "on":
                raise SettingError(
                    f"on the line a cutter of {self.rest_of_mm:g} mm leaves nothing to cut",
                    value=self.rest_of_mm,
                    remedy="leave out the larger cutter",
                )
        self._within("tabs", 0, _MOST_TABS)
        if isinstance(self.tabs, bool) or not isinstance(self.tabs, int):
            raise SettingError(f"tabs {self.tabs!r} is no whole number", value=self.tabs)

    def _within(self, name: str, low: float, high: float) -> None:
        value = getattr(self, name)
        if not low <= value <= high:
            raise SettingError(
                f"{_spoken(name)} {value:g} is outside {low:g} to {high:g}",
                value=value,
                limit=(low, high),
            )

    def check_against(self, *, cutter_mm: float, thickness_mm: float) -> None:
        """Judge the settings together with the cutter's diameter and the stock's thickness, mm.

        Raises
        ------
        SettingError
            When tabs are as tall as the stock, roughing leaves more than the cutter's radius, or
            the part would shrink by the cutter's radius or more.

        Examples
        --------
        >>> ProfileSettings(tabs=4, tab_height_mm=3).check_against(cutter_mm=3, thickness_mm=3)
        Traceback (most recent call last):
        outline2path.errors.SettingError: tabs 3 mm high do not fit in stock 3 mm thick; make \
them lower than the stock
        """
        if self.tabs and self.tab_height_mm >= thickness_mm > 0:
            raise SettingError(
                f"tabs {self.tab_height_mm:g} mm high do not fit in stock {thickness_mm:g} mm "
                "thick",
                value=self.tab_height_mm,
                limit=thickness_mm,
                remedy="make them lower than the stock",
            )
        if self.finish_allowance_mm > cutter_mm / 2:
            raise SettingError(
                f"a finish allowance of {self.finish_allowance_mm:g} mm is more than half the "
                f"cutter's {cutter_mm:g} mm",
                value=self.finish_allowance_mm,
                limit=cutter_mm / 2,
                remedy="leave 0.1 to 0.3 mm for the finishing pass",
            )
        if self.allowance_mm <= -cutter_mm / 2:
            raise SettingError(
                f"an allowance of {self.allowance_mm:g} mm takes off as much as the cutter's "
                f"radius of {cutter_mm / 2:g} mm or more",
                value=self.allowance_mm,
                limit=-cutter_mm / 2,
                remedy="scale the drawing down instead",
            )


def _spoken(name: str) -> str:
    return name.removesuffix("_mm").removesuffix("_deg").replace("_", " ")
