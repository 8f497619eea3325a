"""Clip shapes written in a style, against closed forms of the shapes."""

import math

import pytest

from outline2path.drawing.basicshapes import basic_shape, shape_and_box
from outline2path.drawing.lengths import Basis
from tests.drawing.samples import area_px2, codes, read

BOX = (10.0, 10.0, 50.0, 30.0)
"""40 wide, 20 high: the box of the rectangle below."""
RECT = '<rect x="10" y="10" width="40" height="20" style="clip-path:{}"/>'
PI = math.pi
MEAN = math.sqrt((40**2 + 20**2) / 2)

# CSS Shapes 1 (from memory): what is left of the rectangle, in square pixels.
LEFT = [
    ("circle(5px)", 25 * PI),
    ("circle()", 100 * PI),
    ("circle(closest-side)", 100 * PI),
    ("circle(farthest-side)", 2 * (10 * math.sqrt(300) + 400 * math.asin(0.5))),
    ("circle(10%)", (MEAN / 10) ** 2 * PI),
    ("circle(5px at 0 0)", 25 * PI / 4),
    ("circle(5px at left top)", 25 * PI / 4),
    ("circle(5px at top left)", 25 * PI / 4),
    ("circle(5px at top)", 25 * PI / 2),
    ("circle(5px at right)", 25 * PI / 2),
    ("circle(5px at 50% 100%)", 25 * PI / 2),
    ("ellipse()", 200 * PI),
    ("ellipse(10px 5px)", 50 * PI),
    ("ellipse(25% 25%)", 50 * PI),
    ("ellipse(10px 5px at 0 50%)", 25 * PI),
    ("inset(5px)", 300),
    ("inset(25%)", 200),
    ("inset(1px 2px)", 36 * 18),
    ("inset(1px 2px 3px)", 36 * 16),
    ("inset(1px 2px 3px 4px)", 34 * 16),
    ("inset(0 round 5px)", 800 - 25 * (4 - PI)),
    ("inset(5px round 5px)", 300 - 25 * (4 - PI)),
    ("polygon(0 0, 100% 0, 0 100%)", 400),
    ("polygon(nonzero, 0 0, 40px 0, 40px 20px)", 400),
    ("polygon(evenodd, 0 0, 40px 0, 0 20px, 40px 20px)", 400),
    ("path('M0 0H10V10z')", 50),
    ('path("M0 0H10V10z")'.replace('"', "&quot;"), 50),
    ("path(evenodd, 'M0 0H9V9H0zM0 0H9V9H0z')", 0),
    ("inset(10px)", 0),
    ("CIRCLE(5px)", 25 * PI),
    ("circle(5px at 15px 15px) view-box", 25 * PI),
    ("fill-box circle(5px)", 25 * PI),
]


@pytest.mark.parametrize(("shape", "area"), LEFT)
def test_a_clip_shape_leaves_the_area_of_its_closed_form(shape, area):
    rim = 4 * 60 * 0.01  # 2 micrometres are 0.008 px, along 60 px of edge, with room
    assert area_px2(RECT.format(shape)) == pytest.approx(area, abs=rim)


@pytest.mark.parametrize(
    "shape",
    [
        "circle(5 px)",
        "circle(5px 5px 5px)",
        "circle(5px at 1px 2px 3px)",
        "circle(blue)",
        "circle(5px 5px)",
        "ellipse(5px)",
        "inset()",
        "inset(1px 2px 3px 4px 5px)",
        "inset(1px round 2px 3px)",
        "polygon(1px)",
        "polygon(1px 2px 3px)",
        "path(M0 0H9)",
        "path('M0 0L foo')",
        "star(5px)",
    ],
)
def test_what_is_no_shape_clips_nothing_and_is_told(shape):
    body = RECT.format(shape)
    assert codes(body) == ("clip-missing",)
    assert area_px2(body) == pytest.approx(800)


def test_an_attribute_may_leave_the_unit_out_as_lengths_of_svg_do():
    body = '<rect clip-path="circle(10)" width="60" height="60"/>'
    assert area_px2(body) == pytest.approx(100 * PI, rel=1e-3)  # curves within 2 micrometres


def test_a_shape_over_a_group_is_measured_in_the_box_of_all_its_parts():
    two = '<rect width="10" height="10"/><rect x="30" y="10" width="10" height="10"/>'
    body = f'<g style="clip-path:inset(0 50% 0 0)">{two}</g>'
    assert area_px2(body) == pytest.approx(100)


def test_a_shape_follows_the_matrix_of_what_it_clips():
    body = f'<g transform="rotate(30 30 20) scale(.5)">{RECT.format("inset(25%)")}</g>'
    assert area_px2(body) == pytest.approx(200 / 4)


def test_the_box_of_a_shape_is_named_before_or_after_it():
    assert shape_and_box("inset(1px) fill-box") == shape_and_box("fill-box inset(1px)")
    assert shape_and_box("inset(1px)") == ("inset(1px)", "")


def test_lengths_of_a_shape_count_from_the_corner_of_its_box():
    curves, rule = basic_shape("polygon(1px 2px, 50% 2px, 1px 50%)", BOX, Basis())
    assert curves.rows[:, 1:3].tolist() == [[11, 12], [30, 12], [11, 20]]
    assert rule == "nonzero"


def test_a_line_around_a_clipped_shape_is_told_since_boxes_leave_lines_out():
    body = RECT.format("inset(5px)").replace("<rect", '<rect stroke="red"')
    told = [f for f in read(body).findings if f.code == "clip-box"]
    assert len(told) == 1
    assert "without the line" in told[0].message
