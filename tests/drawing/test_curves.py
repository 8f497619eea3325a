"""Curves: one table of segments, and its exact image under a matrix."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from outline2path.drawing.curves import (
    ARC,
    CUBIC,
    LINE,
    Curves,
    circle_rows,
    join_curves,
    transform_rows,
)
from outline2path.drawing.figures import Figure
from outline2path.drawing.flatten import Bends, flatten
from outline2path.drawing.lines import curve_bounds, hull_bounds, polylines
from outline2path.drawing.pathdata import parse_path
from tests.strategies import numbers

MIXED = "M1 2L5 3C7 9 2 8 4 1A3 2 30 1 0 6 6Q9 9 2 7Z M8 8h2v3"
figures = numbers(-3, 3).map(lambda x: round(x, 3))
matrices = st.tuples(*[figures] * 6)


def points_at(rows: np.ndarray, t: float) -> np.ndarray:
    """Points of every curved segment at one parameter, shape (n, 2)."""
    curved = rows[rows[:, 0] != LINE]
    at = Bends.of(curved).at(np.arange(len(curved)), np.full(len(curved), t))
    return np.column_stack([at.real, at.imag])


@given(matrices, st.sampled_from([0.0, 0.2, 0.5, 0.9, 1.0]))
def test_the_image_of_a_curve_is_the_curve_of_the_image(matrix, t):
    a, b, c, d, e, f = matrix
    rows = parse_path(MIXED)[0].rows
    moved = transform_rows(rows, np.array(matrix))
    x, y = points_at(rows, t).T
    wanted = np.column_stack([a * x + c * y + e, b * x + d * y + f])
    assert points_at(moved, t) == pytest.approx(wanted, abs=1e-9)


@given(matrices, matrices)
def test_one_matrix_a_row_moves_each_row_by_its_own(first, second):
    rows = parse_path(MIXED)[0].rows
    each = np.array([first, second] * len(rows))[: len(rows)]
    both = [transform_rows(rows, np.array(m)) for m in (first, second)]
    wanted = np.where(np.arange(len(rows))[:, None] % 2, both[1], both[0])
    assert transform_rows(rows, each) == pytest.approx(wanted)


@given(figures, figures, figures, figures)
def test_scaling_along_the_axes_is_a_matrix_like_any_other(sx, sy, dx, dy):
    """The same matrix for each row, which is the general way."""
    rows = parse_path(MIXED)[0].rows
    matrix = np.array([sx, 0.0, 0.0, sy, dx, dy])
    moved = transform_rows(rows, matrix)
    assert moved == pytest.approx(transform_rows(rows, np.tile(matrix, (len(rows), 1))))
    assert moved[rows[:, 0] == ARC, 11:].tolist() == rows[rows[:, 0] == ARC, 11:].tolist()


@pytest.mark.parametrize(("rx", "ry"), [(5, 5), (5, 2), (0.1, 9)])
def test_an_ellipse_is_four_quarter_arcs_that_meet(rx, ry):
    rows = np.array(circle_rows(3, 4, rx, ry))
    assert (rows[:, 0] == ARC).all()
    assert rows[:, 1:3] == pytest.approx(np.roll(rows[:, 7:9], 1, axis=0))
    for t in (0.0, 0.3, 1.0):
        x, y = ((points_at(rows, t) - [3, 4]) / [rx, ry]).T
        assert np.hypot(x, y) == pytest.approx(1.0)
    assert rows[:, 12].sum() == pytest.approx(2 * math.pi)


def test_joined_curves_keep_their_sub_paths():
    parts = [parse_path(d)[0] for d in ("M0 0h1v1z", "M5 5h1", MIXED)]
    joined = join_curves(parts)
    assert joined.firsts.tolist() == [0, 3, 4, 9]
    assert joined.closed.tolist() == [True, False, True, False]
    assert joined.counts.tolist() == [3, 1, 5, 2]
    assert join_curves(parts[:1]) is parts[0]


def test_nothing_joins_to_nothing():
    empty = join_curves([])
    assert (len(empty.rows), len(empty.firsts), empty.rows.shape[1]) == (0, 0, 13)


@pytest.mark.parametrize(
    ("points", "closed", "segments"),
    [
        ([(0, 0), (1, 0), (1, 1)], False, 2),
        ([(0, 0), (1, 0), (1, 1)], True, 3),
        ([(0, 0), (1, 0), (1, 1), (0, 0)], True, 3),
        ([(0, 0)], False, 0),
        ([(0, 0)], True, 0),
        ([], True, 0),
    ],
)
def test_points_make_straight_segments(points, closed, segments):
    curves = Curves.from_points(points, closed=closed)
    assert len(curves.rows) == segments
    assert len(curves.firsts) == (1 if segments else 0)
    assert curves.finite


def test_numbers_that_are_not_finite_are_seen():
    assert not Curves.from_points([(0, 0), (math.nan, 1)], closed=False).finite


@pytest.mark.parametrize(
    ("d", "bounds"),
    [
        # Extreme points by hand: a cubic's where its derivative is 0, an arc's at its axes.
        ("M0 0C0 4 4 4 4 0", (0, 0, 4, 3)),
        ("M0 0Q2 4 4 0", (0, 0, 4, 2)),
        ("M-5 0A5 5 0 0 1 5 0", (-5, -5, 5, 0)),
        ("M-5 0A5 3 0 0 0 5 0", (-5, 0, 5, 3)),
        ("M1 2L4 9", (1, 2, 4, 9)),
    ],
)
def test_bounds_of_curves_are_exact(d, bounds):
    found = curve_bounds([Figure(curves=parse_path(d)[0])])
    assert found[0] == pytest.approx(bounds, abs=1e-8)


def test_bounds_hold_both_turns_of_a_curve_that_doubles_back():
    found = curve_bounds([Figure(curves=parse_path("M0 0C3 0-2 0 1 0")[0])])[0]
    t = np.linspace(0, 1, 200001)
    x = 9 * (1 - t) ** 2 * t - 6 * (1 - t) * t**2 + t**3
    assert found == pytest.approx([x.min(), 0, x.max(), 0], abs=1e-8)  # steps of 5e-6, squared


coordinates = st.tuples(figures, figures)


@given(st.lists(coordinates, min_size=4, max_size=4), matrices)
def test_no_curve_leaves_the_bounds_of_its_hull(controls, matrix):
    d = "M{} {}C{} {} {} {} {} {}".format(*[x for p in controls for x in p])
    figure = Figure(curves=parse_path(d)[0], matrix=matrix)
    hull, exact = hull_bounds([figure])[0], curve_bounds([figure])[0]
    assert (hull[:2] <= exact[:2] + 1e-9).all()
    assert (hull[2:] >= exact[2:] - 1e-9).all()


def test_the_hull_of_an_arc_holds_its_whole_ellipse():
    figure = Figure(curves=parse_path("M5 0A5 3 0 0 1 0 3")[0])
    assert hull_bounds([figure])[0] == pytest.approx([-5, -3, 5, 3])


@given(numbers(0.001, 0.5))
def test_flattened_lines_start_and_end_where_the_curves_do(tolerance):
    curves = parse_path(MIXED)[0]
    lines = polylines([Figure(curves=curves)], (1, 0, 0, 1, 0, 0), tolerance)[0]
    assert [closed for _, closed in lines] == [True, False]
    assert lines[0][0][0].tolist() == lines[0][0][-1].tolist() == [1, 2]
    assert lines[1][0].tolist() == [[8, 8], [10, 8], [10, 11]]


def test_flattening_keeps_straight_segments_as_they_are():
    rows = parse_path("M0 0L3 4L9 1")[0].rows
    points, counts = flatten(rows, 0.01)
    assert points.tolist() == [[0, 0], [3, 4]]
    assert counts.tolist() == [1, 1]


def test_figures_are_flattened_under_their_own_matrices_in_one_pass():
    square = Curves.from_points([(0, 0), (1, 0), (1, 1), (0, 1)], closed=True)
    figures = [Figure(curves=square, matrix=(k, 0, 0, k, 0, 0)) for k in (1.0, 2.0, 3.0)]
    found = polylines(figures, (10, 0, 0, 10, 0, 0), 0.01)
    assert [shapely.Polygon(parts[0][0]).area for parts in found] == [100, 400, 900]


def test_kinds_are_told_apart_by_their_number():
    kinds = parse_path("M0 0L1 1C1 2 3 4 5 6A1 1 0 0 0 7 7")[0].rows[:, 0]
    assert kinds.tolist() == [LINE, CUBIC, ARC]
