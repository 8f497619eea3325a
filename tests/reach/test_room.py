"""The survey of a free space: necks, slot ends, closed pieces and the tightest of them."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from outline2path.reach.boundary import Boundary
from outline2path.reach.holes import widest_discs
from outline2path.reach.mesh import sample
from outline2path.reach.narrow import spots_in, tight_places
from outline2path.reach.room import survey
from outline2path.reach.slot_ends import slot_ends
from tests import specimens, strategies


def surveyed(region, *, free_inside=False, ignore_mm=0.02):
    parts = shapely.multipolygons(shapely.get_parts(region))
    return survey(parts, free_inside=free_inside, fine_mm=0.0005, ignore_mm=ignore_mm)


def ends(region, *, free_inside=True):
    edges = Boundary.of(shapely.MultiPolygon([region]), free_inside=free_inside)
    return slot_ends(edges, sample(edges, finest_mm=0.01), touch_mm=0.001)


def test_a_survey_sees_closed_pieces_with_their_islands_cut_out():
    room = surveyed(specimens.nested())
    assert len(room.closed) == 1
    assert room.closed[0].area == pytest.approx(math.pi * (64 - 9), rel=0.001)
    assert room.hole_mm[0] == pytest.approx(5.0, abs=0.002)


def test_the_inside_of_parts_is_a_closed_piece_each():
    room = surveyed(specimens.two_discs(), free_inside=True)
    assert sorted(room.hole_mm) == pytest.approx([16.0, 18.0], abs=0.002)


@pytest.mark.parametrize("free_inside", [False, True])
@pytest.mark.parametrize("name", specimens.ALL)
def test_the_space_and_the_region_fill_the_frame(name, free_inside):
    region = specimens.ALL[name]
    space = surveyed(region, free_inside=free_inside).space(7.0)
    if free_inside:
        assert space.area == pytest.approx(region.area, rel=0.001)
    else:
        x0, y0, x1, y1 = region.bounds
        frame = shapely.box(x0 - 7, y0 - 7, x1 + 7, y1 + 7)
        assert space.area == pytest.approx(frame.area - region.area, rel=0.001)


def test_roughness_shallower_than_the_limit_is_no_gap():
    scratched = specimens.square(30) - shapely.box(10, 29.99, 10.004, 31)
    assert surveyed(scratched).tightest_mm is None
    assert surveyed(scratched, ignore_mm=0.001).tightest_mm == pytest.approx(0.004)


@pytest.mark.parametrize("turn", [0, 12, 45, 80])
@pytest.mark.parametrize(("long", "wide"), [(20, 3), (20, 0.5), (5, 4.9)])
def test_a_rectangle_has_an_end_at_either_side(turn, long, wide):
    found = ends(shapely.affinity.rotate(shapely.box(0, 0, long, wide), turn))
    assert found.width_mm == pytest.approx([wide, wide])
    apart = np.hypot(*(found.centre[0] - found.centre[1]))
    assert apart == pytest.approx(long - wide)


def test_a_slot_end_with_cut_corners_is_found():
    house = shapely.Polygon([(0, 0), (20, 0.2), (20, 4.8), (0, 5), (-1, 4), (-1, 1)])
    found = ends(house)
    assert found.width_mm.max() == pytest.approx(5.0, abs=0.05)


def test_walls_that_meet_have_no_end():
    assert len(ends(shapely.Polygon([(0, 0), (30, -1), (30, 1)])).width_mm) == 1  # the wide end
    assert len(ends(specimens.ellipse()).width_mm) == 0


@settings(max_examples=30, deadline=None)
@given(strategies.polygons())
def test_widest_discs_are_those_of_a_closer_search(region):
    assume(region.is_valid and region.area > 1)
    edges = Boundary.of(shapely.MultiPolygon([region]), free_inside=True)
    centres, widths = widest_discs(np.array([region]), edges, within_mm=np.array([0.001]))
    best = 2 * shapely.maximum_inscribed_circle(region, 0.00001).length
    assert widths[0] == pytest.approx(best, abs=0.002)
    assert 2 * edges.distance_mm(centres)[0] == pytest.approx(widths[0])


@settings(max_examples=20, deadline=None)
@given(strategies.regions(), st.booleans())
def test_every_contact_is_an_empty_disc_that_touches(region, free_inside):
    room = surveyed(region, free_inside=free_inside)
    radius = room.contacts.width_mm / 2
    assert room.boundary.distance_mm(room.contacts.centre) == pytest.approx(radius, abs=0.0001)
    arms = room.contacts.touch - room.contacts.centre[:, None]
    away = np.hypot(arms[:, :2, 0], arms[:, :2, 1])
    assert away == pytest.approx(np.column_stack([radius, radius]), abs=0.002)


@settings(max_examples=20, deadline=None)
@given(strategies.sheets(), st.floats(0.8, 6.0))
def test_spots_are_disjoint_and_lie_in_the_free_space(region, width):
    room = surveyed(region)
    spots, area = spots_in(room, width, ignore_mm=0.02)
    lost = [spot.lost for spot in spots]
    together = shapely.union_all(lost).area
    assert together == pytest.approx(sum(shape.area for shape in lost), abs=0.001)
    assert together <= area + 0.001
    assert all(shape.intersection(region).area < 0.01 for shape in lost)


def test_tight_places_are_named_once_each():
    room = surveyed(specimens.comb())
    assert [round(w, 3) for *_, w in tight_places(room, 1.9, 3.1)] == [2.0] * 2 + [2.5] * 2 + [
        3.0
    ] * 2
    assert tight_places(room, 4.1, 9.0) == []
