"""Detours: what wide stepovers leave between rings, told by plain distance."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.operations.levels import levels_of
from outline2path.operations.loops import Loop
from outline2path.operations.specks import with_detours
from outline2path.tolerance import Budget
from tests import specimens, strategies

RADIUS, COVER = 2.0, 1.96
Rings = list[list[Loop]]


def rings_round(region: shapely.Geometry, step: float) -> tuple[Rings, Rings]:
    """The rings without and with detours."""
    area = shapely.MultiPolygon(shapely.get_parts(region).tolist())
    levels = levels_of(area, step_mm=step, cover_mm=COVER, budget=Budget())
    rings = [
        [Loop.of(shapely.get_coordinates(ring)) for ring in shapely.get_rings(level.area)]
        for level in levels
    ]
    return rings, with_detours(
        levels, rings, step_mm=step, cover_mm=COVER, fine_mm=0.01, budget=Budget()
    )


def farthest(region: shapely.Geometry, rings: Rings) -> float:
    """Greatest distance of a grid of places in a region from the rings."""
    lines = shapely.MultiLineString([loop.points for mine in rings for loop in mine])
    x0, y0, x1, y1 = region.bounds
    grid = np.stack(np.meshgrid(np.linspace(x0, x1, 80), np.linspace(y0, y1, 80)), axis=-1)
    places = shapely.points(grid.reshape(-1, 2))
    inside = places[shapely.contains(region, places)]
    return float(np.max(shapely.distance(lines, inside), initial=0.0))


@settings(max_examples=40)
@given(region=strategies.regions(), step=st.sampled_from([2.2, 2.9, 3.4, 3.92]))
def test_with_detours_nothing_lies_farther_than_the_radius_from_the_rings(region, step):
    _, rings = rings_round(region, step)
    assert farthest(region, rings) <= RADIUS


def test_without_them_something_does():
    bare, _ = rings_round(specimens.square(30), 3.9)
    assert farthest(specimens.square(30), bare) > RADIUS * 1.1


def test_at_half_the_cutter_there_are_none():
    bare, rings = rings_round(specimens.square(30), 1.9)
    assert rings == bare


@pytest.mark.parametrize("name", ["square", "pentagram", "triangle"])
def test_a_corner_costs_one_short_spike(name):
    """Along the bisector of a corner of angle b: (s - r) / sin(b / 2) - r, elementary geometry."""
    bare, rings = rings_round(specimens.ALL[name], 3.4)
    more = sum(loop.length_mm for mine in rings for loop in mine)
    more -= sum(loop.length_mm for mine in bare for loop in mine)
    assert 0 < more < 0.2 * sum(loop.length_mm for mine in bare for loop in mine)


def test_detours_stay_in_the_area():
    region = specimens.ALL["hourglass hole"]
    _, rings = rings_round(region, 3.9)
    assert all(shapely.LineString(r.points).within(region.buffer(1e-6)) for m in rings for r in m)
