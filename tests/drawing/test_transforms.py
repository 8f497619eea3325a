"""Transform lists against svgelements' matrices and shapely's affine maps."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from svgelements import Matrix

from outline2path.drawing.lengths import Basis
from outline2path.drawing.transforms import (
    IDENTITY,
    apply,
    compose,
    greatest_scale,
    invert,
    parse_transform,
)
from tests.strategies import numbers

figures = numbers(-5, 5).map(lambda x: round(x, 3))
matrices = st.tuples(*[figures] * 6)
points = st.tuples(figures, figures)

LISTS = [
    "translate(10 20)",
    "translate(10,20)",
    "translate(10)",
    "scale(2)",
    "scale(2,-3)",
    "rotate(30)",
    "rotate(30 5 7)",
    "rotate(-450, 1, 2)",
    "skewX(20)",
    "skewY(-10)",
    "matrix(1 2 3 4 5 6)",
    "matrix(1,2,3,4,5,6)",
    "translate(1 2) scale(3) rotate(45)",
    "translate(1 2),scale(3)",
    "translate(1 2)scale(3)",
    " scale( 1e1 , .5 ) ",
    "translate(-1-2)",
    "translate(.5.5)".replace(".5.5", ".5 .5"),
]


@pytest.mark.parametrize("text", LISTS)
def test_a_list_gives_the_matrix_of_another_parser(text):
    theirs = Matrix(text)
    wanted = (theirs.a, theirs.b, theirs.c, theirs.d, theirs.e, theirs.f)
    assert parse_transform(text) == pytest.approx(wanted, abs=1e-9)  # it rounds to 12 digits


# CSS Transforms 1 and SVG 2 section 8.5 (from memory); angles and lengths with units.
STYLED = [
    ("rotate(90deg)", (0, 1, -1, 0, 0, 0)),
    ("rotate(100grad)", (0, 1, -1, 0, 0, 0)),
    ("rotate(0.25turn)", (0, 1, -1, 0, 0, 0)),
    (f"rotate({math.pi / 2}rad)", (0, 1, -1, 0, 0, 0)),
    ("translate(1in, 25.4mm)", (1, 0, 0, 1, 96, 96)),
    ("translate(50%, 50%)", (1, 0, 0, 1, 100, 40)),
    ("translateX(3px)", (1, 0, 0, 1, 3, 0)),
    ("translateY(3px)", (1, 0, 0, 1, 0, 3)),
    ("scaleX(2)", (2, 0, 0, 1, 0, 0)),
    ("scaleY(2)", (1, 0, 0, 2, 0, 0)),
    ("scale(50%)", (0.5, 0, 0, 0.5, 0, 0)),
    ("skew(45deg)", (1, 0, 1, 1, 0, 0)),
    ("skew(0, 45deg)", (1, 1, 0, 1, 0, 0)),
    ("TRANSLATE(1px)", (1, 0, 0, 1, 1, 0)),
    ("none", IDENTITY),
    ("", IDENTITY),
]


@pytest.mark.parametrize(("text", "matrix"), STYLED)
def test_a_list_in_a_style_is_read_with_its_units(text, matrix):
    basis = Basis(width=200, height=80)
    assert parse_transform(text, basis=basis) == pytest.approx(matrix, abs=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        "rotate(a)",
        "rotate()",
        "rotate(1 2)",
        "scale(1 2 3)",
        "matrix(1 2 3 4 5)",
        "translate(1 2",
        "translate 1 2",
        "translate(1 2) foo",
        "turn(90)",
        "scale(1e999)",
        "translate(3 parsec)",
        "rotate(x 45deg)",
        "translate(((1)))",
        "translate3d(1px, 2px, 3px)",
    ],
)
def test_a_list_with_a_fault_anywhere_is_none(text):
    assert parse_transform(text) is None


@given(matrices, matrices, points)
def test_composing_applies_the_inner_matrix_first(outer, inner, point):
    one = apply(compose(outer, inner), *point)
    assert one == pytest.approx(apply(outer, *apply(inner, *point)), abs=1e-9)


@given(matrices, points)
def test_a_point_goes_where_shapely_sends_it(matrix, point):
    a, b, c, d, e, f = matrix
    theirs = shapely.affinity.affine_transform(shapely.Point(point), [a, c, b, d, e, f])
    assert apply(matrix, *point) == pytest.approx((theirs.x, theirs.y), abs=1e-12)


@given(matrices, points)
def test_an_inverse_brings_a_point_back(matrix, point):
    back = invert(matrix)
    if back is None:
        assert matrix[0] * matrix[3] == matrix[1] * matrix[2]
    elif abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]) > 0.01:
        assert apply(back, *apply(matrix, *point)) == pytest.approx(point, abs=1e-6)


@pytest.mark.parametrize("flat", [(0, 0, 0, 0, 1, 2), (1, 2, 2, 4, 0, 0), (math.inf,) * 6])
def test_a_matrix_that_squeezes_the_plane_flat_has_no_inverse(flat):
    assert invert(flat) is None


@given(matrices)
def test_the_greatest_scale_is_the_largest_singular_value(matrix):
    a, b, c, d = matrix[:4]
    wanted = np.linalg.svd(np.array([[a, c], [b, d]]), compute_uv=False)[0]
    assert greatest_scale(matrix) == pytest.approx(wanted, abs=1e-9)
