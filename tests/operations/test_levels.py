"""Levels: a family of shrunk areas that leaves nothing farther than a step from a ring."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.errors import SettingError
from outline2path.operations.levels import Level, levels_of
from outline2path.tolerance import Budget
from tests import specimens, strategies


def family(region: shapely.Geometry, step: float, cover: float) -> list[Level]:
    area = shapely.MultiPolygon(shapely.get_parts(region).tolist())
    return levels_of(area, step_mm=step, cover_mm=cover, budget=Budget())


@settings(max_examples=40)
@given(region=strategies.regions(), step=st.sampled_from([0.7, 1.5, 2.8]))
def test_every_piece_lies_in_its_parent_a_step_from_its_edge(region, step):
    levels = family(region, step, 1.5)
    slack = 0.01  # offsets may err by their stage's share of the tolerance, under 0.004
    for level in levels:
        if level.parent >= 0:
            parent = levels[level.parent].area
            assert parent.contains(level.area)
            edge = shapely.points(shapely.get_coordinates(level.area))
            far = shapely.distance(parent.boundary, edge)
            assert np.all(np.abs(far - step) <= slack)


@settings(max_examples=40)
@given(region=strategies.regions(), step=st.sampled_from([0.7, 1.5]))
def test_nothing_lies_farther_from_the_rings_than_is_surely_cut(region, step):
    """Samples of the area, told by plain distance."""
    levels = family(region, step, 1.5)
    rings = shapely.GeometryCollection([level.area.boundary for level in levels])
    x0, y0, x1, y1 = region.bounds
    grid = np.stack(np.meshgrid(np.linspace(x0, x1, 60), np.linspace(y0, y1, 60)), axis=-1)
    places = shapely.points(grid.reshape(-1, 2))
    inside = places[shapely.contains(region, places)]
    assert np.max(shapely.distance(rings, inside), initial=0.0) <= 1.5


def test_parents_come_before_children_and_know_them():
    levels = family(specimens.ALL["hourglass hole"], 0.8, 1.5)
    for k, level in enumerate(levels):
        assert level.parent < k
        assert all(levels[child].parent == k for child in level.children)
    assert any(len(level.children) > 1 for level in levels)


@pytest.mark.parametrize(("cover", "count"), [(1.45, 3), (1.65, 2)])
def test_a_last_piece_the_ring_round_it_cuts_is_left_out(cover, count):
    """A square 5.1 wide shrinks by 1 to 3.1 and 1.1, a piece of radius 0.55 inside a step of 1."""
    assert len(family(specimens.square(5.1), 1.0, cover)) == count


def test_more_rings_than_anyone_cuts_are_refused(monkeypatch):
    monkeypatch.setattr("outline2path.operations.levels.MOST_PIECES", 10)
    with pytest.raises(SettingError, match="rings 1 mm apart"):
        family(specimens.square(40), 1.0, 1.5)


def test_each_piece_of_an_area_begins_a_family():
    levels = family(specimens.nested(), 1.0, 1.5)
    assert sum(level.parent < 0 for level in levels) == 2
