"""Laws of narrow spots over random outlines, judged by an integer clipper and by brute force."""

import numpy as np
import pyclipper
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.outline import Outline
from outline2path.reach.boundary import Boundary
from outline2path.reach.mesh import sample
from outline2path.reach.necks import necks
from outline2path.reach.spots import narrow_spots
from tests import specimens, strategies

SIDES = st.sampled_from(["outside", "inside"])
OUTLINES = st.one_of(strategies.regions(), strategies.sheets())
# Round bays cut off near a half disc are left out where kinds are compared: turning one may carry
# it over the angle from which walls count as facing one another.
STEADY = st.one_of(
    strategies.blobs(),
    strategies.polygons(),
    st.sampled_from([shape for name, shape in specimens.ALL.items() if "hole" not in name]),
)
FEW = settings(max_examples=20, deadline=None)
WIDTH = 0.005  # widths are right to 0.002 mm, a hole with a neck in it to 0.003 mm


def widths(reach):
    return [s.gap_mm for s in reach.spots if s.kind != "corner"]


@FEW
@given(OUTLINES, SIDES)
def test_a_cutter_just_below_the_largest_passes_and_one_just_above_does_not(region, side):
    outline = Outline.from_shapely(region)
    largest = narrow_spots(outline, 1.0, side=side).largest_cutter_mm
    if largest is not None and largest > 0.1:
        assert widths(narrow_spots(outline, largest - 2 * WIDTH, side=side)) == []
        above = widths(narrow_spots(outline, largest + 2 * WIDTH, side=side))
        assert largest - WIDTH <= min(above) <= largest + 2 * WIDTH


@FEW
@given(OUTLINES, SIDES, strategies.cutter_diameters())
def test_the_unreached_area_is_what_an_integer_clipper_leaves(region, side, cutter):
    """Chords of the clipper lie within 0.0001 mm of its arcs, points within 0.00001 mm."""
    cutter *= 1.0137  # no drawn hole is just as wide
    r = cutter / 2
    sign = 1 if side == "outside" else -1
    there = _clipped([shapely.get_coordinates(x) for x in _rings(region)], sign * r)
    back = _clipped(there, -sign * r)
    left = sign * (sum(_signed_area(x) for x in back) - region.area)
    reach = narrow_spots(Outline.from_shapely(region), cutter, side=side)
    thinned = 0.0005 * region.length  # no edge is moved by more
    assert reach.unreached_area_mm2 == pytest.approx(left, rel=0.001, abs=thinned)


def _rings(region):
    parts = shapely.get_parts(region)
    return shapely.get_rings(shapely.orient_polygons(parts))


def _clipped(rings, distance):
    worker = pyclipper.PyclipperOffset(2.0, 10)
    for ring in rings:
        path = np.rint(np.asarray(ring) * 100_000).astype(np.int64).tolist()
        worker.AddPath(path, pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    return [np.array(path) / 100_000 for path in worker.Execute(distance * 100_000)]


def _signed_area(ring):
    x, y = ring.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


@FEW
@given(OUTLINES, SIDES, strategies.cutter_diameters())
def test_no_disc_of_the_cutter_fits_in_any_lost_part(region, side, cutter):
    for spot in narrow_spots(Outline.from_shapely(region), cutter, side=side).spots:
        assert spot.lost.buffer(-cutter / 2 - WIDTH).is_empty
        assert spot.gap_mm is None or spot.gap_mm < cutter + WIDTH


@FEW
@given(STEADY, SIDES, strategies.similarities())
def test_turning_moving_and_mirroring_change_places_only(region, side, matrix):
    here = Outline.from_shapely(region)
    one = narrow_spots(here, 3.175, side=side)
    two = narrow_spots(here.transformed(matrix), 3.175, side=side)
    assert sorted(s.kind for s in one.spots) == sorted(s.kind for s in two.spots)
    assert sorted(widths(one)) == pytest.approx(sorted(widths(two)), abs=WIDTH)
    depths = [sorted(s.lost_depth_mm for s in reach.spots) for reach in (one, two)]
    assert depths[0] == pytest.approx(depths[1], rel=0.001, abs=WIDTH)
    assert one.unreached_area_mm2 == pytest.approx(two.unreached_area_mm2, rel=0.003, abs=0.05)


@FEW
@given(STEADY, st.integers(1, 60))
def test_where_a_ring_starts_changes_nothing(region, shift):
    def begun_later(ring):
        points = shapely.get_coordinates(ring)[:-1]
        return np.roll(points, shift, axis=0)

    polygons = [
        shapely.Polygon(begun_later(p.exterior), [begun_later(h) for h in p.interiors])
        for p in shapely.get_parts(region)
    ]
    one, two = (
        narrow_spots(Outline.from_shapely(r), 3.0)
        for r in (region, shapely.MultiPolygon(polygons))
    )
    assert sorted(widths(one)) == pytest.approx(sorted(widths(two)), abs=WIDTH)
    assert one.unreached_area_mm2 == pytest.approx(two.unreached_area_mm2, rel=0.003, abs=0.05)


@FEW
@given(STEADY, SIDES, st.floats(0.5, 2.0))
def test_scaling_outline_and_cutter_alike_scales_the_answer(region, side, factor):
    outline = Outline.from_shapely(region)
    one = narrow_spots(outline, 3.0, side=side)
    two = narrow_spots(outline.scale(factor), 3.0 * factor, side=side)
    if one.largest_cutter_mm is None:
        assert two.largest_cutter_mm is None
    else:
        assert two.largest_cutter_mm == pytest.approx(
            factor * one.largest_cutter_mm, abs=2 * WIDTH
        )


@FEW
@given(OUTLINES, st.booleans())
def test_necks_are_those_that_brute_force_finds(region, free_inside):
    """Every corner against every edge; the sampled search must miss none."""
    thin = shapely.simplify(region, 0.01)
    edges = Boundary.of(shapely.multipolygons(shapely.get_parts(thin)), free_inside=free_inside)
    found = necks(edges, sample(edges, finest_mm=0.01), touch_mm=0.000001).width_mm
    for width in _brute_force(edges):
        assert np.abs(np.append(found, np.inf) - width).min() < 0.0001


def _brute_force(edges: Boundary) -> list[float]:
    """Widths of all necks; discs that more than two corners touch are no necks but rooms."""
    every = np.arange(len(edges.points))
    widths = []
    for corner in np.flatnonzero(edges.pokes):
        p = edges.points[corner]
        feet = edges.foot(every, np.broadcast_to(p, (len(every), 2)))
        own = (every == corner) | (every == edges.before[corner])
        away = np.hypot(*(feet - p).T)
        empty = edges.distance_mm((feet + p) / 2) > away / 2 - 0.0000001
        toward = (feet - p) / np.maximum(away, 0.001)[:, None]
        ahead, behind = edges.direction[corner], -edges.direction[edges.before[corner]]
        faces = (toward @ ahead <= 0) & (toward @ behind <= 0)
        for foot in feet[~own & empty & faces & (away > 0.001)]:
            reach = np.hypot(*(edges.points - (foot + p) / 2).T)
            width = np.hypot(*(foot - p))
            if (reach < width / 2 + 0.001).sum() <= 2:
                widths.append(float(width))
    return widths
