"""Samples and triangles: dense where edges face one another, bounded in number, never failing."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from outline2path.reach.boundary import Boundary
from outline2path.reach.mesh import sample
from tests import specimens, strategies


def meshed(region):
    edges = Boundary.of(shapely.multipolygons(shapely.get_parts(region)), free_inside=False)
    return edges, sample(edges, finest_mm=0.01)


@pytest.mark.parametrize("name", specimens.ALL)
def test_samples_lie_on_their_edges_and_follow_one_another(name):
    edges, mesh = meshed(specimens.ALL[name])
    assert edges.distance_mm(mesh.xy).max() < 0.0000001
    feet = edges.foot(mesh.upper, mesh.xy)
    assert np.abs(feet - mesh.xy).max() < 0.0000001
    piece = np.hypot(*(mesh.xy[mesh.onward] - mesh.xy).T)
    assert piece.sum() == pytest.approx(edges.length_mm.sum())
    assert np.sort(mesh.onward).tolist() == list(range(len(mesh.xy)))


@pytest.mark.parametrize("name", specimens.ALL)
def test_triangles_cover_the_convex_hull_once(name):
    region = specimens.ALL[name]
    _, mesh = meshed(region)
    a, b, c = np.moveaxis(mesh.xy[mesh.triangles], 1, 0)
    area = np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]).sum() / 2
    assert area == pytest.approx(region.convex_hull.area, rel=0.0001)  # points are shaken


def test_links_go_both_ways_and_name_no_pair_twice():
    _, mesh = meshed(specimens.comb())
    pairs = set(zip(*(ends.tolist() for ends in mesh.links), strict=True))
    assert len(pairs) == len(mesh.links[0])
    assert all((q, p) in pairs for p, q in pairs)


def test_samples_are_denser_where_walls_are_close():
    pair = shapely.MultiPolygon([shapely.box(0, 0, 60, 20), shapely.box(0, 20.1, 60, 40)])
    _, mesh = meshed(pair)
    inner = np.abs(mesh.xy[:, 1] - 20.05) < 0.1
    outer = (mesh.xy[:, 1] < 0.1) | (mesh.xy[:, 1] > 39.9)
    assert inner.sum() > 2 * outer.sum()


@pytest.mark.parametrize("gap", [0.1, 0.01, 0.001])
def test_a_long_fine_gap_does_not_drown_the_search_in_samples(gap):
    pair = shapely.MultiPolygon([shapely.box(0, 0, 300, 20), shapely.box(0, 20 + gap, 300, 40)])
    _, mesh = meshed(pair)
    assert len(mesh.xy) < 25_000


@settings(max_examples=40, deadline=None)
@given(strategies.polygons())
def test_points_almost_in_line_do_not_break_the_triangulation(region):
    _, mesh = meshed(region)
    assert len(mesh.triangles) >= 1
