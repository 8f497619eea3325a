"""Inside: which cells of a grid lie inside regions.

In: shapely regions, mm, and a grid. Out: one truth value a cell, that of its centre. Every edge
is crossed with the rows it spans; a cell is inside where an odd number of crossings lie to its
left (the even-odd rule, which rings that do not cross one another satisfy).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.picture.swept import Grid

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

__all__ = ["cells_inside"]


def cells_inside(region: BaseGeometry, grid: Grid) -> NDArray[np.bool_]:
    """Return for each cell whether its centre is inside, shape (high, wide).

    Examples
    --------
    >>> grid = Grid(x0=0.5, y0=0.5, cell_mm=1.0, wide=4, high=1)
    >>> cells_inside(shapely.box(1, 0, 3, 1), grid)
    array([[False,  True,  True, False]])
    """
    rings = shapely.get_rings(shapely.get_parts(region))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    start, end = points[:-1][same], points[1:][same]
    rows = (np.column_stack((start[:, 1], end[:, 1])) - grid.y0) / grid.cell_mm
    first = np.clip(np.ceil(rows.min(axis=1)), 0, grid.high).astype(np.int64)
    beyond = np.clip(np.ceil(rows.max(axis=1)), 0, grid.high).astype(np.int64)
    count = beyond - first
    edge = np.repeat(np.arange(len(start)), count)
    row = first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
    rise = (end - start)[edge]
    y = grid.y0 + row * grid.cell_mm
    x = start[edge, 0] + (y - start[edge, 1]) * rise[:, 0] / rise[:, 1]
    column = np.clip(np.ceil((x - grid.x0) / grid.cell_mm), 0, grid.wide).astype(np.int64)
    crossed = np.zeros((grid.high, grid.wide + 1), dtype=np.int32)
    np.add.at(crossed, (row, column), 1)
    odd: NDArray[np.bool_] = np.cumsum(crossed, axis=1)[:, :-1] % 2 == 1
    return odd
