"""Hairs hold no area, so they change none; what is wider than rounding stays to the last bit."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

import outline2path as o2p
from outline2path.drawing.hairs import without_hairs
from tests.strategies import numbers, regions, similarities

SOME = settings(max_examples=40)
SPECK_MM2 = 1e-6  # a hair of a nanometre's width and a metre's length holds as much


def haired(region, at, long, width, *, steps=1):
    """A region with a hair at one of its corners, out and back in some steps, and its tip."""
    ring = np.array(region.exterior.coords)[:-1]
    x, y = ring[at % len(ring)]
    away = math.atan2(y - region.centroid.y, x - region.centroid.x)
    along = np.array([math.cos(away), math.sin(away)])
    share = np.linspace(0, 1, steps + 1)[1:, None]
    out = [x, y] + share * long * along
    back = out[::-1][1:] + width * np.array([-along[1], along[0]])
    hair = np.vstack(([[x, y]], out, back))
    k = at % len(ring)
    points = np.vstack((ring[:k], hair, ring[k:]))
    return shapely.Polygon(points, region.interiors), out[-1]


@SOME
@given(regions(), st.integers(0, 300), numbers(1, 20), st.integers(1, 4))
def test_a_hair_is_taken_off_and_nothing_else(region, at, long, steps):
    polygon, tip = haired(region, at, long, 1e-10, steps=steps)
    found = without_hairs(shapely.MultiPolygon([polygon]))
    assert found.area == pytest.approx(region.area, abs=SPECK_MM2)
    assert found.hausdorff_distance(region) < 1e-5
    assert shapely.distance(found, shapely.Point(tip)) > 0 or region.covers(shapely.Point(tip))
    assert shapely.is_valid(found)


@SOME
@given(regions())
def test_a_region_without_hairs_stays_to_the_last_bit(region):
    whole = shapely.MultiPolygon([region])
    assert without_hairs(whole) is whole


@pytest.mark.parametrize("width", [1e-3, 1e-4, 1e-5])
def test_a_spike_wider_than_rounding_is_kept(width):
    spike = [(0, 0), (9, 0), (9, 5), (12, 5), (9, 5 + width), (9, 9), (0, 9)]
    found = without_hairs(shapely.MultiPolygon([shapely.Polygon(spike)]))
    assert found.bounds[2] == 12


@pytest.mark.parametrize("start", range(7))
def test_where_a_ring_begins_on_its_hair_changes_nothing(start):
    ring = [(0, 0), (9, 0), (9, 5), (12, 5), (15, 5), (12, 5), (9, 5), (9, 9), (0, 9)]
    ring = ring[start:] + ring[:start]
    found = without_hairs(shapely.MultiPolygon([shapely.Polygon(ring)]))
    assert (found.area, found.bounds) == (81, (0, 0, 9, 9))


def test_slits_go_from_shells_and_hairs_from_holes():
    shell = [(0, 0), (20, 0), (20, 8), (15, 8), (20, 8 + 1e-12), (20, 20), (0, 20)]
    hole = [(4, 4), (4, 8), (8, 8), (12, 12), (8, 8 - 1e-12), (8, 4)]
    found = without_hairs(shapely.MultiPolygon([shapely.Polygon(shell, [hole])]))
    assert found.length == pytest.approx(80 + 16)


def test_what_is_nothing_but_a_hair_goes_with_its_polygon():
    hair = shapely.Polygon([(30, 0), (40, 0), (30, 1e-12)])
    thin_hole = [(2, 2), (7, 7), (2, 2 + 1e-12)]
    plate = shapely.Polygon([(0, 0), (9, 0), (9, 9), (0, 9)], [thin_hole])
    found = without_hairs(shapely.MultiPolygon([plate, hair]))
    assert found.equals(shapely.box(0, 0, 9, 9))
    assert without_hairs(shapely.MultiPolygon([hair])).is_empty
    assert without_hairs(shapely.MultiPolygon()).is_empty


@SOME
@given(similarities(), numbers(0.3, 40))
def test_a_curve_that_returns_over_itself_fills_nothing_at_any_flattening(matrix, scale):
    """Met in a drawing: a cubic whose second handle and end are its start."""
    outline = o2p.Outline.from_path("M2 2H6c.31-.29 0 0 0 0s1 2 2 3V9H2Z").scale(scale)
    outline = outline.transformed(matrix)
    coarse, fine = outline.region_within(0.002), outline.region_within(0.0002)
    assert shapely.hausdorff_distance(coarse.boundary, fine.boundary) < 0.0025
