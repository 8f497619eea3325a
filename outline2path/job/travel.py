"""Travel: whether the machine gets there, and whether the part lies on its stock.

In: the reach of the path, the placed outline, the machine. Out: findings. Lengths in mm.
"""

from __future__ import annotations

from outline2path.findings import Finding
from outline2path.job.placing import Box, Placement
from outline2path.shop.machine import Machine

__all__ = ["travel_findings"]


def travel_findings(
    bounds: Box,
    placement: Placement,
    *,
    cut_mm: Box,
    cutter_mm: float,
    machine: Machine | None,
) -> tuple[Finding, ...]:
    """Compare the path with stock and travel.

    Parameters
    ----------
    bounds, cut_mm : tuple of 4 floats
        x0, y0, x1, y1 of the cutter's centre: on all moves, and on those at a feed.
    placement : Placement
        The part and the stock's box.
    cutter_mm : float
        Diameter.
    machine : Machine or None
        Its travel is asked where it is known.

    An error finding where the machine cannot travel so far or the part hangs over the stock; a
    warning where the cut runs out of the stock's edge.
    """
    found = []
    width, height = bounds[2] - bounds[0], bounds[3] - bounds[1]
    if machine is not None:
        for axis, need, have in zip("XY", (width, height), machine.travel_mm, strict=False):
            if need > have:
                found.append(
                    Finding(
                        code="beyond-travel",
                        severity="error",
                        message=f"the path needs {need:.2f} mm of travel in {axis}; the "
                        f"{machine.name} has {have:g} mm",
                        value=need,
                        limit=have,
                        unit="mm",
                        remedy="turn or scale the part, or use a machine with more travel",
                    )
                )
    x0, y0, x1, y1 = placement.stock_box_mm
    a, b, c, d = placement.outline.bounds_mm
    outside = max(x0 - a, y0 - b, c - x1, d - y1)
    beyond = max(x0 - cut_mm[0], y0 - cut_mm[1], cut_mm[2] - x1, cut_mm[3] - y1)
    if outside > 0:
        found.append(
            Finding(
                code="part-off-stock",
                severity="error",
                message=f"the part hangs over the stock by {outside:.2f} mm",
                value=outside,
                limit=0.0,
                unit="mm",
                remedy=f"use stock of at least {c - a + 2 * cutter_mm:.0f} x "
                f"{d - b + 2 * cutter_mm:.0f} mm, or make the part smaller",
            )
        )
    elif beyond + cutter_mm / 2 > 0 and not placement.stock_assumed:
        found.append(
            Finding(
                code="cut-off-stock",
                severity="warning",
                message=f"the cut runs over the stock's edge by {beyond + cutter_mm / 2:.2f} mm, "
                "so no rim is left there to hold tabs",
                value=beyond + cutter_mm / 2,
                limit=0.0,
                unit="mm",
                remedy="use larger stock, or hold the part with tape and glue",
            )
        )
    return tuple(found)
