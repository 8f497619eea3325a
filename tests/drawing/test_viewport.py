"""Viewports: how a viewBox fits, and how large the page is."""

import pytest

from outline2path.drawing.lengths import Basis
from outline2path.drawing.reader import read_outline
from outline2path.drawing.viewport import fit_view, page_of, parse_view_box

# Worked example W11: a page of 100 mm x 50 mm and the box 0 0 200 200 (SVG 2 section 8.2).
W11 = [
    ("meet", (0.25, 0.25, 25.0, 0.0)),
    ("slice", (0.5, 0.5, 0.0, -25.0)),
    ("none", (0.5, 0.25, 0.0, 0.0)),
]


@pytest.mark.parametrize(("kind", "wanted"), W11)
def test_a_box_fits_as_the_worked_example_says(kind, wanted):
    aspect = "none" if kind == "none" else f"xMidYMid {kind}"
    a, _, _, d, e, f = fit_view((100.0, 50.0), (0.0, 0.0, 200.0, 200.0), aspect)
    assert (a, d, e, f) == wanted


@pytest.mark.parametrize(
    "aspect", ["", "foo", "xMidYMid foo", "xmidymid meet", "defer xMidYMid", "defer"]
)
def test_an_odd_aspect_counts_as_the_usual_one(aspect):
    box = (0.0, 0.0, 200.0, 100.0)
    assert fit_view((50.0, 50.0), box, aspect) == fit_view((50.0, 50.0), box, "xMidYMid meet")


@pytest.mark.parametrize(
    "text", [None, "", "0 0 10", "0 0 0 10", "0 0 -10 10", "a b c d", "0 0 1e999 1", "0 0 1 1 1"]
)
def test_a_box_without_area_is_none(text):
    assert parse_view_box(text) is None


def test_a_box_may_have_commas_and_blanks():
    assert parse_view_box(" -1.5 , 2,3e1  4 ") == (-1.5, 2.0, 30.0, 4.0)


PAGES = [
    ({"width": "200", "viewBox": "0 0 100 50"}, (200, 100)),
    ({"height": "200", "viewBox": "0 0 100 50"}, (400, 200)),
    ({"viewBox": "0 0 100 50"}, (100, 50)),
    ({"width": "100%", "height": "100%", "viewBox": "0 0 100 50"}, (100, 50)),
    ({"width": "50%", "height": "50%", "viewBox": "0 0 100 50"}, (50, 25)),
    ({"width": "auto", "height": "", "viewBox": "0 0 100 50"}, (100, 50)),
    ({"width": "2in", "height": "1in"}, (192, 96)),
    ({"width": "-5", "height": "0", "viewBox": "0 0 100 50"}, (100, 50)),
    ({}, (None, None)),
]


@pytest.mark.parametrize(("attributes", "size"), PAGES)
def test_the_page_is_as_large_as_its_attributes_say(attributes, size):
    page = page_of(attributes, basis=Basis())
    assert (page.width, page.height) == size


def test_a_drawing_with_a_size_in_mm_says_so():
    physical = page_of({"width": "20mm", "height": "9"}, basis=Basis())
    assert physical.physical
    assert physical.sized_by == "width or height in mm"


def test_a_page_without_size_reaches_as_far_as_the_drawing():
    outline = read_outline(b'<svg><rect x="40" y="10" width="56" height="86"/></svg>')
    assert outline.source.page_px == (96.0, 96.0)
    assert outline.bounds_mm == pytest.approx((40 * 25.4 / 96, 0, 25.4, 86 * 25.4 / 96))
    assert outline.source.sized_by == "the extent of what is drawn"
