"""Shared hypothesis strategies: outlines and cutters as a workshop meets them.

Every shape is built from a few drawn numbers, so that failures shrink to something a person can
sketch. Regions are shapely geometry in mm, y up.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from hypothesis import strategies as st


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    """Plain floats between two bounds, none of them NaN, infinite or subnormal."""
    return st.floats(low, high, allow_nan=False, allow_infinity=False, allow_subnormal=False)


@st.composite
def blobs(draw: st.DrawFn, *, points: int = 240) -> shapely.Polygon:
    """A smooth closed outline 20 to 80 mm across: a circle with a few waves on it."""
    radius = draw(numbers(10, 40))
    angle = np.linspace(0, 2 * math.pi, points, endpoint=False)
    wave = np.ones_like(angle)
    for _ in range(draw(st.integers(0, 3))):
        count, depth, phase = draw(st.integers(2, 9)), draw(numbers(0, 0.25)), draw(numbers(0, 6))
        wave += depth * np.sin(count * angle + phase)
    r = radius * np.clip(wave, 0.15, None)
    return shapely.Polygon(np.column_stack((r * np.cos(angle), r * np.sin(angle)))).buffer(0)


@st.composite
def polygons(draw: st.DrawFn) -> shapely.Polygon:
    """A star-shaped polygon of 3 to 12 corners, sharp and blunt, 10 to 60 mm across."""
    count = draw(st.integers(3, 12))
    radii = draw(st.lists(numbers(5, 30), min_size=count, max_size=count))
    turn = draw(numbers(0, 6.2))
    angle = turn + np.arange(count) * 2 * math.pi / count
    return shapely.Polygon(np.column_stack((radii * np.cos(angle), radii * np.sin(angle))))


@st.composite
def plates(draw: st.DrawFn) -> shapely.Polygon:
    """A plate with one to four round or square holes, some near the edge, some overlapping it."""
    plate = shapely.box(0, 0, draw(numbers(30, 80)), draw(numbers(25, 60)))
    for _ in range(draw(st.integers(1, 4))):
        x, y, r = draw(numbers(5, 70)), draw(numbers(5, 55)), draw(numbers(1, 9))
        square = draw(st.booleans())
        hole = shapely.box(x - r, y - r, x + r, y + r) if square else shapely.Point(x, y).buffer(r)
        plate = plate.difference(hole)
    return max(shapely.get_parts(plate).tolist(), key=shapely.area)


def regions() -> st.SearchStrategy[shapely.Polygon]:
    """Any of the shapes above."""
    return st.one_of(blobs(), polygons(), plates())


@st.composite
def sheets(draw: st.DrawFn) -> shapely.MultiPolygon:
    """Two to four regions side by side, close together or well apart."""
    parts, right = [], 0.0
    for _ in range(draw(st.integers(2, 4))):
        part = draw(regions())
        x0, y0, x1, _ = part.bounds
        gap = draw(numbers(1, 12))
        parts.append(shapely.affinity.translate(part, right + gap - x0, -y0))
        right += gap + x1 - x0
    return shapely.MultiPolygon(parts)


def cutter_diameters() -> st.SearchStrategy[float]:
    """Diameters a small mill holds: 1 to 6.35 mm."""
    return st.sampled_from([1.0, 1.5, 2.0, 3.0, 3.175, 4.0, 6.0, 6.35])


@st.composite
def similarities(draw: st.DrawFn) -> tuple[float, float, float, float, float, float]:
    """A turn, a move and perhaps a mirroring, as a matrix [a, b, c, d, e, f]."""
    t, flip = draw(numbers(0, 6.2)), draw(st.sampled_from([1.0, -1.0]))
    c, s = math.cos(t), math.sin(t)
    return (flip * c, flip * s, -s, c, draw(numbers(-200, 200)), draw(numbers(-200, 200)))
