"""Regions: figures -> the area they fill and the lines they leave, flattened once.

In: figures, a matrix from CSS pixels to the unit wanted (mm, y up), a tolerance in that unit, and
how to read strokes and paint. Out: `Drawn`: the area of each figure, clipped, and all of them
together as one MultiPolygon. Everything is flattened in one pass under the full matrix, so the
tolerance holds at the size that will be cut. Nothing is snapped to a grid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.drawing.fillrule import EMPTY, filled_areas
from outline2path.drawing.lines import traced
from outline2path.drawing.loops import loops_of

if TYPE_CHECKING:
    from outline2path.drawing.faces import Crossed
    from outline2path.drawing.figures import Clip, Figure
    from outline2path.drawing.transforms import Affine

__all__ = [
    "clip_areas",
    "figure_areas",
    "mended",
    "polygons_of",
    "together",
    "visible_dark",
]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_POLYGON = 3
"""The number that geometries give their kind."""
_FEW = 64
"""Boxes up to which every pair is looked at."""
_SAMPLE = 500
_CROWDED = 12
"""Boxes met by one box, on average, from which looking for loners no longer pays."""


@dataclass
class _Clips:
    """Clip areas of one flattening, each worked out once."""

    matrix: Affine
    tolerance: float
    known: dict[int, Any] = field(default_factory=dict)

    def area(self, clip: Clip) -> Any:
        """Area that a clip path leaves."""
        area = self.known.get(id(clip))
        if area is None:
            areas, _ = figure_areas(clip.figures, self.matrix, self.tolerance, clips=self)
            area = together(areas)
            for outer in clip.over:
                area = polygons_of(shapely.intersection(area, self.area(outer)))
            shapely.prepare(area)
            self.known[id(clip)] = area
        return area


def figure_areas(
    figures: Sequence[Figure],
    matrix: Affine,
    tolerance: float,
    *,
    clips: _Clips | None = None,
) -> tuple[list[Any], dict[int, Crossed]]:
    """Return the clipped filled area of each figure, and which figures have unsound rings.

    Returns
    -------
    areas : list of MultiPolygon
        Shells counter-clockwise.
    crossed : dict of int to Crossed
        Figures with rings that cross, touch or repeat one another or themselves.

    Examples
    --------
    >>> from outline2path.drawing.curves import Curves
    >>> from outline2path.drawing.figures import Figure
    >>> square = Curves.from_points([[0, 0], [2, 0], [2, 2], [0, 2]], closed=True)
    >>> figure_areas([Figure(curves=square)], (3, 0, 0, 3, 0, 0), 0.01)[0][0].area
    36.0
    """
    known, count = clips or _Clips(matrix, tolerance), len(figures)
    painted = [k for k, f in enumerate(figures) if f.fill is not None]
    if len(painted) < len(figures):
        figures = [figures[k] for k in painted]
    lines = traced(figures, matrix, tolerance)
    filled, crossed = filled_areas(
        loops_of(lines.points, lines.first, lines.owner), [f.rule for f in figures]
    )
    for k, figure in enumerate(figures):
        if figure.clips:
            filled[k] = _clipped(filled[k], figure.clips, known)
    if len(painted) == count:
        return filled, crossed
    areas: list[Any] = [EMPTY] * count
    for k, area in zip(painted, filled, strict=True):
        areas[k] = area
    return areas, {painted[k]: found for k, found in crossed.items()}


def clip_areas(
    areas: Sequence[Any], figures: Sequence[Figure], matrix: Affine, tolerance: float
) -> list[Any]:
    """Return what the clip paths of each figure leave of its area.

    Examples
    --------
    >>> clip_areas([], [], (1, 0, 0, 1, 0, 0), 0.01)
    []
    """
    known = _Clips(matrix, tolerance)
    return [_clipped(a, f.clips, known) for a, f in zip(areas, figures, strict=True)]


def _clipped(area: Any, clips: Sequence[Clip], known: _Clips) -> Any:
    """Return what a figure's clip paths leave of an area."""
    for clip in clips:
        over = known.area(clip)
        if area.is_empty:
            return EMPTY
        if not shapely.covers(over, area):
            area = polygons_of(shapely.intersection(area, over))
    return area


def together(areas: Sequence[Any]) -> shapely.MultiPolygon:
    """Return the union of areas as one valid MultiPolygon, shells counter-clockwise.

    Parameters
    ----------
    areas : sequence of MultiPolygon
        Shells counter-clockwise.

    Examples
    --------
    >>> together([polygons_of(shapely.box(k, 0, k + 2, 1)) for k in range(3)]).area
    4.0
    """
    filled = [a for a in areas if not a.is_empty]
    if len(filled) <= 1:
        return filled[0] if filled else EMPTY
    return polygons_of(_united(np.array(filled)))


def _united(areas: NDArray[Any]) -> NDArray[Any]:
    """Unite areas whose boxes meet; those that meet no other are left as they are."""
    first, second = _meeting(shapely.bounds(areas))
    if first is None or second is None:
        return np.array([_united_at_once(areas)])
    if not len(first):
        return areas
    home = _components(len(areas), first, second)
    order = np.argsort(home, kind="stable")
    cuts = np.flatnonzero(np.diff(home[order])) + 1
    groups = np.split(areas[order], cuts)
    return np.array([g[0] if len(g) == 1 else _united_at_once(g) for g in groups])


def _meeting(boxes: Floats) -> tuple[Ints, Ints] | tuple[None, None]:
    """Pairs of boxes that meet; None where they are too many for it to matter."""
    if len(boxes) <= _FEW:
        meet = (boxes[:, None, :2] <= boxes[:, 2:]).all(axis=2)
        first, second = np.nonzero(np.triu(meet & meet.T, 1))
        return first, second
    found = shapely.box(*boxes.T)
    some = found[:: len(found) // _SAMPLE + 1]
    met = len(shapely.STRtree(some).query(some)[0]) - len(some)
    if met * len(found) > _CROWDED * len(some) ** 2:
        return None, None
    first, second = shapely.STRtree(found).query(found)
    once = first < second
    return first[once], second[once]


def _united_at_once(areas: NDArray[Any]) -> Any:
    try:
        return shapely.union_all(areas)
    except shapely.errors.GEOSException:  # an area that rounding made cross itself by a hair
        return shapely.union_all([mended(a) for a in areas])


def mended(area: Any) -> Any:
    """Return an area as it is, or, where rounding made it cross itself by a hair, made valid.

    Examples
    --------
    >>> mended(shapely.box(0, 0, 1, 1)).area
    1.0
    """
    if shapely.is_valid(area):
        return area
    return polygons_of(shapely.make_valid(area, method="structure", keep_collapsed=False))


def _components(n: int, first: NDArray[np.int64], second: NDArray[np.int64]) -> Any:
    """Label the connected parts of a graph, by letting the least label spread."""
    label = np.arange(n)
    while True:
        low = np.minimum(label[first], label[second])
        before = label.copy()
        np.minimum.at(label, first, low)
        np.minimum.at(label, second, low)
        label = label[label]
        if np.array_equal(before, label):
            return label


def visible_dark(areas: Sequence[Any], light: Sequence[bool]) -> shapely.MultiPolygon:
    """Return what a viewer would see as dark: later light areas hide earlier dark ones.

    Examples
    --------
    >>> areas = [shapely.box(0, 0, 4, 4), shapely.box(1, 1, 3, 3)]
    >>> visible_dark(areas, [False, True]).area
    12.0
    """
    seen: Any = EMPTY
    k = 0
    while k < len(areas):
        end = k
        while end < len(areas) and light[end] == light[k]:
            end += 1
        layer = together(areas[k:end])
        seen = shapely.difference(seen, layer) if light[k] else together([seen, layer])
        k = end
    return polygons_of(seen)


def polygons_of(geometry: Any) -> shapely.MultiPolygon:
    """Return the polygons of any geometry as one MultiPolygon, shells counter-clockwise.

    Examples
    --------
    >>> polygons_of(shapely.box(0, 0, 1, 1)).area
    1.0
    """
    parts = shapely.get_parts(shapely.get_parts(geometry))
    area = (shapely.get_type_id(parts) == _POLYGON) & ~shapely.is_empty(parts)
    if not area.any():
        return EMPTY
    return shapely.orient_polygons(shapely.multipolygons(parts[area]))
