"""Bench and step: a job's fixed values as they go into a plan. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.job.placing import Zero
    from outline2path.operations.profile_settings import ProfileSettings
    from outline2path.shop.cutter import Cutter
    from outline2path.shop.machine import Machine
    from outline2path.shop.stock import Stock

__all__ = ["Bench", "ProfileStep"]


@dataclass(frozen=True, kw_only=True)
class Bench:
    """Stock, machine, work zero and the settings of the whole program."""

    stock: Stock
    machine: Machine | None
    zero: Zero
    zero_z: Literal["top", "bottom"]
    clearance_mm: float
    units: Literal["mm", "in"]
    tolerance_mm: float

    @property
    def top_mm(self) -> float:
        """Z of the stock's top in work coordinates."""
        return 0.0 if self.zero_z == "top" else self.stock.thickness_mm

    @property
    def bottom_mm(self) -> float:
        """Z of the stock's bottom in work coordinates."""
        return self.top_mm - self.stock.thickness_mm


@dataclass(frozen=True, eq=False, kw_only=True)
class ProfileStep:
    """One profile: outline, cutter, settings, and the feeds a person asked for."""

    outline: Outline
    cutter: Cutter
    settings: ProfileSettings
    feed: float | None = None
    plunge: float | None = None
    rpm: float | None = None
