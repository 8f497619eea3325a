"""What a damaged outline fills, against sound ones, closed forms and shapely's own repair."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

import outline2path as o2p
from tests.geometry.nasty import crossed, damaged, nested, piles
from tests.strategies import numbers, regions, similarities

SPECK_MM2 = 1e-6  # area of what floating point leaves of two equal edges
SOME = settings(max_examples=40)


def apart(one, two) -> float:
    return one.symmetric_difference(two).area


@SOME
@given(damaged())
def test_damage_without_area_changes_no_area(case):
    region, rings = case
    found = o2p.Outline.from_polygons(rings).region
    assert shapely.is_valid(found)
    assert apart(found, region) < SPECK_MM2


@SOME
@given(crossed())
def test_a_crossed_ring_fills_what_shapelys_repair_fills_by_even_and_odd(ring):
    repaired = shapely.make_valid(shapely.Polygon(ring))  # works by even and odd
    area = sum(p.area for p in shapely.get_parts(repaired) if p.geom_type != "LineString")
    if area > SPECK_MM2:
        found = o2p.Outline.from_polygons([ring]).region
        assert found.area == pytest.approx(area, abs=SPECK_MM2)
        assert shapely.is_valid(found)


@SOME
@given(piles())
def test_piled_rings_fill_by_the_two_rules_what_their_points_say(rings):
    """Whole millimetres: the middle of each square millimetre decides about all of it."""
    boxes = [shapely.Polygon(ring) for ring in rings]
    x, y = np.meshgrid(np.arange(61) + 0.5, np.arange(61) + 0.5)
    over = sum(shapely.contains_xy(b, x.ravel(), y.ravel()).astype(int) for b in boxes)
    for rule, count in (("evenodd", int((over % 2).sum())), ("nonzero", int((over > 0).sum()))):
        if count:
            region = o2p.Outline.from_polygons(rings, rule=rule).region
            assert region.area == pytest.approx(count, abs=SPECK_MM2)


@SOME
@given(crossed(), similarities())
def test_turning_moving_and_mirroring_keep_area_edge_and_number(ring, matrix):
    try:
        outline = o2p.Outline.from_polygons([ring])
    except o2p.DrawingError:
        return
    moved = outline.transformed(matrix).region
    assert moved.area == pytest.approx(outline.region.area, abs=1e-5)
    assert len(moved.geoms) == len(outline.region.geoms) or apart_by_hairs(moved, outline.region)


def apart_by_hairs(one, two) -> bool:
    """Parts that touch in a point may count as one or two; specks may come and go."""
    return abs(one.area - two.area) < 1e-5


@SOME
@given(damaged())
def test_written_and_read_again_an_outline_stays_what_it_is(case):
    first = o2p.Outline.from_polygons(case[1])
    second = o2p.read_outline(first.to_svg().encode())
    third = o2p.read_outline(second.to_svg().encode())
    size = max(first.size_mm)
    assert second.size_mm == pytest.approx(first.size_mm, abs=1e-6)
    # the written decimals move an edge by far less than a micrometre
    assert abs(second.region.area - first.region.area) < 1e-5 * size
    assert abs(third.region.area - second.region.area) < 1e-5 * size


@SOME
@given(regions())
def test_an_outline_of_an_outline_is_the_same(region):
    once = o2p.Outline.from_shapely(region).region
    assert apart(o2p.Outline.from_shapely(once).region, once) == 0


def test_rings_ten_deep_fill_every_second_one():
    areas = [(16.0 * k) ** 2 for k in range(10, 0, -1)]
    wanted = sum(a if k % 2 == 0 else -a for k, a in enumerate(areas))
    assert o2p.Outline.from_polygons(nested()).region.area == pytest.approx(wanted)


def circle(r: float, gap: float, *, closed: bool = True) -> str:
    """A circle as four arcs, as programs with few decimals write it: ends that miss by `gap`."""
    g = gap
    arcs = (
        f"M{r} 0A{r} {r} 0 0 1 {g} {r}A{r} {r} 0 0 1 {-r + g} {g}"
        f"A{r} {r} 0 0 1 {g} {-r}A{r} {r} 0 0 1 {r - g} {g}"
    )
    return arcs + ("Z" if closed else "")


@pytest.mark.parametrize("closed", [True, False])
@pytest.mark.parametrize("gap", [0.0, 1e-9, 1e-6, 1e-3, 0.01])
@pytest.mark.parametrize("r", [1e-3, 1.0, 25.0, 1e3])
def test_a_circle_of_four_arcs_with_rounding_gaps_is_a_disc(r, gap, closed):
    if gap > r / 50:
        pytest.skip("such a gap is no rounding on so small a circle")
    region = o2p.Outline.from_path(circle(r, gap, closed=closed)).region_within(r * 1e-5)
    # each gap moves the edge by no more than itself along a quarter; chords by the tolerance
    wrong = 2 * math.pi * r * (2 * gap + r * 1e-5)
    assert region.area == pytest.approx(math.pi * r * r, abs=wrong + 1e-12)
    assert len(region.geoms) == 1


@pytest.mark.parametrize("radius", [1e-6, 1e-3, 1e6])
def test_arcs_of_any_radius_are_read_by_the_standard(radius):
    """SVG 2, 9.5.1: too small a radius grows to a half circle; a huge one is nearly straight."""
    path = f"M0 0H20V10A{radius} {radius} 0 0 1 0 10Z"
    area = o2p.Outline.from_path(path).region.area
    bulge = math.pi * 100 / 2 if radius < 10 else 20**3 / (12 * radius)
    assert area == pytest.approx(200 + bulge, rel=1e-3)


@SOME
@given(numbers(1e-9, 0.04))
def test_an_open_path_that_almost_closes_fills_as_if_it_did(gap):
    path = f"M0 0H30V20H0V{gap!r}"
    assert o2p.Outline.from_path(path).region.area == pytest.approx(600, abs=1e-6)
