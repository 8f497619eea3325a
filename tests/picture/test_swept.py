"""Cells under a moved disc, against measuring every distance."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.picture.inside import cells_inside
from outline2path.picture.swept import Grid, covered_cells, paint

GRID = Grid(x0=-0.35, y0=0.15, cell_mm=0.5, wide=44, high=31)
ENDS = st.floats(-4, 20).map(lambda v: round(v, 2))
RUNS = st.lists(st.tuples(ENDS, ENDS, ENDS, ENDS, st.floats(0.1, 4)), min_size=1, max_size=12)


def table(runs):
    values = np.array(runs)
    return values[:, :2], values[:, 2:4], values[:, 4]


def distances(start, end):
    """Distance of every cell's centre from one run, by the general geometry library."""
    x = GRID.x0 + GRID.cell_mm * np.arange(GRID.wide)
    y = GRID.y0 + GRID.cell_mm * np.arange(GRID.high)
    line = shapely.LineString([start, end]) if tuple(start) != tuple(end) else shapely.Point(start)
    return shapely.distance(shapely.points(*np.meshgrid(x, y)), line)


@settings(max_examples=60, deadline=None)
@given(runs=RUNS)
def test_the_last_run_within_reach_wins(runs):
    start, end, radius = table(runs)
    painted = paint(start, end, radius, grid=GRID)
    far = np.array([distances(a, b) - r for a, b, r in zip(start, end, radius, strict=True)])
    numbers = np.arange(len(runs))[:, None, None]
    expected = np.where(far <= 0, numbers, -1).max(axis=0)
    sure = (np.abs(far) > 1e-7).all(axis=0)  # centres on an edge may fall to either side
    assert np.array_equal(painted[sure], expected[sure])


@settings(max_examples=30, deadline=None)
@given(runs=RUNS)
def test_cells_come_with_their_distance(runs):
    start, end, radius = table(runs)
    for run, cell, distance in covered_cells(start, end, radius, grid=GRID):
        for number in np.unique(run):
            mine = run == number
            exact = distances(start[number], end[number]).reshape(-1)[cell[mine]]
            # both are float arithmetic on numbers below 40
            assert distance[mine] == pytest.approx(exact, abs=1e-6)


def test_nothing_outside_the_grid_is_painted():
    away = np.array([[100.0, 100.0]])
    assert (paint(away, away, np.array([3.0]), grid=GRID) == -1).all()


@pytest.mark.parametrize(
    "region",
    [
        shapely.Point(9, 8).buffer(5.3),
        shapely.box(2.1, 3.3, 12.2, 9.7) - shapely.box(4.1, 5.3, 6.2, 7.7),
        shapely.MultiPolygon([shapely.box(1.01, 1, 4, 4), shapely.box(7.03, 7, 9, 40)]),
        shapely.Polygon(),
    ],
)
def test_inside_agrees_with_the_geometry_library(region):
    x = GRID.x0 + GRID.cell_mm * np.arange(GRID.wide)
    y = GRID.y0 + GRID.cell_mm * np.arange(GRID.high)
    expected = shapely.contains_xy(region, *np.meshgrid(x, y))
    assert np.array_equal(cells_inside(region, GRID), expected)
