from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from outline2path.operations.rings import enclosing, rings_of
from tests import specimens
from tests.strategies import plates

WASHER = shapely.MultiPolygon([specimens.ring()])


@pytest.mark.parametrize(
    ("side", "direction", "outer_clockwise"),
    [
        ("outside", "climb", True),
        ("outside", "conventional", False),
        ("inside", "climb", False),
        ("inside", "conventional", True),
    ],
)
def test_climb_keeps_the_finished_wall_on_the_right(side, direction, outer_clockwise):
    """Clockwise spindle, chips cut thick to thin: common practice, no source."""
    outer, inner = rings_of(WASHER, side=side, direction=direction)
    assert (outer.loop.area_mm2 < 0) == outer_clockwise
    assert (inner.loop.area_mm2 < 0) != outer_clockwise


@settings(max_examples=30, deadline=None)
@given(plates())
@pytest.mark.parametrize("side", ["outside", "inside"])
def test_the_waste_normal_points_to_the_waste(side, plate):
    area = shapely.MultiPolygon([shapely.orient_polygons(plate)])
    for ring in rings_of(area, side=side, direction="climb"):
        middle = np.array([ring.loop.marks[1] / 2])
        step = min(1e-3, ring.loop.marks[1] / 10)
        beyond = shapely.Point(ring.loop.at(middle)[0] + step * ring.waste_normal(middle)[0])
        assert area.contains(beyond) == (side == "inside")


def test_rings_inside_rings_know_their_parent_and_depth():
    rings = rings_of(specimens.nested(), side="outside", direction="climb")
    parent, depth = enclosing(rings)
    sizes = [abs(ring.loop.area_mm2) for ring in rings]
    big, hole, island = np.argsort(sizes)[::-1].tolist()
    assert (parent[big], parent[hole], parent[island]) == (-1, big, hole)
    assert (depth[big], depth[hole], depth[island]) == (0, 1, 2)
