"""Flattening: inside the bound, on the curve, with few points, with exact bounds."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from outline2path.drawing.curves import Curves, circle_rows, transform_rows
from outline2path.drawing.flatten import Bends, flatten
from outline2path.drawing.outline import Outline
from outline2path.drawing.pathdata import parse_path
from outline2path.errors import DrawingError
from tests.strategies import numbers

CUBIC = "M0 0C0 10 10 10 10 0"


def chords(d, tolerance):
    rows = parse_path(d)[0].rows
    points, _ = flatten(rows, tolerance)
    return np.concatenate([points, rows[-1:, 7:9]])


def farthest(rows, line):
    """Greatest distance from dense points on the curves to the chords."""
    t = np.tile(np.linspace(0, 1, 400), len(rows))
    owner = np.repeat(np.arange(len(rows)), 400)
    z = Bends.of(rows).at(owner, t)
    return shapely.distance(shapely.points(z.real, z.imag), shapely.LineString(line)).max()


# Worked example W8: chords of a circle with vertices on it; the extreme points are kept, so the
# number is the next multiple of four.
CHORDS = [(10, 0.01, 71), (10, 0.001, 223), (1, 0.01, 23), (100, 0.01, 223), (3.175, 0.005, 56)]


@pytest.mark.parametrize(("radius", "tolerance", "least"), CHORDS)
def test_a_circle_takes_the_least_chords(radius, tolerance, least):
    points, _ = flatten(np.array(circle_rows(0, 0, radius, radius)), tolerance)
    assert len(points) == 4 * math.ceil(least / 4)


@pytest.mark.parametrize(("tolerance", "uniform"), [(0.1, 11), (0.01, 33), (0.001, 103)])
def test_a_cubic_takes_fewer_chords_than_equal_steps_need(tolerance, uniform):
    """Worked example W8b: the uniform count of Wang's bound."""
    line = chords(CUBIC, tolerance)
    assert len(line) - 1 <= uniform
    assert farthest(parse_path(CUBIC)[0].rows, line) <= tolerance


def test_a_fine_cubic_has_the_length_and_area_of_the_worked_example():
    """W8b: length exactly 20, area over the chord exactly 60."""
    line = shapely.LineString(chords(CUBIC, 1e-6))
    assert line.length == pytest.approx(20, abs=1e-4)  # chords are shorter
    assert shapely.Polygon(line).area == pytest.approx(60, abs=1e-4)


point = st.tuples(numbers(-50, 50), numbers(-50, 50))
curves = st.one_of(
    st.builds("M{0[0]} {0[1]}C{1[0]} {1[1]} {2[0]} {2[1]} {3[0]} {3[1]}".format, *[point] * 4),
    st.builds("M{0[0]} {0[1]}A{1} {2} {3} {4} 1 {5[0]} {5[1]}".format,
              point, numbers(1, 60), numbers(1, 60), numbers(0, 180), st.sampled_from([0, 1]),
              point),
)  # fmt: skip


@given(curves, st.sampled_from([0.5, 0.02, 0.002]))
def test_no_curve_is_farther_from_its_chords_than_the_bound(d, tolerance):
    rows = parse_path(d)[0].rows
    if len(rows):
        assert farthest(rows, chords(d, tolerance)) <= tolerance * (1 + 1e-9)  # float noise


@given(curves, st.tuples(*[numbers(-3, 3)] * 4))
def test_the_bound_holds_under_any_matrix(d, linear):
    matrix = np.array([*linear, 7.0, -3.0])
    rows = transform_rows(parse_path(d)[0].rows, matrix)
    if len(rows):
        points, _ = flatten(rows, 0.01)
        line = np.concatenate([points, rows[-1:, 7:9]])
        assert farthest(rows, line) <= 0.01 * (1 + 1e-9)  # float noise


@given(curves, st.tuples(*[numbers(-3, 3)] * 4))
def test_a_segment_moved_by_a_matrix_passes_through_the_moved_points(d, linear):
    a, b, c, e = linear
    rows = parse_path(d)[0].rows
    moved = transform_rows(rows, np.array([a, b, c, e, 7.0, -3.0]))
    t, owner = np.linspace(0, 1, 9), np.zeros(9, dtype=int)
    if len(rows):
        z = Bends.of(rows).at(owner, t)
        wanted = (a * z.real + c * z.imag + 7) + 1j * (b * z.real + e * z.imag - 3)
        assert np.allclose(Bends.of(moved).at(owner, t), wanted, atol=1e-9)


@given(numbers(0, 360), numbers(2, 40), numbers(2, 40))
def test_bounds_of_a_turned_ellipse_are_exact(turn, rx, ry):
    """Half width sqrt((rx cos)^2 + (ry sin)^2), elementary."""
    d = f"M{rx} 0A{rx} {ry} 0 1 1 {-rx} 0A{rx} {ry} 0 1 1 {rx} 0Z"
    wide = Outline.from_path(d).rotate(turn).size_mm[0]
    t = math.radians(turn)
    half = math.hypot(rx * math.cos(t), ry * math.sin(t))
    assert wide == pytest.approx(2 * half, abs=1e-9)


def test_scaling_up_does_not_scale_the_error_up():
    disc = Outline.from_path("M1 0A1 1 0 1 1 -1 0A1 1 0 1 1 1 0Z")
    large = disc.fit(width="1 m").region
    lost = math.pi * 500**2 - large.area
    assert 0 <= lost < 2 * math.pi * 500 * 0.002  # within 2 micrometres all the way round
    assert len(disc.region.geoms[0].exterior.coords) < 200


def test_a_curve_that_needs_millions_of_points_is_refused():
    rows = np.array(circle_rows(0, 0, 1e12, 1e12) * 20)
    with pytest.raises(DrawingError, match="points are needed"):
        flatten(rows, 1e-9)


def test_curves_are_points_and_flags():
    square = Curves.from_points([[0, 0], [1, 0], [1, 1]], closed=True)
    assert square.counts.tolist() == [3]
    assert square.finite
