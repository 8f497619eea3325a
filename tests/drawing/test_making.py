"""Making outlines without a file: from path data, rings and text."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given

from outline2path.drawing.making import figure_from_path, figure_from_rings, figure_from_text
from outline2path.drawing.outline import Outline
from outline2path.errors import DrawingError, SettingError
from tests.strategies import numbers, regions

# Areas by elementary geometry.
PATHS = [
    ("M0 0H4V3Z", "nonzero", 6),
    ("M0 0h4v3z", "nonzero", 6),
    ("M0 0H9V9H0ZM3 3H6V6H3Z", "nonzero", 81),
    ("M0 0H9V9H0ZM3 3H6V6H3Z", "evenodd", 72),
    ("M0 0H9V9H0ZM3 3V6H6V3Z", "nonzero", 72),
    ("M5 0A5 5 0 0 1-5 0A5 5 0 0 1 5 0", "nonzero", 25 * math.pi),
    ("M0 0Q2 4 4 0Z", "nonzero", 16 / 3),
    ("M0 0C0 4 4 4 4 0Z", "nonzero", 9.6),
]


@pytest.mark.parametrize(("d", "rule", "area"), PATHS)
@pytest.mark.parametrize("y_up", [True, False])
def test_path_data_fill_their_area_whichever_way_y_grows(d, rule, area, y_up):
    outline = Outline.from_path(d, rule=rule, y_up=y_up)
    assert outline.region_within(1e-5).area == pytest.approx(area, rel=1e-4)


def test_y_of_path_data_grows_down_unless_told_otherwise():
    down, up = (Outline.from_path("M0 0H4V3Z", y_up=way) for way in (False, True))
    assert down.bounds_mm == (0, -3, 4, 0)
    assert up.bounds_mm == (0, 0, 4, 3)


@pytest.mark.parametrize(
    ("d", "words"),
    [
        ("M0 0L foo", "break at"),
        ("", "draw nothing"),
        ("M5 5", "draw nothing"),
        ("hello", "break"),
    ],
)
def test_path_data_with_a_fault_are_refused_with_the_text_at_fault(d, words):
    with pytest.raises(DrawingError, match=words):
        figure_from_path(d)


def test_an_unknown_rule_is_refused():
    with pytest.raises(SettingError, match="fill rule"):
        figure_from_path("M0 0H4V3Z", rule="winding")


@given(regions())
def test_rings_of_a_polygon_make_the_polygon(region):
    rings = [r.coords for r in (region.exterior, *region.interiors)]
    made = Outline.from_polygons(rings).region
    assert made.symmetric_difference(region).area < 1e-9


@given(numbers(1, 50), numbers(1, 50))
def test_rings_may_be_arrays_closed_or_not(w, h):
    corners = np.array([[0, 0], [w, 0], [w, h], [0, h]])
    for ring in (corners, np.vstack([corners, corners[:1]]), corners[::-1]):
        assert Outline.from_polygons([ring]).region.area == pytest.approx(w * h)


@pytest.mark.parametrize(
    "rings",
    [
        [],
        [[]],
        [[(0, 0)]],
        [[(0, 0), (1, 1), (0, 0)]],
        [[(0, 0), (1, 0), (math.inf, 1)]],
        [[(0, 0, 0), (1, 0, 0), (1, 1, 0)]],
        [[(0, 0), (1, 0), (1, 1)], [(5, 5)]],
    ],
)
def test_what_is_no_ring_is_refused(rings):
    with pytest.raises(DrawingError, match="ring"):
        figure_from_rings(rings)


@pytest.mark.parametrize(("height", "mm"), [("20 mm", 20), ("1 in", 25.4), (7, 7)])
def test_capitals_have_the_height_asked_for(height, mm):
    outline = Outline.from_text("HE", height=height)
    x0, y0, _, y1 = outline.bounds_mm
    assert (y0, y1) == pytest.approx((0, mm))
    assert x0 >= 0


# Letters by what they enclose, in a sans face.
@pytest.mark.parametrize(
    ("text", "parts", "holes"), [("I", 1, 0), ("O", 1, 1), ("B", 1, 2), ("i", 2, 0), ("A A", 2, 2)]
)
def test_letters_have_their_parts_and_holes(text, parts, holes):
    region = Outline.from_text(text, height=20).region
    assert len(region.geoms) == parts
    assert sum(len(p.interiors) for p in region.geoms) == holes
    assert shapely.is_valid(region)


@pytest.mark.parametrize(
    ("text", "options", "words"),
    [
        ("", {"height": 5}, "cannot be set"),
        ("   ", {"height": 5}, "cannot be set"),
        ("\U0001f999", {"height": 5}, "the font has no"),
        ("a", {"height": 5, "font": "No Such Face 99"}, "not installed"),
    ],
)
def test_text_that_cannot_be_set_is_refused(text, options, words):
    with pytest.raises(DrawingError, match=words):
        figure_from_text(text, **options)


@pytest.mark.parametrize("height", [0, -3, "0 mm"])
def test_letters_need_a_height(height):
    with pytest.raises(SettingError):
        figure_from_text("a", height=height)
