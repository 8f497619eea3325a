"""Placing: where work zero lies, and the box of stock around the part.

In: an outline in mm and the stock. Out: the outline moved so that work zero is the origin, and
the stock's box in the same work coordinates. The part lies in the middle of the stock; where the
stock's width and height are not known, enough is assumed around the part for the cutter, its
lead and a rim that holds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from outline2path.drawing.outline import Outline
from outline2path.findings import Finding
from outline2path.shop.machine import Machine
from outline2path.shop.stock import Stock

__all__ = ["Placement", "Zero", "place", "travel_findings"]

Zero = Literal["lower-left", "centre", "stock-corner"]
"""Work zero in x and y: lower left corner or centre of the part's box, or the stock's lower left
corner."""

RIM_MM = 5.0
"""Least rim of stock assumed outside the cut: common practice, no source."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Placement:
    """An outline in work coordinates with the stock's box (x0, y0, x1, y1), mm."""

    outline: Outline
    stock_box_mm: tuple[float, float, float, float]
    stock_assumed: bool


def place(outline: Outline, *, stock: Stock, zero: Zero, cutter_mm: float) -> Placement:
    """Move an outline so that work zero is the origin, in the middle of its stock.

    Parameters
    ----------
    outline : Outline
        In mm, anywhere.
    stock : Stock
        Width and height may be unknown.
    zero : "lower-left", "centre" or "stock-corner"
        Where work zero lies.
    cutter_mm : float
        Cutter diameter, for the stock assumed: two diameters and a rim outside the part.

    Examples
    --------
    >>> import shapely
    >>> part = Outline.from_shapely(shapely.box(10, 10, 40, 30))
    >>> placed = place(part, stock=Stock("50 x 40 x 6 mm"), zero="stock-corner", cutter_mm=3)
    >>> placed.outline.bounds_mm, placed.stock_box_mm
    ((10.0, 10.0, 40.0, 30.0), (0.0, 0.0, 50.0, 40.0))
    """
    x0, y0, x1, y1 = outline.bounds_mm
    rim = 2 * cutter_mm + RIM_MM
    width = stock.width_mm if stock.width_mm is not None else x1 - x0 + 2 * rim
    height = stock.height_mm if stock.height_mm is not None else y1 - y0 + 2 * rim
    left, low = (x0 + x1 - width) / 2, (y0 + y1 - height) / 2
    at = {
        "lower-left": (x0, y0),
        "centre": ((x0 + x1) / 2, (y0 + y1) / 2),
        "stock-corner": (left, low),
    }[zero]
    box = (left - at[0], low - at[1], left - at[0] + width, low - at[1] + height)
    moved = outline.move(-at[0], -at[1])
    return Placement(outline=moved, stock_box_mm=box, stock_assumed=stock.width_mm is None)


def travel_findings(
    cut_bounds: tuple[float, float, float, float],
    placement: Placement,
    *,
    cutter_mm: float,
    machine: Machine | None,
) -> tuple[Finding, ...]:
    """Compare the reach of the path (x0, y0, x1, y1 of the cutter's centre) with stock and travel.

    An error finding where the machine cannot travel so far or the part hangs over the stock; a
    warning where the cut runs out of the stock's edge.
    """
    found = []
    width, height = cut_bounds[2] - cut_bounds[0], cut_bounds[3] - cut_bounds[1]
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
    beyond = max(x0 - cut_bounds[0], y0 - cut_bounds[1], cut_bounds[2] - x1, cut_bounds[3] - y1)
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
