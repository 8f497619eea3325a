"""Closed forms: sources.md sections 4 and 8 (Steiner, W5, W5b), elementary geometry.

Areas of offsets may differ by the stated distance bound times the edge's length, the tolerance
used throughout.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.operations.offset import FARTHEST_MM, offset, thinned
from outline2path.tolerance import Budget
from tests import specimens
from tests.benchmarks.bench_reach import coastline
from tests.operations.laws import along, grown, stage_bound
from tests.strategies import numbers, regions, sheets, similarities

TRIANGLE = specimens.triangle_345()


@pytest.mark.parametrize(
    ("region", "distance", "area", "length"),
    [
        (specimens.square(10), 2, 192.566371, 52.566371),  # W5
        (specimens.square(10), -2, 36.0, 24.0),  # W5
        (TRIANGLE, 1, 21.141593, 18.283185),  # W5b
        (TRIANGLE, -0.5, 1.5, 6.0),  # W5b: tangential polygon
        (specimens.rounded_rectangle(), 2, 778.539816 + 2 * 111.415927 + 4 * math.pi, None),
        (specimens.rounded_rectangle(), -2, 36 * 16 - (4 - math.pi) * 9, None),
        (specimens.ellipse(), 3, 1884.955592 + 3 * 158.654396 + 9 * math.pi, None),  # Steiner
        (specimens.disc(7, -3, 5), -2, math.pi * 9, 6 * math.pi),
        (specimens.ring(), 2, math.pi * (22**2 - 6**2), 2 * math.pi * 28),
    ],
)
def test_offset_areas_and_lengths_are_those_of_the_textbook(region, distance, area, length):
    grown_region = offset(region, distance)
    slack = stage_bound() * grown_region.length
    assert grown_region.area == pytest.approx(area, abs=slack)
    if length is not None:  # an edge's length changes by its turning (some 2 pi) times the bound
        assert grown_region.length == pytest.approx(length, abs=20 * stage_bound())


def test_a_pentagram_grows_by_its_edges_and_tips_and_loses_in_its_notches():
    star, r = specimens.pentagram(25), 1.5
    tips = 5 * math.radians(180 - 36) / 2 * r**2  # sectors of turning 144 degrees
    notches = 5 * r**2 / math.tan(math.radians(108 / 2))  # overlap: tangent lengths r cot(54)
    expected = star.area + star.length * r + tips - notches
    assert offset(star, r).area == pytest.approx(expected, abs=stage_bound() * star.length)


@pytest.mark.parametrize(
    ("region", "r", "area"),
    [(specimens.square(10), 2, 96.566371), (TRIANGLE, 0.5, 5.285398)],  # W5, W5b
)
def test_shrunk_and_grown_again_a_part_has_the_roundness_of_the_cutter(region, r, area):
    opened = offset(offset(region, -r), r)
    assert opened.area == pytest.approx(area, abs=2 * stage_bound() * opened.length)


@settings(max_examples=30, deadline=None)
@given(regions(), numbers(0.2, 3))
def test_grown_and_shrunk_again_a_region_is_no_smaller(region, r):
    """Closing contains what it closes, opening is contained in what it opens (Matheron)."""
    core = region.buffer(-2 * stage_bound())  # not grown instead: a sharp tip moves farther
    assert offset(offset(region, r), -r).covers(core)
    assert region.buffer(2 * stage_bound()).covers(offset(offset(region, -r), r))


@settings(max_examples=20, deadline=None)
@given(regions(), numbers(-3, 3))
@pytest.mark.parametrize("tolerance", [0.002, 0.1, 1.0])
def test_the_bound_follows_the_tolerance(tolerance, region, distance):
    edge = offset(region, distance, budget=Budget(tolerance))
    far = shapely.distance(along(edge), region.boundary)
    assert np.all(np.abs(far - abs(distance)) <= stage_bound(tolerance))


@settings(max_examples=30, deadline=None)
@given(regions(), numbers(-3, 3), similarities())
def test_an_offset_turns_moves_and_mirrors_with_its_region(region, distance, matrix):
    a, b, c, d, e, f = matrix
    move = (a, c, b, d, e, f)
    moved = shapely.affinity.affine_transform(region, move)
    one = offset(moved, distance)
    two = shapely.affinity.affine_transform(offset(region, distance), move)
    assert one.symmetric_difference(two).area <= 3 * stage_bound() * (1 + one.length)


@pytest.mark.parametrize("angle", [30, 36, 60, 90, 108, 120])
def test_a_disc_stops_short_of_a_wedges_tip_by_the_formula(angle):
    r, sideways = 1.0, 1 / math.sin(math.radians(angle / 2))  # centre r / sin(beta / 2) away
    free = shapely.LineString([(20, 10), (20, 40)]).difference(
        offset(specimens.wedge_notch(angle), r)
    )
    assert shapely.Point(20, 10).distance(free) == pytest.approx(
        r * sideways,
        abs=stage_bound() * sideways,  # walls off by e move the tip by e / sin
    )


def test_an_ellipse_shrunk_past_its_least_curvature_has_cusps_on_the_long_axis():
    a, b, d = 30.0, 20.0, 17.0  # least radius of curvature b^2 / a = 13.333 < d
    left = offset(specimens.ellipse(a, b), -d)
    # farthest point with distance d: centre (x, 0) of the disc touching at both sides:
    # x = (a^2 - b^2) / a * cos t, d = b sqrt(1 - (1 - b^2/a^2) cos^2 t) (elementary geometry)
    cos_t = math.sqrt((1 - (d / b) ** 2) / (1 - (b / a) ** 2))
    assert left.bounds[2] == pytest.approx(
        (a * a - b * b) / a * cos_t, abs=0.02
    )  # a cusp of slope 1 : 10


@settings(max_examples=40, deadline=None)
@given(regions(), numbers(-4, 4))
def test_every_point_of_an_offsets_edge_lies_at_the_asked_distance(region, distance):
    edge = offset(region, distance)
    if edge.is_empty:
        return
    far = shapely.distance(along(edge), region.boundary)
    assert np.all(np.abs(far - abs(distance)) <= stage_bound())


@settings(max_examples=25, deadline=None)
@given(st.one_of(regions(), sheets()), numbers(0.3, 4))
def test_growing_covers_what_capsules_cover_and_no_more(region, distance):
    """An independent union of capsules; chords of both sides add to the bound."""
    bound = stage_bound() + distance * (1 - math.cos(math.pi / 128))
    ours = offset(region, distance)
    assert ours.buffer(bound).covers(grown(region, distance))
    assert grown(region, distance + 2 * bound).covers(ours)


@settings(max_examples=40, deadline=None)
@given(regions(), numbers(0.2, 2), numbers(0.2, 2))
def test_shrinking_more_leaves_less(region, one, more):
    assert offset(region, -one).buffer(stage_bound()).covers(offset(region, -one - more))


@settings(max_examples=40, deadline=None)
@given(st.one_of(regions(), sheets()), numbers(-5, 5))
def test_offsets_are_valid_and_turn_counter_clockwise(region, distance):
    result = offset(region, distance)
    assert result.is_valid
    assert all(part.exterior.is_ccw for part in result.geoms)
    assert not any(hole.is_ccw for part in result.geoms for hole in part.interiors)


@settings(max_examples=30, deadline=None)
@given(regions(), numbers(0.001, 0.2))
def test_a_thinned_outline_stays_within_its_distance(region, within):
    thin = shapely.MultiLineString([ring for part in thinned(region, within) for ring in part])
    assert shapely.hausdorff_distance(region.boundary, thin, densify=0.2) <= within * 1.0001


def rough(level: int, side: float = 60.0) -> shapely.Polygon:
    """A coastline: each edge of a triangle folded `level` times (von Koch, 1904)."""
    z = side * np.exp(1j * np.radians([90, 330, 210, 90])) / math.sqrt(3)
    for _ in range(level):
        a, d = z[:-1], np.diff(z) / 3
        tip = a + d + d * np.exp(1j * math.pi / 3)
        z = np.append(np.column_stack((a, a + d, tip, a + 2 * d)).ravel(), z[-1])
    return shapely.Polygon(np.column_stack((z.real, z.imag)))


@pytest.mark.parametrize(("level", "distance"), [(6, 1.5), (6, -1.5), (7, -1.5)])
def test_rough_outlines_keep_the_bound_in_pieces_as_in_one_sweep(level, distance):
    coast = rough(level)
    edge = offset(coast, distance)
    places = along(edge, 1.0)[::7]
    edges = shapely.STRtree(
        shapely.linestrings(
            np.lib.stride_tricks.sliding_window_view(
                shapely.get_coordinates(coast), 2, axis=0
            ).swapaxes(1, 2)
        )
    )
    _, far = edges.query_nearest(places, return_distance=True, all_matches=False)
    assert edge.is_valid
    assert np.max(np.abs(far - abs(distance))) <= stage_bound()


@pytest.mark.parametrize(
    "region",
    [
        shapely.Polygon([(0, 0), (50, 0), (50, 1e-4)]),
        shapely.Polygon([(0, 0), (0, 0), (9, 0), (9, 0), (9, 9), (9, 9), (0, 0)]),
        shapely.box(0, 0, 5, 5).union(shapely.box(5, 5, 10, 10)),
        shapely.Polygon([(0, 0), (20, 0), (20, 20), (10, 0), (0, 20)]).buffer(0),
        shapely.MultiPolygon([shapely.box(0, 0, 5, 5), shapely.box(5.00000001, 0, 9, 5)]),
        shapely.Point(0, 0).buffer(1e-3),
    ],
    ids=["sliver", "doubled points", "corner to corner", "touching itself", "hair gap", "speck"],
)
@pytest.mark.parametrize("distance", [2.0, -1.0])
def test_awkward_outlines_have_offsets_within_the_bound(region, distance):
    edge = offset(region, distance)
    assert edge.is_valid
    if distance > 0:
        assert shapely.distance(edge.boundary, region) >= distance - stage_bound()
        assert edge.covers(region)


def test_a_rough_piece_whose_band_touches_itself_is_mended():
    """At this distance one band of this coastline meets itself in a point."""
    region = Outline.from_shapely(coastline(49_000)).region
    grown = offset(region, 0.3, budget=Budget())
    assert shapely.is_valid(grown)
    assert shapely.covers(grown, region)


def test_far_from_the_origin_an_offset_is_the_same():
    here = offset(specimens.pentagram(25), 2.0)
    far = offset(shapely.affinity.translate(specimens.pentagram(25), 9e5, -9e5), 2.0)
    assert far.area == pytest.approx(here.area, abs=stage_bound() * here.length)


@pytest.mark.parametrize(
    ("region", "distance"),
    [
        (shapely.box(0, 0, 2 * FARTHEST_MM, 1), 1.0),
        (shapely.box(0, 0, 10, 10), math.nan),
        (shapely.box(0, 0, 10, 10), math.inf),
        (shapely.box(0, 0, 10, 10), 1e5),
    ],
)
def test_what_no_workshop_holds_is_refused(region, distance):
    with pytest.raises(SettingError, match=r"offset|origin"):
        offset(region, distance)


@pytest.mark.parametrize("region", [shapely.MultiPolygon(), shapely.box(0, 0, 1, 1)])
def test_nothing_left_is_an_empty_region(region):
    assert offset(region, -0.6).is_empty


def test_no_distance_gives_the_outline_back():
    plate = specimens.ring()
    assert (
        offset(plate, 0.0).symmetric_difference(plate).area <= Budget().simplify_mm * plate.length
    )


@pytest.mark.parametrize("wide", [1e-6, 3e-6, 1e-5, 3e-5, 1e-4])
def test_a_sliver_shrunk_by_more_than_its_width_is_gone(wide):
    """Found by the laws of offsets: its long edges change sides, and must not come back."""
    sliver = shapely.Polygon([(40, 0), (40 + wide, 15), (40, 30)])
    assert offset(sliver, -0.00876).is_empty
    frame = shapely.box(0, -5, 60, 40).difference(sliver)
    assert not offset(frame, 0.00876).geoms[0].interiors
