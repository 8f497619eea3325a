from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from outline2path.operations.offset import offset
from outline2path.operations.parallels import parallels
from tests import specimens
from tests.operations.laws import along
from tests.strategies import numbers, polygons


def ring_of(polygon: shapely.Polygon) -> np.ndarray:
    return shapely.get_coordinates(shapely.orient_polygons(polygon).exterior)


@pytest.mark.parametrize("distance", [0.5, 2.0])
def test_arc_points_of_a_corner_lie_on_its_circle(distance):
    (ring,) = parallels([ring_of(specimens.square(10))], distance, chords_mm=0.001)
    corners = shapely.MultiPoint([(0, 0), (0, 10), (10, 0), (10, 10)])
    far = shapely.distance(shapely.points(ring), corners)
    assert far == pytest.approx(np.full(len(ring), distance))


@settings(max_examples=60, deadline=None)
@given(polygons(), numbers(-3, 3))
def test_parallels_that_do_not_cross_are_the_offset(polygon, distance):
    rings = parallels([ring_of(polygon)], distance, chords_mm=0.001)
    if rings is None or abs(distance) < 0.01 or not shapely.LinearRing(rings[0]).is_simple:
        return
    moved = shapely.Polygon(rings[0])
    if not moved.exterior.is_ccw:
        return
    far = shapely.distance(along(moved), polygon.boundary)
    assert np.all(np.abs(far - abs(distance)) <= 0.0011)  # chords, and shallow corners


@pytest.mark.parametrize("distance", [-5.1, -20.0])
def test_a_ring_that_would_turn_inside_out_has_no_parallel(distance):
    assert parallels([ring_of(specimens.square(10))], distance, chords_mm=0.001) is None


def test_parallels_that_cross_are_left_to_the_sweep():
    """The neck of the keyhole is narrower than twice the distance."""
    neck = specimens.keyhole(neck=2.0)
    assert offset(neck, 1.5).geoms[0].interiors
