"""Ways stay in their area and are no longer than going round by the edge."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.operations.ways import split_way, way_within
from outline2path.tolerance import SAME_MM
from tests import specimens, strategies

BLOCK = shapely.box(0, 0, 9, 9).difference(shapely.box(3, 2, 6, 8))


def spots_in(region: shapely.Polygon, shares: tuple[float, float]) -> np.ndarray:
    """Two places on the region's outer edge."""
    line = shapely.LineString(region.exterior)
    return shapely.get_coordinates([line.interpolate(s, normalized=True) for s in shares])


@settings(max_examples=60)
@given(
    region=strategies.regions(),
    shares=st.tuples(strategies.numbers(0, 1), strategies.numbers(0, 1)),
    off_mm=st.sampled_from([0.0, 0.3]),
)
def test_a_way_stays_in_the_area_and_joins_its_ends(region, shares, off_mm):
    start, end = spots_in(region, shares)
    way = way_within(region, start, end, off_mm=off_mm)
    assert np.array_equal(way[[0, -1]], np.stack((start, end)))
    line = shapely.LineString(way)
    outside = shapely.get_coordinates(shapely.segmentize(line.difference(region), 0.1))
    # nearer than SAME_MM is the same place
    assert np.max(region.distance(shapely.points(outside)), initial=0.0) <= SAME_MM
    assert line.length <= region.exterior.length + 4 * off_mm + SAME_MM


def test_a_straight_way_is_left_straight():
    way = way_within(BLOCK, np.array([0.5, 0.5]), np.array([8.5, 1.5]))
    assert way.tolist() == [[0.5, 0.5], [8.5, 1.5]]


def test_a_way_round_an_island_is_pulled_tight():
    way = way_within(BLOCK, np.array([2.0, 3]), np.array([7.0, 3]))
    assert shapely.LineString(way).length == pytest.approx(3 + 2 * np.hypot(1, 1))


def test_a_way_out_of_a_bay_goes_round_the_outer_edge():
    region = specimens.keyhole()
    way = way_within(region, np.array([-3.0, 14]), np.array([3.0, 14]))
    assert shapely.LineString(way).length > 2 * 14


def test_a_way_keeps_off_the_edge_where_there_is_room():
    way = way_within(BLOCK, np.array([2.0, 3]), np.array([7.0, 3]), off_mm=0.5)
    island = shapely.box(3, 2, 6, 8)
    assert shapely.LineString(way).distance(island) == pytest.approx(0.5, abs=0.02)


def test_a_way_through_a_neck_too_tight_for_that_hugs_the_edge():
    rooms = shapely.union_all(
        [shapely.box(0, 0, 5, 5), shapely.box(4, 4.6, 9, 4.8), shapely.box(8, 0, 13, 5)]
    )
    way = way_within(rooms, np.array([1.0, 1]), np.array([12.0, 1]), off_mm=0.5)
    assert shapely.LineString(way).within(rooms.buffer(SAME_MM))


def test_a_way_in_a_sliver_hugs_the_edge():
    """Shrunk, the area is nothing at all."""
    bend = shapely.LineString([(0, 0), (5, 0), (5, 5)]).buffer(0.05, join_style="mitre")
    way = way_within(bend, np.array([0.0, 0]), np.array([5.0, 5]), off_mm=0.5)
    assert shapely.LineString(way).within(bend.buffer(SAME_MM))


def test_a_way_is_split_where_it_crosses_cleared_ground():
    way = np.array([[0.0, 0], [10, 0]])
    cleared = shapely.MultiPolygon([shapely.box(2, -1, 4, 1), shapely.box(6, -1, 10, 1)])
    parts = split_way(way, cleared)
    assert [inside for inside, _ in parts] == [False, True, False, True]
    assert [part[-1, 0] for _, part in parts] == [2, 4, 6, 10]


@pytest.mark.parametrize("cleared", [None, shapely.Polygon(), shapely.box(0, 5, 1, 6)])
def test_a_way_that_meets_no_cleared_ground_is_left_whole(cleared):
    way = np.array([[0.0, 0], [10, 0]])
    ((inside, part),) = split_way(way, cleared)
    assert not inside
    assert part is way
