"""Strokes: the area a line covers, against closed forms and against buffers."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.figures import Stroke
from outline2path.drawing.pathdata import parse_path
from outline2path.drawing.strokes import stroke_area
from tests.drawing.samples import area_px2, read
from tests.strategies import numbers

TOLERANCE = 0.001


def rounded(width):
    return Stroke(width=width, cap="round", join="round")


def covered(d, stroke):
    return stroke_area(parse_path(d)[0], stroke, TOLERANCE)


PI = math.pi
MITER = math.tan(math.radians(45))
# (path, stroke, area): elementary geometry; SVG 2 section 13.5 (from memory) for the shapes.
AREAS = [
    ("M0 0H10", Stroke(width=2), 20),
    ("M0 0H10", Stroke(width=2, cap="square"), 24),
    ("M0 0H10", Stroke(width=2, cap="round"), 20 + PI),
    ("M0 0H10V10", Stroke(width=2), 40 + 0),
    ("M0 0H10V10", Stroke(width=2, join="bevel"), 40 - 0.5),
    ("M0 0H10V10", Stroke(width=2, join="round"), 40 - 1 + PI / 4),
    ("M0 0H10V10", Stroke(width=2, miter_limit=1), 40 - 0.5),
    ("M0 0H10V10H0Z", Stroke(width=2), 12**2 - 8**2),
    ("M0 0H10V10H0Z", Stroke(width=2, join="round"), 100 + 40 + PI - 64),
    ("M10 0A10 10 0 1 1 -10 0A10 10 0 1 1 10 0Z", Stroke(width=2), PI * (11**2 - 9**2)),
    ("M10 0A10 10 0 1 1 -10 0A10 10 0 1 1 10 0Z", Stroke(width=24), PI * 22**2),
    ("M10 0A10 10 0 0 1 -10 0", Stroke(width=2), PI / 2 * (11**2 - 9**2)),
    ("M5 5Z", Stroke(width=2, cap="round"), PI),
    ("M5 5L5 5", Stroke(width=2, cap="square"), 4),
    ("M5 5L5 5", Stroke(width=2), 0),
    ("M0 0H100", Stroke(width=1, dashes=(10, 5)), 7 * 10),
    ("M0 0H100", Stroke(width=1, dashes=(10, 5), dash_offset=-5), 60 + 5),
    ("M0 0H100", Stroke(width=2, dashes=(0, 10), cap="round"), 10 * PI),
    ("M0 0H30V30H0Z", Stroke(width=2, dashes=(20, 10)), 4 * 40),
]


@pytest.mark.parametrize(("d", "stroke", "area"), AREAS)
def test_a_line_covers_the_area_of_the_closed_form(d, stroke, area):
    wanted = pytest.approx(area, abs=TOLERANCE * 400)  # edges up to 200 long on two sides
    assert covered(d, stroke).area == wanted


thousandths = numbers(-40, 40).map(lambda x: round(x, 3))
point = st.tuples(thousandths, thousandths)


def sweep(points, width):
    """What a disc covers on its way: the union of the buffers of all straight pieces."""
    ends = np.stack([points[:-1], points[1:]], axis=1)
    return shapely.union_all(shapely.buffer(shapely.linestrings(ends), width / 2, quad_segs=64))


@settings(max_examples=40)
@given(st.lists(point, min_size=2, max_size=7), numbers(0.5, 12))
def test_round_lines_cover_what_a_disc_sweeps(points, width):
    d = "M" + "L".join(f"{x!r} {y!r}" for x, y in points)
    ours, theirs = covered(d, rounded(width)), sweep(np.array(points), width)
    # Two rims: our bound, and the sagitta of the buffer's chords, 1.5e-4 of the width.
    rim = theirs.length * (TOLERANCE + 1.5e-4 * width)
    assert ours.symmetric_difference(theirs).area <= rim


@settings(max_examples=25)
@given(st.tuples(point, point, point, point), numbers(0.5, 6))
def test_a_curved_line_covers_what_a_disc_sweeps(controls, width):
    d = "M{0[0]!r} {0[1]!r}C{1[0]!r} {1[1]!r} {2[0]!r} {2[1]!r} {3[0]!r} {3[1]!r}".format(
        *controls
    )
    t = np.linspace(0, 1, 600)[:, None]
    p = np.array(controls)
    curve = (1-t)**3*p[0] + 3*(1-t)**2*t*p[1] + 3*(1-t)*t*t*p[2] + t**3*p[3]  # fmt: skip
    ours, theirs = covered(d, rounded(width)), sweep(curve, width)
    # As above; chords of the curve add up to 300 / 600^2 of its extent, bends the same again.
    rim = theirs.length * (TOLERANCE + 1.5e-4 * width + 0.002)
    assert ours.symmetric_difference(theirs).area <= rim


def test_a_line_under_a_skew_is_skewed_with_its_width():
    """Area scales by the determinant: 10 x 2 under scale(3, 2) is 120."""
    body = '<path fill="none" stroke="red" stroke-width="2" transform="scale(3 2)" d="M5 9H15"/>'
    assert area_px2(body, strokes="outline") == pytest.approx(120)


def test_a_line_of_fixed_width_keeps_it_under_a_matrix():
    body = (
        '<path fill="none" stroke="red" stroke-width="2" vector-effect="non-scaling-stroke" '
        'transform="scale(3 2)" d="M5 9H15"/>'
    )
    assert area_px2(body, strokes="outline") == pytest.approx(60)


def test_a_butt_end_of_a_curve_does_not_reach_past_its_end():
    body = '<path fill="none" stroke="red" stroke-width="8" d="M20 50A30 30 0 0 1 80 50"/>'
    low = read(body, strokes="outline").bounds_mm[1]
    assert low == pytest.approx(50 * 25.4 / 96, abs=1e-9)


def test_dashes_too_fine_to_cut_are_read_as_a_whole_line_and_told():
    body = '<path fill="none" stroke="red" stroke-dasharray="1e-9" d="M10 50H90"/>'
    outline = read(body, strokes="outline")
    assert "dashes-too-fine" in [f.code for f in outline.findings]
    assert outline.region.area == pytest.approx(80 * (25.4 / 96) ** 2)
