"""Scanlines: straight parallel strokes that sweep a whole region.

In: a region in mm, the cutter's radius, the stepover and the overlap, mm. Out: for each line its
strokes, along x, from low y to high y. The lines are spaced evenly, at most a stepover apart;
the first and the last bring the cutter's rim to the overlap beyond the region's lowest and highest
points. Their count is ceil((W - D) / stepover) + 1 with W the width plus both overlaps.

Each point of the region belongs to the line nearest in y, at most half a stepover or the
cutter's radius away. A stroke spans all points of its line's band, and the overlap beyond: so
the centre passes at each point's own x, and everything is swept. Gaps between strokes no wider
than the cutter are cut across.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.tolerance import LENGTH_EPSILON_MM

__all__ = ["strokes"]

Floats = NDArray[np.float64]


def strokes(
    region: shapely.MultiPolygon, *, radius_mm: float, step_mm: float, overlap_mm: float
) -> list[tuple[float, list[tuple[float, float]]]]:
    """Return y of each line with the ranges of x to cut, low to high.

    Parameters
    ----------
    region : MultiPolygon
        What must be swept, mm.
    radius_mm, step_mm, overlap_mm : float
        Cutter's radius, greatest distance between lines, and how far the sweep goes beyond the
        region; mm.

    Examples
    --------
    >>> plate = shapely.MultiPolygon([shapely.box(0, 0, 100, 60)])
    >>> lines = strokes(plate, radius_mm=3.0, step_mm=2.4, overlap_mm=0.0)
    >>> len(lines), lines[0], lines[-1][0]  # sources W15: 24 passes
    (24, (3.0, [(0.0, 100.0)]), 57.0)
    """
    _, low, _, high = region.bounds
    first, last = low - overlap_mm + radius_mm, high + overlap_mm - radius_mm
    if last <= first:
        heights = np.array([(low + high) / 2])
    else:
        count = math.ceil((last - first) / step_mm - LENGTH_EPSILON_MM) + 1
        heights = np.linspace(first, last, count)
    half = (heights[1] - heights[0]) / 2 if len(heights) > 1 else radius_mm
    bottoms, tops = heights - half, heights + half
    bottoms[0], tops[-1] = low, high
    ranges = _ranges(region, bottoms, tops)
    return [
        (float(y), _merged(found, overlap_mm, 2 * radius_mm))
        for y, found in zip(heights, ranges, strict=True)
        if found
    ]


def _ranges(
    region: shapely.MultiPolygon, bottoms: Floats, tops: Floats
) -> list[list[tuple[float, float]]]:
    """Return the ranges of x that the region's pieces take in each band of y."""
    x0, _, x1, _ = region.bounds
    bands = shapely.box(x0 - 1, bottoms, x1 + 1, tops)
    shapely.prepare(region)
    pieces, owner = [], []
    for k, piece in enumerate(shapely.intersection(bands, region)):
        for part in shapely.get_parts(piece):
            pieces.append(part)
            owner.append(k)
    found: list[list[tuple[float, float]]] = [[] for _ in bands]
    if pieces:
        for k, (a, _, b, _) in zip(owner, shapely.bounds(pieces).tolist(), strict=True):
            found[k].append((a, b))
    return found


def _merged(
    ranges: list[tuple[float, float]], overlap_mm: float, gap_mm: float
) -> list[tuple[float, float]]:
    """Lengthen ranges by the overlap and join those no farther apart than the gap."""
    joined: list[tuple[float, float]] = []
    for a, b in sorted((a - overlap_mm, b + overlap_mm) for a, b in ranges):
        if joined and a - joined[-1][1] <= gap_mm:
            joined[-1] = (joined[-1][0], max(b, joined[-1][1]))
        else:
            joined.append((a, b))
    return joined
