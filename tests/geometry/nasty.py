"""Strategies for rings as broken files hold them. Points in mm, y up; closed without saying so.

Each damage leaves the filled area as it was, so that what comes out can be compared with what
the sound ring gives; `crossed` and `piles` make areas of their own.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from hypothesis import strategies as st

from tests.strategies import numbers, polygons, regions

Ring = list[tuple[float, float]]


def rings_of(region: shapely.Polygon) -> list[Ring]:
    """The rings of a polygon, each without its closing point."""
    return [list(r.coords)[:-1] for r in (region.exterior, *region.interiors)]


def doubled(ring: Ring, at: int, _by: float) -> Ring:
    """A point drawn three times."""
    return ring[:at] + [ring[at]] * 2 + ring[at:]


def nearly_doubled(ring: Ring, at: int, _by: float) -> Ring:
    """Two points 1e-9 mm apart."""
    x, y = ring[at]
    return [*ring[:at], (x + 1e-9, y - 1e-9), *ring[at:]]


def collinear(ring: Ring, at: int, by: float) -> Ring:
    """A point in the middle of an edge."""
    (x, y), (u, v) = ring[at - 1], ring[at]
    return [*ring[:at], (x + by * (u - x), y + by * (v - y)), *ring[at:]]


def spiked(ring: Ring, at: int, by: float) -> Ring:
    """A spike of no width: out and back along the same line."""
    x, y = ring[at]
    return [*ring[:at], (x, y), (x + 20 * by, y + 7), *ring[at:]]


def walked_back(ring: Ring, at: int, _by: float) -> Ring:
    """An edge drawn forth, back and forth again."""
    return [*ring[:at], ring[at], ring[at - 1], *ring[at:]]


def started_elsewhere(ring: Ring, at: int, _by: float) -> Ring:
    return ring[at:] + ring[:at]


def turned_round(ring: Ring, _at: int, _by: float) -> Ring:
    return ring[::-1]


def closed_twice(ring: Ring, _at: int, _by: float) -> Ring:
    return [*ring, ring[0], ring[0]]


DAMAGES = (
    doubled,
    nearly_doubled,
    collinear,
    spiked,
    walked_back,
    started_elsewhere,
    turned_round,
    closed_twice,
)


@st.composite
def damaged(draw: st.DrawFn) -> tuple[shapely.Polygon, list[Ring]]:
    """A sound region, and its rings after one to four damages each."""
    region = draw(regions())
    rings = []
    for ring in rings_of(region):
        for damage in draw(st.lists(st.sampled_from(DAMAGES), min_size=1, max_size=4)):
            at = draw(st.integers(0, len(ring) - 1))
            ring = damage(ring, at, draw(numbers(0.1, 0.9)))
        rings.append(ring)
    return region, rings


@st.composite
def crossed(draw: st.DrawFn) -> Ring:
    """Three to nine points in any order: a ring that crosses itself as it likes."""
    place = st.tuples(numbers(0, 60), numbers(0, 50))
    return draw(st.lists(place, min_size=3, max_size=9, unique=True))


@st.composite
def piles(draw: st.DrawFn) -> list[Ring]:
    """Two or three rings on whole millimetres: shared edges, shared corners, one on another."""
    rings = []
    for _ in range(draw(st.integers(2, 3))):
        x, y = draw(st.integers(0, 30)), draw(st.integers(0, 30))
        w, h = draw(st.integers(1, 30)), draw(st.integers(1, 30))
        ring = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        rings.append([(float(a), float(b)) for a, b in ring])
    return rings + [rings[0]] * draw(st.integers(0, 1))


@st.composite
def slivers(draw: st.DrawFn) -> list[Ring]:
    """A sound polygon with a triangle beside it, 1e-7 to 0.1 mm wide."""
    body = rings_of(draw(polygons()))
    wide, x = 10 ** draw(numbers(-7, -1)), draw(numbers(40, 60))
    return [*body, [(x, 0.0), (x + wide, 15.0), (x, 30.0)]]


def nested(depth: int = 10) -> list[Ring]:
    """Squares inside squares, 8 mm apart: a target."""
    return [
        [(-a, -a), (a, -a), (a, a), (-a, a)] for a in (8.0 * (depth - k) for k in range(depth))
    ]


def gear(points: int) -> Ring:
    """A round outline of many points with teeth of a hundredth of a millimetre."""
    angle = np.arange(points) * 2 * math.pi / points
    r = 60 + 0.005 * np.sin(angle * points / 20)
    return np.column_stack((r * np.cos(angle), r * np.sin(angle))).tolist()
