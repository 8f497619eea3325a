"""What is swept, measured cheaply along lines and exactly where it matters."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.proof.body import Body
from outline2path.proof.sweep import Sweep, sweep_at
from outline2path.proof.tracks import Nearest, Pieces
from outline2path.shop.cutter import Cutter
from tests.strategies import numbers

POINT = st.tuples(st.integers(-90, 90), st.integers(-90, 90)).map(lambda p: (p[0] / 7, p[1] / 7))
LINE = st.lists(POINT, min_size=2, max_size=30)


def path(points) -> Nearest:
    xy = np.array(points, dtype=float)
    return Nearest(xy[:-1], xy[1:])


@given(LINE, LINE)
@settings(max_examples=60, deadline=None)
def test_a_guess_is_a_distance_to_some_piece_and_never_too_small(points, asked):
    line, spots = path(points), np.array(asked)
    guess, feet = line.guess(spots)
    assert (guess >= line.distance(spots) - 1e-9).all()
    assert np.hypot(*(spots - feet).T) == pytest.approx(guess, abs=1e-12)
    on = shapely.distance(shapely.LineString(points), shapely.points(feet))
    assert on.max() == pytest.approx(0, abs=1e-9)


@given(LINE, numbers(0.1, 3), st.integers(2, 900))
@settings(max_examples=60, deadline=None)
def test_the_farthest_of_many_points_is_found_exactly(points, radius, count):
    """Independent: shapely's distance from every point."""
    swept = Sweep([(path(points), radius)])
    angle = np.linspace(0, 6, count)
    spots = np.column_stack([angle * np.cos(3 * angle), angle * np.sin(3 * angle)])
    true = shapely.distance(shapely.LineString(points), shapely.points(spots)) - radius
    about = swept.about(spots)
    assert about.max() == pytest.approx(true.max(), abs=1e-9)
    assert (about >= true - 1e-9).all()


@given(LINE, LINE, numbers(0.1, 3))
@settings(max_examples=60, deadline=None)
def test_where_one_disc_is_said_to_hold_two_points_it_does(points, asked, radius):
    swept = Sweep([(path(points), radius)])
    a, b = np.array(asked[:-1]), np.array(asked[1:])
    short, beyond = swept.reach(a, b, enough_mm=0.0)
    held = np.maximum(short, beyond) <= 0
    true = swept.short(a)
    assert short[~held] == pytest.approx(true[~held], abs=1e-9)
    middle = swept.short((a + b)[held] / 2)
    assert (middle <= 1e-9).all()


@pytest.mark.parametrize(("at", "radius"), [(-2.0, None), (-1.0, 1.0), (0.0, 2.0), (1.5, 3.0)])
def test_a_cone_sweeps_its_radius_at_the_height(at, radius):
    run = Pieces(np.array([[0.0, 0, -2]]), np.array([[9.0, 0, -2]]), np.array([0]))
    swept = sweep_at(at, [(run, Body(Cutter(6.0, shape="v", angle=90)))])
    wide = [part[1] for part in swept.parts]
    assert wide == pytest.approx([radius] if radius else [], abs=1e-12), "a tangent's last digit"


def test_what_several_bodies_swept_is_the_union_of_it():
    """Independent: shapely's union of two buffers, in area, to the chords of round ends."""
    a = Pieces(np.array([[0.0, 0, -2]]), np.array([[9.0, 0, -2]]), np.array([0]))
    b = Pieces(np.array([[4.0, -5, -3]]), np.array([[4.0, 5, -3]]), np.array([-1]))
    swept = sweep_at(-2.0, [(a, Body(Cutter(3.0))), (b, Body(Cutter(6.0)))])
    lines = [shapely.LineString([(0, 0), (9, 0)]), shapely.LineString([(4, -5), (4, 5)])]
    union = shapely.union_all(
        [line.buffer(r, quad_segs=64) for line, r in zip(lines, (1.5, 3), strict=True)]
    )
    assert swept.ground().area == pytest.approx(union.area, rel=0.0005)
    assert (swept.row_near((9.0, 1.0)), swept.row_near((4.0, 7.0))) == (0, None)
