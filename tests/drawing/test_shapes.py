"""Basic shapes against their closed forms and against another parser's paths."""

import math

import pytest
import shapely
from hypothesis import given

from outline2path.drawing.figures import Figure
from outline2path.drawing.lines import curve_bounds, polylines
from outline2path.drawing.shapes import SHAPES, curves_of
from outline2path.errors import DrawingError
from tests.strategies import numbers

PI = math.pi


def drawn(name: str, most: int = 1000, **attributes: object):
    """Curves and note of a shape; numbers stand for lengths, text for points and data."""
    texts = {k: v for k, v in attributes.items() if isinstance(v, str)}
    sizes = {k: float(v) for k, v in attributes.items() if not isinstance(v, str)}
    return curves_of(name, texts.get, lambda key, _along: sizes.get(key), most=most)


def area(curves) -> float:
    lines = polylines([Figure(curves=curves)], (1, 0, 0, 1, 0, 0), 1e-4)[0]
    return sum(shapely.Polygon(xy).area for xy, _ in lines)


# SVG 2 chapter 10 (from memory); areas by elementary geometry.
AREAS = [
    ("rect", {"width": 4, "height": 3}, 12),
    ("rect", {"x": -9, "y": 9, "width": 4, "height": 3}, 12),
    ("rect", {"width": 4, "height": 3, "rx": 1}, 12 - (4 - PI)),
    ("rect", {"width": 4, "height": 3, "ry": 1}, 12 - (4 - PI)),
    ("rect", {"width": 4, "height": 3, "rx": 1, "ry": 0.5}, 12 - 0.5 * (4 - PI)),
    ("rect", {"width": 4, "height": 3, "rx": 9, "ry": 9}, PI * 2 * 1.5),
    ("rect", {"width": 4, "height": 4, "rx": 2}, PI * 4),
    ("rect", {"width": 4, "height": 3, "rx": 0, "ry": 1}, 12),
    ("rect", {"width": 4, "height": 3, "rx": -1, "ry": 1}, 12 - (4 - PI)),
    ("rect", {"width": 4, "height": 3, "rx": -1}, 12),
    ("rect", {"width": 4}, 0),
    ("rect", {"width": 4, "height": 0}, 0),
    ("circle", {"r": 2}, 4 * PI),
    ("circle", {"cx": 7, "cy": -7, "r": 2}, 4 * PI),
    ("circle", {}, 0),
    ("circle", {"r": 0}, 0),
    ("ellipse", {"rx": 3, "ry": 2}, 6 * PI),
    ("ellipse", {"rx": 3}, 9 * PI),
    ("ellipse", {"ry": 3}, 9 * PI),
    ("ellipse", {"rx": 3, "ry": 0}, 0),
    ("polygon", {"points": "0,0 4,0 4,3"}, 6),
    ("polygon", {"points": "0 0 4 0 4 3"}, 6),
    ("polygon", {"points": " 0,0,4,0,4,3 , "}, 6),
    ("polygon", {"points": "0-0 4-0 4+3"}, 6),
    ("polygon", {"points": "0 0 .4e1 0 4 3"}, 6),
    ("polyline", {"points": "0,0 4,0 4,3"}, 6),
    ("path", {"d": "M0 0H4V3Z"}, 6),
    ("path", {"d": "M0 0H4V3"}, 6),
]


@pytest.mark.parametrize(("name", "attributes", "wanted"), AREAS)
def test_a_shape_has_the_area_of_its_closed_form(name, attributes, wanted):
    curves, note = drawn(name, **attributes)
    found = area(curves) if len(curves.rows) else 0
    assert found == pytest.approx(wanted, abs=0.01)  # edges of 20 times the tolerance
    assert note is None


NOTES = [
    ("rect", {"width": -4, "height": 3}, "negative"),
    ("rect", {"width": 4, "height": -3}, "negative"),
    ("circle", {"r": -1}, "negative"),
    ("ellipse", {"rx": 1, "ry": -1}, "negative"),
    ("polygon", {"points": "0,0 4,0 4"}, "half a pair; points kept before it: 2"),
    ("polygon", {"points": "0,0 4,0 4,3 x 1"}, "'x 1'; points kept before it: 3"),
    ("polygon", {"points": "0,0 1e999,0 4,3"}, "not finite"),
    ("path", {"d": "M0 0H4V3 X"}, "'V3 X'; pieces kept before it: 2"),
    ("path", {"d": "0 0"}, "breaks at '0 0'"),
]


@pytest.mark.parametrize(("name", "attributes", "words"), NOTES)
def test_a_fault_comes_back_as_words_with_what_was_kept(name, attributes, words):
    _, note = drawn(name, **attributes)
    assert words in note


@pytest.mark.parametrize("name", sorted(SHAPES))
def test_a_shape_without_attributes_draws_nothing_and_is_no_fault(name):
    curves, note = drawn(name)
    assert note is None
    assert name == "line" or len(curves.rows) == 0


def test_a_line_is_one_open_segment():
    curves, note = drawn("line", x1=1, y1=2, x2=4)
    assert curves.rows[:, [1, 2, 7, 8]].tolist() == [[1, 2, 4, 0]]
    assert (note, curves.closed.tolist()) == (None, [False])


@pytest.mark.parametrize(("name", "closed"), [("polygon", True), ("polyline", False)])
def test_a_polygon_closes_and_a_polyline_does_not(name, closed):
    curves, _ = drawn(name, points="0,0 4,0 4,3")
    assert curves.closed.tolist() == [closed]
    assert len(curves.rows) == 2 + closed


@pytest.mark.parametrize("name", ["polygon", "polyline"])
def test_more_points_than_allowed_are_refused(name):
    with pytest.raises(DrawingError, match="more than 10 points"):
        drawn(name, most=10, points="1 2 " * 11)


@given(numbers(-50, 50), numbers(-50, 50), numbers(0.1, 40), numbers(0.1, 40), numbers(0, 30))
def test_a_rounded_rectangle_fills_its_box_and_starts_right_of_its_corner(x, y, w, h, r):
    curves, _ = drawn("rect", x=x, y=y, width=w, height=h, rx=r)
    bounds = curve_bounds([Figure(curves=curves)])[0]
    assert bounds == pytest.approx([x, y, x + w, y + h], abs=1e-9)
    assert curves.rows[0, 1:3] == pytest.approx([x + min(r, w / 2), y], abs=1e-9)
    assert curves.rows[1:, 1:3] == pytest.approx(curves.rows[:-1, 7:9])
