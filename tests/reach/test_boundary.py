"""The boundary as arrays: chains, sides, turns and exact distances."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.reach.boundary import Boundary
from tests import specimens, strategies


def boundary(region, *, free_inside=False):
    return Boundary.of(shapely.multipolygons(shapely.get_parts(region)), free_inside=free_inside)


@pytest.mark.parametrize("name", specimens.ALL)
@pytest.mark.parametrize("free_inside", [False, True])
def test_chains_close_and_lengths_add_up(name, free_inside):
    region = specimens.ALL[name]
    edges = boundary(region, free_inside=free_inside)
    assert (edges.before[edges.after] == np.arange(len(edges.points))).all()
    assert edges.length_mm.sum() == pytest.approx(region.length)
    assert (edges.ring[edges.after] == edges.ring).all()


@pytest.mark.parametrize("name", specimens.ALL)
@pytest.mark.parametrize("free_inside", [False, True])
def test_the_free_side_lies_on_the_left(name, free_inside):
    region = specimens.ALL[name]
    edges = boundary(region, free_inside=free_inside)
    left = np.column_stack([-edges.direction[:, 1], edges.direction[:, 0]])
    middle = (edges.points + edges.points[edges.after]) / 2 + 0.0001 * left
    assert (shapely.contains_xy(region, *middle.T) == free_inside).all()


@pytest.mark.parametrize("name", specimens.ALL)
def test_each_ring_turns_once_round(name):
    edges = boundary(specimens.ALL[name], free_inside=True)
    rings = np.bincount(edges.ring, weights=edges.turn)
    assert np.abs(rings) == pytest.approx(2 * np.pi)


@pytest.mark.parametrize(("free_inside", "poking"), [(False, 5), (True, 5)])
def test_a_star_pokes_out_with_its_tips_and_in_with_its_notches(free_inside, poking):
    assert boundary(specimens.pentagram(9), free_inside=free_inside).pokes.sum() == poking


def test_repeated_points_are_dropped():
    square = shapely.Polygon([(0, 0), (4, 0), (4, 0), (4, 4), (0, 4), (0, 0)])
    assert len(boundary(square).points) == 4


@settings(max_examples=30, deadline=None)
@given(strategies.regions(), st.lists(st.tuples(*[st.floats(-90, 90)] * 2), min_size=1))
def test_distances_are_those_of_shapely(region, places):
    points = np.array(places)
    expected = shapely.distance(region.boundary, shapely.points(points))
    away, nearest = boundary(region).nearest(points)
    assert away == pytest.approx(expected, abs=0.0000001)
    assert np.hypot(*(points - nearest).T) == pytest.approx(expected, abs=0.0000001)


def test_no_points_have_no_distances():
    edges = boundary(specimens.square(4))
    assert edges.distance_mm(np.zeros((0, 2))).shape == (0,)


def test_arcs_go_the_shorter_way_and_never_between_rings():
    edges = boundary(specimens.square(10) - shapely.box(4, 4, 6, 6), free_inside=True)
    first = np.flatnonzero(edges.ring == 0)
    other = np.flatnonzero(edges.ring == 1)
    p, q = first[:1], edges.before[first[:1]]
    assert edges.arc_mm(p, edges.points[p], q, edges.points[q]) == pytest.approx(10)
    assert np.isinf(edges.arc_mm(p, edges.points[p], other[:1], edges.points[other[:1]]))
