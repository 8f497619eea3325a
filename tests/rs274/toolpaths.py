"""Toolpaths for the writer: hypothesis strategies of lines, arcs and helices."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import strategies as st

from outline2path.path.toolpath import MOVE, Section, Toolpath
from outline2path.shop.cutter import Cutter
from tests.strategies import numbers

SECTION = Section(operation="profile", contour=0, cutter=Cutter(3.175), z_mm=-1.0)
ANGLES = st.one_of(numbers(1e-7, 2 * math.pi), st.sampled_from([math.pi, 2 * math.pi - 1e-7]))
SHIFTS = st.one_of(numbers(-1e-4, 1e-4), numbers(-0.01, 0.01), numbers(-80, 80))


@st.composite
def moves(draw, at, least_radius):
    """One move from a point: kind, x, y, z, i, j, feed."""
    kind = draw(st.sampled_from([0, 1, 2, 3]))
    z = at[2] + draw(st.sampled_from([0.0, -0.5, 1e-6]))
    feed = draw(numbers(0.01, 4000)) if kind else 0.0
    if kind < 2:
        return (kind, at[0] + draw(SHIFTS), at[1] + draw(SHIFTS), z, 0.0, 0.0, feed)
    radii = st.one_of(numbers(least_radius, 0.02), numbers(0.02, 5), numbers(5, 100))
    radius, begin, sweep = draw(radii), draw(numbers(0, 6.3)), draw(ANGLES)
    i, j = -radius * math.cos(begin), -radius * math.sin(begin)
    end = begin + (sweep if kind == 3 else -sweep)
    x = at[0] + i + radius * math.cos(end)
    y = at[1] + j + radius * math.sin(end)
    return (kind, x, y, z, i, j, feed)


@st.composite
def toolpaths(draw, *, least_radius=1e-4):
    """Up to a dozen moves, each from where the one before ended."""
    at, rows = (draw(numbers(-50, 50)), draw(numbers(-50, 50)), 5.0), []
    start = at
    for _ in range(draw(st.integers(0, 12))):
        kind, *rest = draw(moves(at, least_radius))
        rows.append((kind, 4, 0, *rest))
        at = tuple(rest[:3])
    table = np.array(rows, MOVE)
    return Toolpath(moves=table, sections=(SECTION,), start=start, clearance_mm=5.0)
