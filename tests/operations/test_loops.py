from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from outline2path.errors import DrawingError
from outline2path.operations.loops import Loop
from tests.specimens import disc
from tests.strategies import numbers, polygons

SQUARE = Loop.of([(0, 0), (10, 0), (10, 10), (0, 10)])


@pytest.mark.parametrize(
    ("along", "place", "heading"),
    [(0, (0, 0), (1, 0)), (5, (5, 0), (1, 0)), (15, (10, 5), (0, 1)), (-5, (0, 5), (0, -1))],
)
def test_places_and_headings_follow_the_ring(along, place, heading):
    assert SQUARE.at(float(along)) == pytest.approx(place)  # float noise
    assert SQUARE.heading(float(along)) == pytest.approx(heading, abs=1e-12)


@settings(max_examples=50, deadline=None)
@given(polygons(), numbers(0, 300), numbers(0.01, 300))
def test_a_piece_is_as_long_as_asked(polygon, start, more):
    loop = Loop.of(polygon.exterior.coords)
    piece = shapely.LineString(loop.piece(start, start + more))
    assert piece.length == pytest.approx(more, rel=1e-9)  # float sums
    assert np.all(shapely.distance(shapely.points(piece.coords), polygon.exterior) < 1e-9)


@pytest.mark.parametrize("clockwise", [True, False])
def test_a_loop_turns_the_way_it_is_asked_to(clockwise):
    loop = Loop.of(SQUARE.points, clockwise=clockwise)
    assert (loop.area_mm2 < 0) == clockwise


def test_turning_counts_each_corner_once():
    total, net = SQUARE.turning(np.array([5.0, 0.0, 10.0]), 2.0)
    assert total == pytest.approx([0, math.pi / 2, math.pi / 2])
    assert net == pytest.approx(total)


@pytest.mark.parametrize("half", [1.0, 3.0, 7.0])
def test_turning_on_a_circle_is_length_over_radius(half):
    loop = Loop.of(disc(0, 0, 5).exterior.coords)  # clockwise, as shapely makes it
    total, net = loop.turning(np.array([0.0, 4.0, 30.0]), half)
    assert total == pytest.approx(2 * half / 5, abs=0.01)  # chords turn in steps of 0.003
    assert net == pytest.approx(-total)


def test_once_round_any_loop_turns_by_a_full_circle():
    loop = Loop.of([(0, 0), (9, 0), (9, 9), (6, 9), (6, 3), (0, 3)])
    _, net = loop.turning(np.array([2.0]), loop.length_mm / 2)
    assert net == pytest.approx(2 * math.pi)


def test_nearest_finds_the_distance_along():
    assert SQUARE.nearest(np.array([[4.0, -1.0], [11.0, 6.0]])) == pytest.approx([4, 16])


def test_points_that_coincide_make_no_loop():
    with pytest.raises(DrawingError, match="no length"):
        Loop.of([(1, 1), (1, 1), (1, 1)])
