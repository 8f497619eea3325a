"""Stretches: where a ring lies in an area, told by plain intersection."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings

from outline2path.operations.loops import Loop
from outline2path.operations.rings import rings_of
from outline2path.operations.stretches import share_of, stretches_of
from tests import specimens, strategies


@settings(max_examples=60)
@given(region=strategies.regions(), area=strategies.regions())
def test_stretches_cover_just_what_lies_in_the_area(region, area):
    loop = Loop.of(shapely.get_coordinates(region.exterior))
    found = shapely.union_all(
        [shapely.LineString(loop.piece(a, b)) for a, b in stretches_of(loop, area)]
    )
    wanted = shapely.LineString(loop.points).intersection(area)
    slack = 1e-4  # crossings and joints of pieces are rounded, a few hundred of them at most
    assert found.difference(area.buffer(1e-6)).length <= slack
    assert found.length == pytest.approx(wanted.length, abs=slack)


def test_a_stretch_may_run_over_the_start_of_the_ring():
    loop = Loop.of([(0, 0), (10, 0), (10, 10), (0, 10)])
    (stretch,) = stretches_of(loop, shapely.box(-1, -1, 4, 4))
    assert stretch == pytest.approx((36.0, 44.0))


def test_a_ring_beside_the_area_has_none():
    loop = Loop.of([(0, 0), (10, 0), (10, 10), (0, 10)])
    assert stretches_of(loop, shapely.box(3, 3, 7, 7)) == []


def test_rings_cut_all_round_come_inner_ones_first():
    area = shapely.MultiPolygon([specimens.ring()])
    rings = rings_of(area, side="outside", direction="climb")
    share = share_of(rings, shapely.box(-30, -30, 30, 30))
    assert [ring.keeps_inside for ring in share.whole] == [False, True]
    assert share.parts == ()
