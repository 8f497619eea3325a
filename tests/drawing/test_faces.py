"""Faces: the area of crossing rings, whichever way it is found."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing import faces
from outline2path.drawing.faces import crossed_area, winding_numbers
from outline2path.drawing.fillrule import filled_area
from outline2path.errors import DrawingError
from tests.strategies import numbers

scribbles = st.lists(
    st.tuples(numbers(0, 50), numbers(0, 50)), min_size=3, max_size=10, unique=True
).map(lambda points: np.array([*points, points[0]]))
rules = st.sampled_from(["nonzero", "evenodd"])
SQUARE = np.array([[0, 0], [10, 0], [10, 10], [0, 10], [0, 0.0]])


@given(st.lists(scribbles, min_size=1, max_size=3), rules)
def test_each_ring_alone_fills_what_it_fills_without_the_others(rings, rule):
    found = crossed_area(rings, rule)
    wanted = [filled_area([ring], rule).area for ring in rings]
    assert found.alone == pytest.approx(wanted, abs=1e-6)  # of thousands of mm2


@settings(max_examples=40)
@given(st.lists(scribbles, min_size=1, max_size=3), rules)
def test_edge_by_edge_the_area_is_the_same_as_ring_by_ring(rings, rule):
    """Long shapes are cut edge by edge, those drawn again and again once only."""
    with pytest.MonkeyPatch.context() as patch:
        quick = crossed_area(rings, rule)
        patch.setattr(faces, "_LONG", 0)
        careful = crossed_area(rings, rule)
    assert careful.alone is None or careful.area.is_empty
    assert quick.area.symmetric_difference(careful.area).area < 1e-6


@settings(max_examples=40)
@given(scribbles, st.lists(st.tuples(numbers(-5, 55), numbers(-5, 55)), min_size=1, max_size=20))
def test_a_tree_finds_the_winding_that_looking_at_every_edge_finds(ring, points):
    edges, xy = np.hstack([ring[:-1], ring[1:]]), np.array(points)
    with pytest.MonkeyPatch.context() as patch:
        every = winding_numbers(edges, xy)
        patch.setattr(faces, "_FEW", 0)
        patch.setattr(faces, "_CHUNK", 3)
        assert winding_numbers(edges, xy).tolist() == every.tolist()


@pytest.mark.parametrize(("times", "winding"), [(1, 1), (2, 2), (5, 5)])
def test_a_ring_walked_again_and_again_winds_as_often(times, winding):
    edges = np.vstack([np.hstack([SQUARE[:-1], SQUARE[1:]])] * times)
    inside, outside = winding_numbers(edges, np.array([[5.0, 5.0], [15.0, 5.0]]))
    assert (inside, outside) == (winding, 0)
    assert crossed_area([SQUARE] * times, "nonzero").area.area == 100
    assert crossed_area([SQUARE] * times, "evenodd").area.area == 100 * (times % 2)


def test_rings_that_only_touch_keep_the_point_where_they_do():
    corner = np.add(SQUARE, [10, 10])
    area = crossed_area([SQUARE, corner], "nonzero").area
    assert area.is_valid
    assert (len(area.geoms), area.area) == (2, 200)


def test_what_holds_no_face_fills_nothing():
    there_and_back = np.array([[0, 0], [5, 0], [9, 0], [5, 0], [0, 0.0]])
    found = crossed_area([there_and_back], "nonzero")
    assert found.area.is_empty
    assert found.alone.tolist() == [0]


def test_a_long_ring_beside_itself_is_no_tangle_but_a_scribble_is():
    """A comb of 3000 teeth: every edge spans it in one direction, none meets another."""
    x = np.repeat(np.arange(3000), 2).astype(float)
    comb = np.column_stack([x, np.tile([0.0, 50, 50, 0], 1500)])
    bow = np.array([[0, -5], [3000, -9], [3000, -5], [0, -9], [0, -5.0]])
    comb = np.vstack([comb, [2999, -2], [0, -2], comb[:1]])
    area = crossed_area([comb, bow], "nonzero").area
    assert area.area == pytest.approx(1500 * 50 + 2 * 2999 + 3000 * 2)
    tangle = np.random.default_rng(2).uniform(0, 100, (3000, 2))
    with pytest.raises(DrawingError, match="crosses itself about"):
        crossed_area([np.vstack([tangle, tangle[:1]])], "nonzero")


@given(st.integers(2, 60), st.integers(1, 40))
def test_pairs_of_spans_that_meet_are_counted(count, wide):
    low = np.arange(count, dtype=float)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(faces, "_MOST_MEETINGS", 0)
        found = faces._side_by_side(low, low + wide)
    assert found == sum(min(wide, count - 1 - k) for k in range(count))


def test_faces_of_a_shape_are_polygons_counter_clockwise():
    bow = np.array([[0, 0], [4, 4], [4, 0], [0, 4], [0, 0.0]])
    area = crossed_area([bow, np.add(SQUARE, [20, 0])], "evenodd").area
    assert all(part.exterior.is_ccw for part in area.geoms)
    assert shapely.is_valid(area)
    assert area.area == pytest.approx(8 + 100)
