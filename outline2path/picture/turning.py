"""Turning: a blank's heights and colours as data for a solid that turns on the screen.

In: programs with their cutters, the blank, the part. Out: JSON text, safe to stand inside a
script element: heights in steps of the blank's thickness over 65535, row by row from the front,
zero where nothing stands, as 16-bit integers in base64; colours with the sky's share baked in, as
a PNG that is clear where nothing stands but for the shadow on the table. Everything comes from
replaying the text, in cells large enough for a page to carry.
"""

from __future__ import annotations

import base64
import io
import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from outline2path.picture.grain import Look, colour_at, look_of
from outline2path.picture.height_field import Cutting, HeightField, carve
from outline2path.picture.inside import cells_inside
from outline2path.picture.light import sky_seen
from outline2path.shop.material import find_material

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

__all__ = ["turning_data"]

Box = tuple[float, float, float, float]
_WIDE = 360
_MARGIN_MM = 16.0
_ROOM_CELLS = 0.75
_STEPS = 65535
_GAMMA = 1 / 2.2
_TABLE_SHADE = 0.75
_UNSIGNED: dict[str, Any] = {"Software": None}


def turning_data(
    cuttings: Sequence[Cutting],
    *,
    stock_box_mm: Box,
    top_mm: float,
    bottom_mm: float,
    part: BaseGeometry | None = None,
    material: str = "plywood",
    grain: str | None = None,
) -> str:
    """Return the data of a blank without its waste, as JSON.

    Parameters
    ----------
    cuttings : sequence of Cutting
        In the order they are run.
    stock_box_mm, top_mm, bottom_mm
        The blank, work coordinates, mm.
    part : shapely geometry, optional
        Regions that are wanted; all that is left is shown where left out.
    material : str
        Everyday name.
    grain : "x" or "y", optional
        The axis that the grain runs along; x if left out.

    Examples
    --------
    >>> data = json.loads(turning_data([], stock_box_mm=(0, 0, 50, 40), top_mm=0, bottom_mm=-9))
    >>> data["thick"], data["wide"] > 300
    (9, True)
    """
    if part is not None and not part.is_empty:
        x0, y0, x1, y1 = part.bounds
        box = stock_box_mm
        stock_box_mm = max(x0, box[0]), max(y0, box[1]), min(x1, box[2]), min(y1, box[3])
    sides = stock_box_mm[2] - stock_box_mm[0], stock_box_mm[3] - stock_box_mm[1]
    cell = (max(sides) + 2 * _MARGIN_MM) / _WIDE
    field = carve(
        cuttings,
        stock_box_mm=stock_box_mm,
        top_mm=top_mm,
        bottom_mm=bottom_mm,
        cell_mm=cell,
        margin_mm=(_MARGIN_MM,) * 4,
    )
    solid = field.solid
    if part is not None:
        solid = solid & cells_inside(part.buffer(_ROOM_CELLS * cell), field.grid)
    look = look_of(find_material(material).name, grain=grain)
    rise = np.where(solid, field.z - bottom_mm, 0.0) / (top_mm - bottom_mm)
    data = {
        "wide": field.grid.wide,
        "high": field.grid.high,
        "cell": cell,
        "thick": top_mm - bottom_mm,
        "heights": _coded(np.round(rise * _STEPS).astype("<u2")),
        "colours": base64.b64encode(_colours(field, solid, look)).decode("ascii"),
    }
    return json.dumps(data, separators=(",", ":"))


def _coded(table: NDArray[np.uint16]) -> str:
    return base64.b64encode(table.tobytes()).decode("ascii")


def _colours(field: HeightField, solid: NDArray[np.bool_], look: Look) -> bytes:
    """Return the colour of each cell's top as a PNG, the front row first."""
    from matplotlib.image import imsave

    grid = field.grid
    z = np.where(solid, field.z, np.float32(field.bottom_mm)).astype(np.float32)
    sky = sky_seen(z, grid.cell_mm)
    row, column = np.nonzero(solid)
    x = (grid.x0 + grid.cell_mm * column).astype(np.float32)
    y = (grid.y0 + grid.cell_mm * row).astype(np.float32)
    light = colour_at(x, y, z[solid] - np.float32(field.bottom_mm), look=look)
    dots = np.zeros((grid.high, grid.wide, 4), dtype=np.float32)
    dots[..., 3] = _TABLE_SHADE * (1 - sky)
    dots[solid, :3] = (light * sky[solid][:, None]) ** np.float32(_GAMMA)
    dots[solid, 3] = 1.0
    stream = io.BytesIO()
    imsave(stream, np.clip(dots, 0, 1), format="png", metadata=_UNSIGNED)
    return stream.getvalue()
