from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings

from outline2path.operations.rings import rings_of
from outline2path.operations.unreached import (
    joined_parts,
    narrow_parts,
    unreached_edges,
    widest_mm,
)
from tests import specimens
from tests.operations.laws import planned
from tests.strategies import cutter_diameters, sheets


@pytest.mark.parametrize(
    ("region", "wide"),  # sources.md 4: largest inscribed circles
    [
        (specimens.square(10), 10),
        (shapely.box(0, 0, 30, 7), 7),
        (specimens.triangle_345(), 2),
        (specimens.disc(3, 3, 4), 8),
    ],
)
def test_the_widest_disc_is_the_incircle(region, wide):
    assert widest_mm(region)[0] == pytest.approx(wide, abs=0.01)  # the search stops there


def test_many_small_holes_are_told_one_by_one_and_then_counted():
    holes = [specimens.disc(5 * k + 5, 5, 0.5).exterior for k in range(30)]
    plate = shapely.Polygon(shapely.box(0, 0, 200, 10).exterior, holes)
    found = planned(plate, 3.0).findings
    assert len(found) == 21
    assert found[-1].value == 10


@settings(max_examples=40, deadline=None)
@given(sheets(), cutter_diameters())
def test_every_part_is_cut_free_or_told_to_be_joined(sheet, cutter):
    plan = planned(sheet, cutter)
    joined = sum(int(f.message.split()[0]) - 1 for f in plan.findings if f.code == "parts-joined")
    outer = [
        c
        for c in plan.contours
        if not shapely.LinearRing(
            [p for s in c.cuts[-1].spans if s.role == "cut" for p in s.points[:, :2]]
        ).is_ccw
    ]
    assert len(outer) + joined == len(sheet.geoms)


def test_an_island_in_a_hole_is_no_part_joined():
    nested = shapely.MultiPolygon([specimens.ring(), specimens.disc(0, 0, 3)])
    assert joined_parts(nested, nested.buffer(1.0), side="outside", need_mm=2.0) == []


def test_an_opening_that_got_its_ring_is_not_told():
    opening = shapely.MultiPolygon([specimens.square(20)])
    rings = rings_of(shapely.MultiPolygon([opening.buffer(-2)]), side="inside", direction="climb")
    assert unreached_edges(opening, rings, side="inside", need_mm=4.0) == []


def test_a_round_pocket_has_no_narrow_part():
    disc = shapely.MultiPolygon([shapely.Point(0, 0).buffer(10)])
    assert narrow_parts(disc, disc.buffer(-1.5), need_mm=3.0) == []


def test_a_neck_between_two_cleared_pieces_is_told_of():
    bell = shapely.union_all(
        [shapely.box(0, 0, 15, 15), shapely.box(14, 6, 31, 8), shapely.box(30, 0, 45, 15)]
    )
    (found,) = narrow_parts(shapely.MultiPolygon([bell]), bell.buffer(-1.5), need_mm=3.0)
    assert found.value == pytest.approx(2.0, abs=0.01)  # the neck is 2 mm wide


def test_an_opening_never_entered_is_told_elsewhere():
    slots = shapely.MultiPolygon([shapely.box(0, 0, 20, 20), shapely.box(30, 0, 32, 20)])
    assert narrow_parts(slots, slots.buffer(-1.5), need_mm=3.0) == []
