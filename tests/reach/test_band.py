"""Bands held against distances measured edge by edge, and against closed forms."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.reach import band as band_module
from outline2path.reach.band import band, chords_for
from outline2path.reach.boundary import Boundary

SAGITTA = 0.001
ROUNDING = 1e-9  # mm; what float64 and a filling at twelve digits leave


def _rough(seed: int, count: int, *, wild: float) -> shapely.Polygon:
    """A star-shaped outline with spikes and shallow hollows, of edges long and short."""
    random = np.random.default_rng(seed)
    turn = 2 * np.pi * (np.arange(count) + random.uniform(0, 0.9, count)) / count
    radius = 10 * np.exp(wild * random.normal(size=count) * (random.uniform(size=count) < 0.4))
    return shapely.Polygon(np.column_stack([radius * np.cos(turn), radius * np.sin(turn)]))


def _whole(polygon, width, *, free_inside):
    boundary = Boundary.of(shapely.MultiPolygon([polygon]), free_inside=free_inside)
    every = np.ones(len(boundary.points), dtype=bool)
    return band(boundary, every, width, chords=chords_for(width, sagitta_mm=SAGITTA))


def _scattered(polygon, margin):
    x0, y0, x1, y1 = polygon.bounds
    where = np.random.default_rng(0).uniform(-margin, 1 + margin, (4000, 2))
    return shapely.points(np.array([x0, y0]) + where * np.array([x1 - x0, y1 - y0]))


def _agrees_with_distances(polygon, width, *, free_inside):
    """Distances come from shapely's own search, which knows of no strips."""
    points = _scattered(polygon, 0.5)
    points = points[shapely.contains(polygon, points) == free_inside]
    away = shapely.distance(points, polygon.exterior)
    grown = _whole(polygon, width, free_inside=free_inside)
    inside = shapely.distance(points, grown) <= ROUNDING
    missed = away[~inside].min(initial=math.inf)
    return missed >= width - SAGITTA and away[inside].max(initial=0.0) <= width + ROUNDING


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    count=st.integers(3, 150),
    wild=st.sampled_from([0.0, 0.02, 0.1, 0.4]),
    width=st.floats(0.05, 12),
    free_inside=st.booleans(),
)
def test_a_band_is_all_that_lies_within_its_width_on_the_free_side(
    seed, count, wild, width, free_inside
):
    assert _agrees_with_distances(_rough(seed, count, wild=wild), width, free_inside=free_inside)


@pytest.mark.parametrize("most", [1, 2, 5, 40, 1000])
@pytest.mark.parametrize("seed", [5, 6, 7])
def test_bands_do_not_depend_on_how_many_edges_a_strip_has(most, seed, monkeypatch):
    """One strip of seed 7 is taken to run the other way round by the filling, and told."""
    monkeypatch.setattr(band_module, "MOST_EDGES", most)
    assert _agrees_with_distances(_rough(seed, 120, wild=0.1), 3.0, free_inside=False)


@pytest.mark.parametrize("sides", [3, 4, 7, 60, 3000])
@pytest.mark.parametrize("width", [0.5, 3.0])
def test_the_band_round_a_convex_outline_has_steiners_area(sides, width):
    """Steiner 1840: perimeter times width, and a whole disc for the corners."""
    turn = 2 * np.pi * np.arange(sides) / sides
    polygon = shapely.Polygon(np.column_stack([5 * np.cos(turn), 5 * np.sin(turn)]))
    grown = _whole(polygon, width, free_inside=False).difference(polygon)
    steiner = polygon.length * width + math.pi * width**2
    assert grown.area == pytest.approx(steiner, abs=2 * math.pi * width * SAGITTA)


@pytest.mark.parametrize("turned", [3, 12, 50, 90, 140])
def test_even_turns_enclose_as_much_as_the_circle(turned):
    """The area of a sector is half the angle times the radius squared."""
    angle = math.radians(turned / 2)
    thin = shapely.Polygon([(0, 0), (50, -50 * math.tan(angle)), (50, 50 * math.tan(angle))])
    boundary = Boundary.of(shapely.MultiPolygon([thin]), free_inside=False)
    every = np.ones(len(boundary.points), dtype=bool)
    grown = band(boundary, every, 2.0, chords=8, even=True)
    over, aside = 9 * math.cos(angle), 9 * math.sin(angle)
    tip = shapely.Polygon([(0, 0), (-aside, over), (-9, 0), (-aside, -over)])
    sector = (math.pi - 2 * angle) / 2 * 2.0**2
    # strips are a little wider, so beside the turn no more than a chord's share is gained
    assert grown.intersection(tip).area == pytest.approx(sector, rel=0.002)


def test_no_edges_have_no_band():
    boundary = Boundary.of(shapely.MultiPolygon([shapely.box(0, 0, 9, 9)]), free_inside=True)
    assert band(boundary, np.zeros(4, dtype=bool), 1.0, chords=8).is_empty
