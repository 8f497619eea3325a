"""The widest disc that fits into unswept ground, against closed forms and a dense grid."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.proof.specks import widest_speck
from outline2path.proof.sweep import Sweep
from outline2path.proof.tracks import Nearest
from tests.strategies import numbers

T = 0.02
SURE = 0.1 * T * 2**0.5
"""Squares are quartered down to a tenth of T across; a width is twice a distance."""


def swept(lines, radius: float) -> Sweep:
    ends = np.array(lines, dtype=float)
    return Sweep([(Nearest(ends[:, 0], ends[:, 1]), radius)])


def rows(apart: float) -> list:
    return [[(0, y), (30, y)] for y in np.arange(0, 20, apart)]


@pytest.mark.parametrize("apart", [1.2, 1.99, 2.0, 2.01, 2.03, 2.5, 3.7])
def test_between_rows_as_much_stays_as_they_are_apart_beyond_a_diameter(apart):
    worst = widest_speck(shapely.box(1, 1, 29, 10), swept(rows(apart), 1.0), tolerance_mm=T)
    left = apart - 2
    assert worst.value == (pytest.approx(left, abs=SURE) if left > T else 0.0)


@pytest.mark.parametrize("apart", [1.40, 1.42, 1.45, 1.8])
def test_between_four_discs_stays_what_their_diagonal_leaves(apart):
    """Half the diagonal of a square of discs of radius 1, less that radius, on both sides."""
    discs = [[(x, y), (x, y)] for x in (0, apart) for y in (0, apart)]
    must = shapely.box(0, 0, apart, apart)
    left = apart * 2**0.5 - 2
    worst = widest_speck(must, swept(discs, 1.0), tolerance_mm=T)
    assert worst.value == (pytest.approx(left, abs=SURE) if left > T else 0.0)
    if worst.at_mm:
        assert worst.at_mm == pytest.approx((apart / 2, apart / 2), abs=SURE)


def test_where_nothing_was_swept_all_of_it_stays():
    worst = widest_speck(shapely.box(0, 0, 20, 6), Sweep([]), tolerance_mm=T)
    assert worst.value == pytest.approx(6, abs=0.01), "shapely finds the circle to a thousandth"


def test_nothing_stays_where_nothing_had_to_go():
    assert widest_speck(shapely.Polygon(), Sweep([]), tolerance_mm=T).value == 0


POINT = st.tuples(st.integers(0, 120), st.integers(0, 90)).map(lambda p: (p[0] / 10, p[1] / 10))


@given(st.lists(st.tuples(POINT, POINT), min_size=1, max_size=12), numbers(0.5, 2.5))
@settings(max_examples=40, deadline=None)
def test_the_widest_speck_is_what_a_dense_grid_finds(lines, radius):
    must = shapely.box(1, 1, 11, 8) - shapely.box(4, 3, 6, 5)
    x, y = np.meshgrid(np.linspace(1, 11, 201), np.linspace(1, 8, 141))
    inside = shapely.intersects_xy(must.buffer(0.001), x, y)
    path = shapely.MultiLineString([shapely.LineString(ends) for ends in lines])
    far = shapely.distance(path, shapely.points(x[inside], y[inside])).max() - radius
    worst = widest_speck(must, swept(lines, radius), tolerance_mm=T)
    # the grid's points lie no farther than 0.036 mm from any point
    assert max(2 * far, 0) - 2 * SURE <= max(worst.value, T)
    assert worst.value <= max(2 * (far + 0.036), T) + 1e-9
