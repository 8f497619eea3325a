"""Regions: unions, hidden areas and repairs, against shapely's own on the same shapes."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.curves import Curves
from outline2path.drawing.figures import Clip, Figure
from outline2path.drawing.regions import (
    clip_areas,
    figure_areas,
    mended,
    polygons_of,
    together,
    visible_dark,
)
from tests.strategies import numbers

IDENTITY = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
boxes = st.builds(
    lambda x, y, w, h: shapely.MultiPolygon([shapely.box(x, y, x + w, y + h)]),
    numbers(0, 50), numbers(0, 50), numbers(0.1, 20), numbers(0.1, 20),
)  # fmt: skip


@given(st.lists(boxes, max_size=12))
def test_areas_together_are_their_union(areas):
    found, wanted = together(areas), shapely.union_all(areas)
    assert found.symmetric_difference(wanted).area < 1e-9
    assert shapely.is_valid(found)


@settings(max_examples=20)
@given(st.integers(1, 60), numbers(0.5, 3))
def test_many_areas_in_a_row_unite_whether_they_touch_or_not(count, wide):
    """Squares one apart: wider than one they overlap in a chain, else each stands alone."""
    areas = [shapely.MultiPolygon([shapely.box(k, 0, k + wide, 1)]) for k in range(count)]
    found = together(areas[::-1])
    parts = 1 if wide >= 1 else count
    assert len(found.geoms) == parts
    assert found.area == pytest.approx(count - 1 + wide if parts == 1 else count * wide)


@given(st.lists(st.tuples(boxes, st.booleans()), min_size=1, max_size=8))
def test_light_areas_hide_the_dark_ones_painted_before_them(layers):
    seen = shapely.Polygon()
    for area, light in layers:
        seen = shapely.difference(seen, area) if light else shapely.union(seen, area)
    found = visible_dark([a for a, _ in layers], [light for _, light in layers])
    assert found.symmetric_difference(seen).area < 1e-9


@pytest.mark.parametrize(
    ("geometry", "area"),
    [
        (shapely.box(0, 0, 2, 1), 2),
        (shapely.MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(2, 0, 3, 1)]), 2),
        (shapely.GeometryCollection([shapely.box(0, 0, 1, 1), shapely.Point(3, 3)]), 1),
        (shapely.LineString([(0, 0), (1, 1)]), 0),
        (shapely.Polygon(), 0),
    ],
)
def test_only_the_polygons_of_a_geometry_are_kept_shells_counter_clockwise(geometry, area):
    found = polygons_of(geometry)
    assert (found.geom_type, found.area) == ("MultiPolygon", area)
    assert all(p.exterior.is_ccw for p in found.geoms)


BOW = shapely.Polygon([(0, 0), (2, 2), (2, 0), (0, 2)])
PINCHED = shapely.Polygon([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)])


@pytest.mark.parametrize(("broken", "area"), [(BOW, 2), (PINCHED, 8)])
def test_an_area_that_crosses_itself_is_mended(broken, area):
    found = mended(broken)
    assert shapely.is_valid(found)
    assert found.area == pytest.approx(area)


@pytest.mark.parametrize("broken", [BOW, PINCHED])
def test_unions_with_a_broken_area_still_come_out_valid(broken):
    area = together([mended(shapely.MultiPolygon([broken])), shapely.box(10, 0, 11, 1)])
    assert shapely.is_valid(area)


def test_a_sound_area_is_left_as_it_is():
    box = shapely.box(0, 0, 1, 1)
    assert mended(box) is box


def square(x: float, size: float, **fields: object) -> Figure:
    points = [(x, 0), (x + size, 0), (x + size, size), (x, size)]
    return Figure(curves=Curves.from_points(points, closed=True), **fields)


def test_figures_without_fill_have_no_area():
    areas, crossed = figure_areas([square(0, 2), square(5, 2, fill=None)], IDENTITY, 0.01)
    assert [a.area for a in areas] == [4, 0]
    assert crossed == {}


def test_figures_whose_rings_cross_are_named():
    bow = Figure(curves=Curves.from_points(BOW.exterior.coords[:-1], closed=True))
    spot = Figure(curves=Curves.from_points([(0, 0), (0, 0), (0, 0)], closed=True))
    areas, crossed = figure_areas([square(0, 2), bow, spot], IDENTITY, 0.01)
    assert [a.area for a in areas] == pytest.approx([4, 2, 0])
    assert list(crossed) == [1]


def test_a_clip_keeps_what_lies_in_all_of_its_areas():
    outer = Clip((square(0, 3),))
    inner = Clip((square(1, 9), square(20, 1)), over=(outer,))
    areas, _ = figure_areas([square(0, 9, clips=(inner,))], IDENTITY, 0.01)
    assert areas[0].area == pytest.approx(2 * 3)  # x from 1 to 3, y from 0 to 3


def test_an_empty_clip_leaves_nothing():
    figure = square(0, 2, clips=(Clip(),))
    assert figure_areas([figure], IDENTITY, 0.01)[0][0].is_empty
    assert clip_areas([shapely.box(0, 0, 1, 1)], [figure], IDENTITY, 0.01)[0].is_empty


@given(numbers(0.1, 9), numbers(0.1, 9))
def test_areas_scale_with_the_matrix(sx, sy):
    areas, _ = figure_areas([square(0, 2)], (sx, 0, 0, sy, 7, 7), 0.01)
    assert areas[0].area == pytest.approx(4 * sx * sy)
    assert np.array(areas[0].bounds) == pytest.approx([7, 7, 7 + 2 * sx, 7 + 2 * sy])
