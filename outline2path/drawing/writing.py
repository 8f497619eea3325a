"""Writing: an outline -> clean SVG or WKT, at true size.

In: an outline. Out: text. The SVG has its size in mm, one path a region, holes by the even-odd
rule, every number written in full, so that reading it again gives the same outline. The WKT is
one MULTIPOLYGON in mm, y up, the origin where the outline has it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

import numpy as np
import shapely

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline

__all__ = ["svg_of", "wkt_of"]

_HAIRLINE_MM = 0.1


def svg_of(outline: Outline, *, tolerance_mm: float) -> str:
    """Return the outline as an SVG document.

    The page reaches from the origin to the outline's far corner, or to its lower left corner
    where that lies below or left of the origin. Lines for engraving are hairlines in a group
    of their own.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> svg_of(Outline.from_shapely(shapely.box(0, 0, 4, 2)), tolerance_mm=0.01).splitlines()[-2]
    '<path d="M4.0 2.0L4.0 0.0 0.0 0.0 0.0 2.0Z"/>'
    """
    drawn = outline.drawn_within(tolerance_mm)
    x0, y0, x1, y1 = shapely.total_bounds([drawn.region, drawn.lines]).tolist()
    left, low = min(0.0, x0), min(0.0, y0)
    width, height = x1 - left, y1 - low

    def trail(line: object) -> str:
        xy = shapely.get_coordinates(line)
        pairs = np.stack([xy[:, 0] - left, height - (xy[:, 1] - low)], axis=1).tolist()
        first, *rest = [f"{x!r} {y!r}" for x, y in pairs]
        return f"M{first}L{' '.join(rest)}"

    paths = []
    for polygon in drawn.region.geoms:
        rings = [shapely.get_coordinates(r)[:-1] for r in (polygon.exterior, *polygon.interiors)]
        data = "".join(f"{trail(shapely.LineString(r))}Z" for r in rings)
        paths.append(f'<path d="{data}"/>')
    if not drawn.lines.is_empty:
        data = "".join(trail(line) for line in drawn.lines.geoms)
        paths.append(
            f'<path id="lines" fill="none" stroke="#000" stroke-width="{_HAIRLINE_MM}" '
            f'd="{data}"/>'
        )
    title = escape(outline.source.file or "outline")
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width!r}mm" height="{height!r}mm" '
            f'viewBox="0 0 {width!r} {height!r}" fill-rule="evenodd">',
            f"<title>{title}</title>",
            *paths,
            "</svg>\n",
        ]
    )


def wkt_of(outline: Outline, *, tolerance_mm: float) -> str:
    """Return the region as one MULTIPOLYGON in mm, y up, every number in full.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> wkt_of(Outline.from_shapely(shapely.box(0, 0, 4, 2)), tolerance_mm=0.01)
    'MULTIPOLYGON (((4 0, 4 2, 0 2, 0 0, 4 0)))'
    """
    return str(shapely.to_wkt(outline.region_within(tolerance_mm), rounding_precision=-1))
