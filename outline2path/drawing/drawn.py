"""Drawn: an outline's figures, flattened under its matrix, as area and lines.

In: an outline and a tolerance in mm. Out: `Drawn` with the region, the open lines for engraving
and the area of each figure, all in mm, y up. Called by `Outline` when a region is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import shapely

from outline2path.drawing.regions import figure_areas, together, visible_dark

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline

__all__ = ["Drawn", "draw_figures"]

_NO_LINES = shapely.MultiLineString()


@dataclass(frozen=True, eq=False)
class Drawn:
    """One flattening of an outline, in mm, y up.

    Attributes
    ----------
    region : MultiPolygon
        All area.
    lines : MultiLineString
        Open lines, for engraving.
    areas : tuple
        Area of each figure, before they were put together.
    """

    region: shapely.MultiPolygon
    lines: shapely.MultiLineString = _NO_LINES
    areas: tuple[Any, ...] = ()


def draw_figures(outline: Outline, tolerance_mm: float) -> Drawn:
    """Flatten an outline once."""
    a, b, c, d, e, f = outline.matrix
    if outline.solid is not None:
        if outline.matrix == (1.0, 0.0, 0.0, 1.0, 0.0, 0.0):
            return Drawn(region=outline.solid)
        moved = shapely.transform(outline.solid, lambda p: p @ [[a, b], [c, d]] + [e, f])
        return Drawn(region=shapely.orient_polygons(moved))
    filled = [x for x in outline.figures if x.fill is not None]
    areas = figure_areas(filled, outline.matrix, tolerance_mm)
    if outline.reading.paint == "visible":
        region = visible_dark(areas, [x.light for x in filled])
    else:
        region = together(areas)
    return Drawn(region=region, areas=tuple(areas))
