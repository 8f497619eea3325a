"""What a disc leaves of a free space, its depth, and the edges it cannot touch."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from outline2path.reach.boundary import Boundary
from outline2path.reach.mesh import sample
from outline2path.reach.opening import open_space
from outline2path.reach.touchable import touchable_edges
from tests import specimens, strategies

FEW = settings(max_examples=20, deadline=None)


def opened(region, radius, *, touchable=None):
    space = shapely.multipolygons(shapely.get_parts(region))
    edges = Boundary.of(space, free_inside=True)
    flags = np.ones(len(edges.points), bool) if touchable is None else touchable
    return open_space(space, edges, touchable=flags, radius_mm=radius, sliver_mm=0.0005)


# sources.md W5: a square of side 10 opened by r 2 loses 3.433629; W5b: a 3-4-5 triangle by 0.5.
@pytest.mark.parametrize(
    ("region", "radius", "area", "parts"),
    [
        (specimens.square(10), 2.0, 3.433629, 4),
        (specimens.triangle_345(), 0.5, 6 - 5.285398, 3),
        (specimens.rounded_rectangle(), 3.0, 0.0, 0),
        (specimens.disc(0, 0, 9), 8.0, 0.0, 0),
    ],
    ids=["square", "triangle", "rounded", "disc"],
)
def test_areas_are_those_of_the_formulas(region, radius, area, parts):
    found = opened(region, radius)
    assert found.area_mm2 == pytest.approx(area, rel=0.0007, abs=0.02)
    assert len(found.lost) == parts


def test_a_space_without_room_is_lost_whole():
    found = opened(specimens.square(3), 2.0)
    assert found.rim is None
    assert found.area_mm2 == pytest.approx(9)
    assert np.isinf(found.depths_mm()[1]).all()


def test_room_that_is_closed_off_by_a_neck_still_counts_as_reached():
    """The disc fits into the far chamber, even if it cannot get there in the plane."""
    dumb_bell = shapely.union_all(
        [specimens.disc(0, 0, 5), specimens.disc(20, 0, 5), shapely.box(0, -1, 20, 1)]
    )
    (neck,) = opened(dumb_bell, 2.0).lost
    assert 4 < neck.bounds[0] < neck.bounds[2] < 16


def test_depth_is_not_measured_through_the_part():
    """A slot in a slim plate is deep although its floor is near the far side of the plate."""
    space = shapely.box(-20, -20, 60, 60) - (
        shapely.box(0, 0, 40, 21) - shapely.box(19, 1, 21, 21)
    )
    found = opened(space, 2.0)
    depth = found.depths_mm()[1].max()
    assert depth == pytest.approx(math.hypot(1, 20 + math.sqrt(3)) - 2, abs=0.001)


def test_parts_that_hang_together_by_slivers_are_taken_apart():
    for turn in np.linspace(0, 1.5, 7):
        square = shapely.affinity.rotate(specimens.square(10), turn, use_radians=True)
        found = opened(square, 2.0)
        depth = 2 * (math.sqrt(2) - 1)
        assert found.depths_mm()[1] == pytest.approx([depth] * 4, abs=0.001)


@pytest.mark.parametrize("radius", [0.3, 2.0, 9.0, 40.0])
def test_chords_are_fine_enough_at_every_radius(radius):
    found = opened(specimens.square(4 * radius), radius)
    lost = (4 - math.pi) * radius**2
    assert found.area_mm2 == pytest.approx(lost, rel=0.0007)
    depth = radius * (math.sqrt(2) - 1)
    assert found.depths_mm()[1] == pytest.approx([depth] * 4, rel=0.001)


@FEW
@given(strategies.regions(), strategies.cutter_diameters())
def test_edges_said_to_be_out_of_touch_change_nothing(region, cutter):
    space = shapely.multipolygons(shapely.get_parts(region))
    edges = Boundary.of(space, free_inside=True)
    mesh = sample(edges, finest_mm=0.01)
    flags = touchable_edges(edges, mesh, cutter / 2 - 0.0005, margin_mm=0.0005)
    with_all, with_few = opened(region, cutter / 2), opened(region, cutter / 2, touchable=flags)
    assert with_few.area_mm2 == pytest.approx(with_all.area_mm2, rel=0.001, abs=0.01)


@FEW
@given(strategies.regions(), strategies.cutter_diameters())
def test_an_edge_a_disc_rests_on_is_never_left_out(region, cutter):
    space = shapely.multipolygons(shapely.get_parts(region))
    edges = Boundary.of(space, free_inside=True)
    mesh = sample(edges, finest_mm=0.01)
    flags = touchable_edges(edges, mesh, cutter / 2, margin_mm=0.0005)
    share = np.linspace(0.05, 0.95, 7)[:, None, None]
    step = edges.points[edges.after] - edges.points
    left = np.column_stack([-edges.direction[:, 1], edges.direction[:, 0]])
    centres = edges.points + share * step + cutter / 2 * left
    rests = edges.distance_mm(centres.reshape(-1, 2)) >= cutter / 2 - 0.0001
    assert flags[rests.reshape(7, -1).any(axis=0)].all()


def test_deep_pockets_are_out_of_touch():
    comb = specimens.comb()
    edges = Boundary.of(shapely.MultiPolygon([comb]), free_inside=False)
    mesh = sample(edges, finest_mm=0.01)
    flags = touchable_edges(edges, mesh, 3.0, margin_mm=0.0005)
    floors = (edges.points[:, 1] == 8) & (edges.points[edges.after][:, 1] == 8)
    assert floors.sum() == 8
    assert not flags[floors].any()
