"""Clearing: the order and the joints of a walk."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from outline2path.operations.clearing import Leg, Walk, hop, walks_of
from outline2path.operations.levels import levels_of
from outline2path.operations.loops import Loop
from outline2path.tolerance import SAME_MM, Budget
from tests import specimens, strategies

STEP = 1.2
BELL = shapely.union_all(
    [shapely.box(0, 0, 15, 15), shapely.box(14, 6, 31, 9), shapely.box(30, 0, 45, 15)]
)


def walked(region: shapely.Geometry, *, outwards: bool = True) -> list[Walk]:
    area = shapely.MultiPolygon(shapely.get_parts(region).tolist())
    levels = levels_of(area, step_mm=STEP, cover_mm=1.5, budget=Budget())
    rings = [
        [Loop.of(shapely.get_coordinates(ring)) for ring in shapely.get_rings(level.area)]
        for level in levels
    ]
    return walks_of(levels, rings, step_mm=STEP, outwards=outwards)


def rings_of(walk: Walk) -> list[Leg]:
    return [leg for leg in walk.legs if np.array_equal(leg.points[0], leg.points[-1])]


@settings(max_examples=40)
@given(strategies.regions())
def test_legs_join_end_to_end_and_stay_in_the_area(region):
    for walk in walked(region):
        for before, after in zip(walk.legs, walk.legs[1:], strict=False):
            assert np.allclose(before.points[-1], after.points[0], atol=2 * SAME_MM, rtol=0)
        lines = shapely.linestrings(np.concatenate([_pairs(leg.points) for leg in walk.legs]))
        outside = shapely.difference(lines, walk.area)
        places = shapely.points(shapely.get_coordinates(shapely.segmentize(outside, 0.1)))
        assert np.max(walk.area.distance(places), initial=0.0) <= SAME_MM


def _pairs(points: np.ndarray) -> np.ndarray:
    return np.stack((points[:-1], points[1:]), axis=1)


@pytest.mark.parametrize("name", ["square", "pentagram", "ring", "hourglass hole", "keyhole"])
def test_from_inside_out_no_ring_waits_for_one_beside_it_farther_in(name):
    region = specimens.ALL[name]
    for walk in walked(region):
        rings = [shapely.LineString(leg.points) for leg in rings_of(walk)]
        deep = [region.boundary.distance(shapely.Point(ring.coords[0])) for ring in rings]
        for i, ring in enumerate(rings):
            beside = [k for k in range(i + 1, len(rings)) if ring.dwithin(rings[k], STEP * 1.02)]
            assert all(deep[k] <= deep[i] + 0.02 for k in beside)  # offsets err by microns


def test_from_outside_in_the_outer_ring_comes_first():
    (walk,) = walked(specimens.square(20), outwards=False)
    areas = [shapely.Polygon(leg.points).area for leg in rings_of(walk)]
    assert areas == sorted(areas, reverse=True)
    assert len(areas) == 9  # a half width of 10 holds 8 steps of 1.2, the last piece 0.4 wide


def test_the_first_ring_of_a_branch_is_a_slot_and_the_others_have_cleared_ground_beside():
    (walk,) = walked(BELL)
    assert sum(not leg.beside for leg in rings_of(walk)) == 2


def test_the_other_branch_is_reached_without_lifting():
    (walk,) = walked(BELL)
    assert walk.start[0] < 15 or walk.start[0] > 30
    assert len({leg.points[0, 0] > 22 for leg in rings_of(walk) if not leg.beside}) == 2


def test_a_washer_is_cleared_to_one_wall_then_to_the_other():
    (walk,) = walked(specimens.ring())
    links = [leg for leg in walk.legs if leg.role == "link"]
    assert sum(shapely.LineString(leg.points).length > 2 * STEP for leg in links) <= 1


def test_each_piece_has_a_walk_of_its_own():
    assert len(walked(specimens.nested())) == 2


def test_a_hop_over_no_distance_is_no_leg():
    spot = np.array([1.0, 1.0])
    assert hop(shapely.box(0, 0, 2, 2), spot, spot, cleared=[]) == []
