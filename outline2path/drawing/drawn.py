"""Drawn: an outline's figures, flattened under its matrix, as area and lines.

In: an outline and a tolerance in mm. Out: `Drawn` with the region, the open lines for engraving
and the area of each figure, all in mm, y up. Called by `Outline` when a region is asked for.

Strokes are read as the outline's `Reading` says. "outline" takes the area a line covers. With
"centreline", shapes that are only lines give the line itself: closed ones, after joining ends
that meet, bound area by the even-odd rule, so that a ring inside a ring is a hole; a ring drawn
twice counts once; what stays open is a line to engrave.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.drawing.fillrule import EMPTY, filled_area
from outline2path.drawing.hairs import without_hairs
from outline2path.drawing.joining import Joined, join_lines
from outline2path.drawing.lines import polylines
from outline2path.drawing.regions import (
    clip_areas,
    figure_areas,
    mended,
    polygons_of,
    together,
    visible_dark,
)
from outline2path.drawing.strokes import stroke_area
from outline2path.drawing.transforms import Affine, compose, greatest_scale
from outline2path.tolerance import SAME_MM

if TYPE_CHECKING:
    from outline2path.drawing.faces import Crossed
    from outline2path.drawing.figures import Figure, Stroke
    from outline2path.drawing.outline import Outline

__all__ = ["Drawn", "draw_figures", "read_by_policy"]

Floats = NDArray[np.float64]

Filled = tuple[list[Any], "dict[int, Crossed]"]

_NO_LINES = shapely.MultiLineString()
_NOTHING = Joined((), (), ())


@dataclass(frozen=True, eq=False)
class Drawn:
    """One flattening of an outline, in mm, y up.

    Attributes
    ----------
    region : MultiPolygon
        All area.
    lines : MultiLineString
        Open lines, for engraving.
    areas : tuple of MultiPolygon
        Area of each figure, its stroke included where that is asked for, in painting order.
    crossed : dict of int to Crossed
        Figures with rings that cross, touch or repeat one another or themselves.
    joined : Joined
        Rings, lines and gaps of the centre lines.
    """

    region: shapely.MultiPolygon
    lines: shapely.MultiLineString = _NO_LINES
    areas: tuple[Any, ...] = ()
    crossed: dict[int, Crossed] = field(default_factory=dict)
    joined: Joined = _NOTHING


def draw_figures(outline: Outline, tolerance_mm: float, *, filled: Filled | None = None) -> Drawn:
    """Flatten an outline once; lengths in mm. `filled`: its `figure_areas`, where known."""
    if outline.solid is not None:
        return Drawn(region=_moved(outline.solid, outline.matrix))
    figures, matrix = outline.figures, outline.matrix
    strokes, paint = outline.reading.strokes, outline.reading.paint
    areas, crossed = filled or figure_areas(figures, matrix, tolerance_mm)
    if strokes == "outline":
        covered = [
            EMPTY if f.stroke is None else _line_area(f, f.stroke, matrix, tolerance_mm)
            for f in figures
        ]
        covered = clip_areas(covered, figures, matrix, tolerance_mm)
        areas = [together(pair) for pair in zip(areas, covered, strict=True)]
    if paint == "visible":
        region = visible_dark(areas, [f.light for f in figures])
    else:
        region = together(areas)
    joined, lines = _NOTHING, _NO_LINES
    if strokes == "centreline":
        reach = outline.reading.join_px * greatest_scale(matrix)
        joined = _centre_lines(figures, matrix, tolerance_mm, reach)
        region = together([region, filled_area(_once(joined.rings), "evenodd")])
        if joined.lines:
            lines = shapely.MultiLineString([shapely.LineString(line) for line in joined.lines])
    region = without_hairs(region)
    return Drawn(region=region, lines=lines, areas=tuple(areas), crossed=crossed, joined=joined)


def read_by_policy(outline: Outline) -> Outline:
    """Return an outline with its lines read as they are unless asked: by their centre where
    nothing is filled, else not at all.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> read_by_policy(Outline.from_path("M0 0H9V9Z")).reading.strokes
    'ignore'
    """
    figures, reading = outline.figures, outline.reading
    if reading.strokes != "ignore":
        outline = replace(outline, reading=replace(reading, strokes="ignore"))
    if all(f.stroke is None for f in figures):
        return outline
    filled = None
    if any(f.fill is not None for f in figures):
        known = outline.drawn_within(outline.fine_mm)
        if not all(area.is_empty for area in known.areas):
            return outline
        filled = (list(known.areas), known.crossed)
    lines = replace(outline, reading=replace(reading, strokes="centreline"))
    return lines.knowing(lines.fine_mm, draw_figures(lines, lines.fine_mm, filled=filled))


def _moved(solid: shapely.MultiPolygon, matrix: tuple[float, ...]) -> shapely.MultiPolygon:
    a, b, c, d, e, f = matrix
    if matrix == (1.0, 0.0, 0.0, 1.0, 0.0, 0.0):
        return solid
    moved = mended(shapely.transform(solid, lambda p: p @ [[a, b], [c, d]] + [e, f]))
    return shapely.orient_polygons(moved)


def _line_area(figure: Figure, stroke: Stroke, matrix: Affine, tolerance: float) -> Any:
    """Area of a figure's line, made where the line has its width and then moved."""
    curves, total = figure.curves, compose(matrix, figure.matrix)
    if stroke.fixed_width:
        curves, total = curves.transformed(figure.matrix), matrix
    scale = greatest_scale(total)
    if scale == 0:
        return EMPTY
    a, b, c, d, e, f = total
    area = stroke_area(curves, stroke, tolerance / scale)
    turn, move = np.array([[a, b], [c, d]]), np.array([e, f])
    return polygons_of(mended(shapely.transform(area, lambda p: p @ turn + move)))


def _centre_lines(
    figures: tuple[Figure, ...],
    matrix: Affine,
    tolerance: float,
    reach: float,
) -> Joined:
    """Lines of the shapes that are only lines, joined where their ends meet."""
    only = [f for f in figures if f.fill is None and f.stroke is not None]
    rings: list[Floats] = []
    loose: list[Floats] = []
    for parts in polylines(only, matrix, tolerance):
        for line, closed in parts:
            (rings if closed else loose).append(line)
    joined = join_lines(loose, reach)
    return Joined((*rings, *joined.rings), joined.lines, joined.gaps)


def _once(rings: tuple[Floats, ...]) -> list[Floats]:
    """Rings without those that repeat another one, in either direction and from any start."""
    sound = [r for r in rings if len(r) >= 4]
    if not sound:
        return []
    polygons = shapely.normalize([shapely.Polygon(r) for r in sound])
    keys = shapely.to_wkb(shapely.set_precision(polygons, SAME_MM, mode="pointwise"))
    first = {key: k for k, key in reversed(list(enumerate(keys.tolist())))}
    return [sound[k] for k in sorted(first.values())]
