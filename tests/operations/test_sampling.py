"""Places along edges: their spacing, what is across from them, and runs of neighbours."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.operations.sampling import places_along, runs_of
from tests import specimens
from tests.strategies import regions


def along(shape, step=0.5):
    return places_along(shapely.MultiPolygon(list(shapely.get_parts(shape))), step_mm=step)


@given(shape=regions(), step=st.floats(0.05, 5))
@settings(max_examples=30)
def test_places_lie_on_the_edges_and_stand_for_all_of_them(shape, step):
    places = along(shape, step)
    edges = shapely.MultiPolygon(list(shapely.get_parts(shape))).boundary
    assert places.lengths_mm.sum() == pytest.approx(edges.length, rel=1e-9)
    assert shapely.distance(shapely.points(places.points), edges).max() < 1e-9  # float noise
    assert places.lengths_mm.max() <= max(step, edges.length / 20_000) * (1 + 1e-9)


@given(shape=regions())
@settings(max_examples=30)
def test_the_inward_side_is_inside(shape):
    places = along(shape)
    nudged = places.points + 1e-4 * places.inward
    inside = shapely.contains_xy(shape, nudged[:, 0], nudged[:, 1])
    assert inside.mean() > 0.99  # needle tips are thinner than the nudge


@pytest.mark.parametrize("thick", [0.5, 1.0, 3.0])
@pytest.mark.parametrize("turn", [0, 30, 77])
def test_a_bar_is_as_thick_as_it_is(thick, turn):
    bar = shapely.affinity.rotate(shapely.box(0, 0, 30, thick), turn)
    found = along(bar).thickness(3.5)
    across = np.isfinite(found)
    assert found[across] == pytest.approx(np.full(across.sum(), thick))


def test_nothing_thicker_than_asked_is_looked_for():
    assert np.isinf(along(shapely.box(0, 0, 30, 3)).thickness(2.9)).all()


@pytest.mark.parametrize(("tip", "told"), [(30, True), (50, True), (70, False), (90, False)])
def test_only_tips_sharper_than_60_degrees_count_as_thin(tip, told):
    half = math.radians(tip / 2)
    ends = [(20 * math.cos(s * half), 20 * math.sin(s * half)) for s in (-1, 1)]
    places = along(shapely.Polygon([(0, 0), *ends]), step=0.1)
    near_tip = np.hypot(*places.points.T) < 5
    assert np.isfinite(places.thickness(1.0)[near_tip]).any() == told


def test_distances_are_those_to_the_nearest_line():
    places = along(specimens.disc(0, 0, 5))
    rings = [shapely.get_coordinates(specimens.disc(0, 0, r).exterior) for r in (3, 8)]
    assert places.distance(rings) == pytest.approx(np.full(len(places.points), 2), abs=1e-4)


@pytest.mark.parametrize(
    ("flags", "runs"),
    [
        ("0000", []),
        ("1111", [[0, 1, 2, 3]]),
        ("0110", [[1, 2]]),
        ("1001", [[3, 0]]),
        ("1010", [[0], [2]]),
        ("1101", [[3, 0, 1]]),
    ],
)
def test_runs_go_over_the_start_of_a_ring(flags, runs):
    found = runs_of(np.array(list(flags)) == "1", np.zeros(4, np.intp))
    assert [run.tolist() for run in found] == runs


def test_runs_do_not_go_from_ring_to_ring():
    found = runs_of(np.array([False, True, True, False]), np.array([0, 0, 1, 1]))
    assert [run.tolist() for run in found] == [[1], [2]]
