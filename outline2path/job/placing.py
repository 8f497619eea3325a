"""Placing: where work zero lies, and the box of stock around the parts.

In: the box round all that is drawn for a blank, in mm, and the stock. Out: a Bed: the map from the
drawing to work coordinates, in which work zero is the origin, and the stock's box there. The
drawing lies in the middle of the stock, or as drawn, its origin on the stock's lower left corner.
Where the stock's width and height are not known, enough is assumed around the parts for the
cutter, its lead and a rim that holds. A blank turned over shows its drawing mirrored.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.job.step import About
    from outline2path.shop.stock import Stock

__all__ = ["Bed", "Placed", "Placement", "Zero", "bed_for"]

Box = tuple[float, float, float, float]
Zero = Literal["lower-left", "centre", "stock-corner"]
"""Work zero in x and y: lower left corner or centre of the parts' box, or the stock's lower left
corner."""
Placed = Literal["centre", "as-drawn"]
"""The drawing in the stock's middle, or with its origin on the stock's lower left corner."""

RIM_MM = 5.0
"""Least rim of stock assumed outside the cut: common practice, no source."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Placement:
    """An outline in work coordinates with the stock's box (x0, y0, x1, y1), mm."""

    outline: Outline
    stock_box_mm: Box
    stock_assumed: bool


@dataclass(frozen=True, kw_only=True)
class Bed:
    """How a drawing lies on the machine.

    Attributes
    ----------
    matrix : tuple of 6 floats
        Work x = a x + c y + e, work y = b x + d y + f, from the drawing's mm.
    stock_box_mm : tuple of 4 floats
        x0, y0, x1, y1 of the stock in work coordinates.
    stock_assumed : bool
        Whether the stock's width and height were not known.
    """

    matrix: tuple[float, float, float, float, float, float]
    stock_box_mm: Box
    stock_assumed: bool

    def place(self, outline: Outline) -> Placement:
        """Move an outline into work coordinates."""
        return Placement(
            outline=outline.transformed(self.matrix),
            stock_box_mm=self.stock_box_mm,
            stock_assumed=self.stock_assumed,
        )


def bed_for(
    drawn: Box,
    *,
    stock: Stock,
    zero: Zero,
    cutter_mm: float,
    placed: Placed = "centre",
    about: About | None = None,
) -> Bed:
    """Lay a drawing out on its stock so that work zero is the origin.

    Parameters
    ----------
    drawn : tuple of 4 floats
        x0, y0, x1, y1 round everything drawn for this blank, in mm.
    stock : Stock
        Width and height may be unknown.
    zero : "lower-left", "centre" or "stock-corner"
        Where work zero lies.
    cutter_mm : float
        Widest cutter, for the stock assumed: two diameters and a rim outside the parts.
    placed : "centre" or "as-drawn"
        Where the drawing lies in the stock; as drawn is for stock of known size.
    about : "x", "y" or None
        How the blank was turned over.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.drawing.outline import Outline
    >>> from outline2path.shop.stock import Stock
    >>> part = Outline.from_shapely(shapely.box(10, 10, 40, 30))
    >>> bed = bed_for(part.bounds_mm, stock=Stock("50 x 40 x 6 mm"), zero="stock-corner",
    ...               cutter_mm=3)
    >>> bed.place(part).outline.bounds_mm, bed.stock_box_mm
    ((10.0, 10.0, 40.0, 30.0), (0.0, 0.0, 50.0, 40.0))
    """
    x0, y0, x1, y1 = drawn
    rim = 2 * cutter_mm + RIM_MM
    width = stock.width_mm if stock.width_mm is not None else x1 - x0 + 2 * rim
    height = stock.height_mm if stock.height_mm is not None else y1 - y0 + 2 * rim
    left, low = 0.0, 0.0
    if placed == "centre" or stock.width_mm is None:
        left, low = (x0 + x1 - width) / 2, (y0 + y1 - height) / 2
    mirror_x, mirror_y = about == "y", about == "x"
    if mirror_x:
        x0, x1 = 2 * left + width - x1, 2 * left + width - x0
    if mirror_y:
        y0, y1 = 2 * low + height - y1, 2 * low + height - y0
    at = {
        "lower-left": (x0, y0),
        "centre": ((x0 + x1) / 2, (y0 + y1) / 2),
        "stock-corner": (left, low),
    }[zero]
    a, e = (-1.0, 2 * left + width) if mirror_x else (1.0, 0.0)
    d, f = (-1.0, 2 * low + height) if mirror_y else (1.0, 0.0)
    return Bed(
        matrix=(a, 0.0, 0.0, d, e - at[0], f - at[1]),
        stock_box_mm=(left - at[0], low - at[1], left - at[0] + width, low - at[1] + height),
        stock_assumed=stock.width_mm is None,
    )
