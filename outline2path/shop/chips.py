"""Chips: how thick they are where a cutter takes less than its full width.

In: feed per tooth, width of cut and cutter diameter, mm. Out: engagement angle (degrees) and chip
thicknesses (mm). A cutter of diameter D that takes a width ae touches the work over the angle
phi = acos(1 - 2 ae / D) and, where ae is below D / 2, its chips are thinner than the feed per
tooth: 2 fz sqrt(a - a^2) with a = ae / D at the thickest, 2 fz ae / (D phi) on average (elementary
geometry; trade calculators agree). Refused: widths outside 0 to D.
"""

from __future__ import annotations

import math

from outline2path.errors import SettingError

__all__ = ["chip_load_for_mm", "engagement_deg", "mean_chip_mm", "thickest_chip_mm"]


def engagement_deg(width_mm: float, *, diameter_mm: float) -> float:
    """Return the angle over which the cutter touches the work, 0 to 180 degrees.

    Raises
    ------
    SettingError
        When the width of cut is outside 0 to the diameter.

    Examples
    --------
    >>> round(engagement_deg(0.6, diameter_mm=6), 6)
    36.869898
    """
    if not (0 < width_mm <= diameter_mm):
        raise SettingError(
            f"a cut {width_mm:g} mm wide is outside 0 to the cutter's {diameter_mm:g} mm",
            value=width_mm,
            limit=diameter_mm,
        )
    return math.degrees(math.acos(1 - 2 * width_mm / diameter_mm))


def thickest_chip_mm(chip_load_mm: float, *, width_mm: float, diameter_mm: float) -> float:
    """Return the greatest thickness of a chip, mm.

    Examples
    --------
    >>> round(thickest_chip_mm(0.1, width_mm=0.6, diameter_mm=6), 6)
    0.06
    """
    angle = math.radians(engagement_deg(width_mm, diameter_mm=diameter_mm))
    return chip_load_mm * math.sin(min(angle, math.pi / 2))


def mean_chip_mm(chip_load_mm: float, *, width_mm: float, diameter_mm: float) -> float:
    """Return the mean thickness of a chip over the engagement, mm.

    Examples
    --------
    >>> round(mean_chip_mm(1.0, width_mm=6, diameter_mm=6), 6)  # a full slot: 2 / pi
    0.63662
    """
    angle = math.radians(engagement_deg(width_mm, diameter_mm=diameter_mm))
    return 2 * chip_load_mm * width_mm / (diameter_mm * angle)


def chip_load_for_mm(chip_mm: float, *, width_mm: float, diameter_mm: float) -> float:
    """Return the feed per tooth that makes chips as thick as this at the thickest, mm.

    Examples
    --------
    >>> round(chip_load_for_mm(0.002, width_mm=0.1, diameter_mm=1), 5)
    0.00333
    """
    return chip_mm / thickest_chip_mm(1.0, width_mm=width_mm, diameter_mm=diameter_mm)
