"""Passes: the depths at which a contour is cut.

In: z of the stock's top and bottom, the most one pass may take, the overrun below the stock, mm.
Out: z of each pass, top to bottom, in the same coordinates. All passes take the same depth, the
fewest that keep to the limit; the last ends `through_mm` below the stock. Refused: a depth per
pass that is not positive, and plans of more than 1000 passes.
"""

from __future__ import annotations

import math

from outline2path.errors import SettingError
from outline2path.tolerance import LENGTH_EPSILON_MM

__all__ = ["pass_depths"]

_MOST = 1000


def pass_depths(
    *, top_mm: float, bottom_mm: float, depth_per_pass_mm: float, through_mm: float
) -> tuple[float, ...]:
    """Return z of each pass, top to bottom, mm.

    Raises
    ------
    SettingError
        When the stock has no thickness, a depth is not positive, or the passes are too many.

    Examples
    --------
    >>> pass_depths(top_mm=0, bottom_mm=-6, depth_per_pass_mm=2.1, through_mm=0.3)
    (-2.1, -4.2, -6.3)
    """
    if not top_mm > bottom_mm:
        raise SettingError(
            f"the stock's top at z {top_mm:g} is not above its bottom at z {bottom_mm:g} mm",
            value=top_mm,
            limit=bottom_mm,
        )
    if not (depth_per_pass_mm > 0 and through_mm >= 0):
        raise SettingError(
            f"a depth of {depth_per_pass_mm:g} mm a pass and {through_mm:g} mm through the stock "
            "cannot be cut",
            value=depth_per_pass_mm,
            remedy="give a positive depth per pass, and zero or more to go through",
        )
    deep = top_mm - bottom_mm + through_mm
    count = math.ceil(deep / depth_per_pass_mm - LENGTH_EPSILON_MM)
    if count > _MOST:
        raise SettingError(
            f"{deep:g} mm at {depth_per_pass_mm:g} mm a pass makes {count} passes",
            value=count,
            limit=_MOST,
            remedy="allow more depth per pass",
        )
    end = bottom_mm - through_mm
    steps = [top_mm - deep * k / count for k in range(1, count)]
    return (*steps, end)
