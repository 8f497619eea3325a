"""Reshaping: another region for an outline, its place in the drawing and its source kept.

In: an outline and the region, in mm, that takes the place of its own. Out: an outline that knows
the same matrix and source, so that places can still be traced to the drawing. Its curves are the
region's chords from now on, so an outline is sized first and reshaped last.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from outline2path.drawing.outline import Outline
from outline2path.drawing.transforms import IDENTITY, invert
from outline2path.findings import Finding
from outline2path.tolerance import SAME_MM

__all__ = ["reshaped"]


def reshaped(
    outline: Outline, region: BaseGeometry, *, findings: Iterable[Finding] = ()
) -> Outline:
    """Return the outline with another region, in mm where the outline now lies.

    Parameters
    ----------
    outline : Outline
        Gives matrix, source and findings.
    region : Polygon or MultiPolygon
        In mm, y up. Its points are put on a grid of SAME_MM, so that no needles stay of edges
        that should have met.
    findings : iterable of Finding
        Added to the outline's own.

    Raises
    ------
    DrawingError
        When the region holds no area, or is not valid.

    Examples
    --------
    >>> plate = Outline.from_shapely(shapely.box(0, 0, 4, 2)).scale(2)
    >>> reshaped(plate, shapely.box(0, 0, 9, 4)).size_mm
    (9.0, 4.0)
    """
    solid = Outline.from_shapely(shapely.set_precision(region, SAME_MM)).solid
    a, b, c, d, e, f = invert(outline.matrix) or IDENTITY  # an outline's is never flat
    moved = shapely.transform(solid, lambda p: p @ [[a, b], [c, d]] + [e, f])
    return replace(
        outline,
        figures=(),
        solid=shapely.orient_polygons(moved),
        findings=(*outline.findings, *findings),
    )
