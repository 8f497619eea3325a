"""The laws of geometry on geometry from hell: what must hold for any outline, however broken.

Bounds: an offset's edge lies within `simplify_mm + chords_mm + 4 x GRID_MM` of where it should be
(head of operations/offset.py), so two ways to one result may differ by the sum of theirs.
"""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import outline2path as o2p
from outline2path.errors import SettingError
from outline2path.operations.offset import offset
from outline2path.tolerance import GRID_MM, Budget
from tests.geometry.nasty import crossed, damaged, gear, nested, piles, slivers, started_elsewhere
from tests.strategies import numbers, similarities

SOME = settings(max_examples=25)
BUDGET = Budget()
BOUND = BUDGET.simplify_mm + BUDGET.chords_mm + 4 * GRID_MM
SPECK_MM2 = 1e-6  # area of what floating point leaves of two equal edges
READ_MM2 = 1e-9


def region_of(rings) -> shapely.MultiPolygon:
    try:
        return o2p.Outline.from_polygons(rings).region
    except o2p.DrawingError:
        return shapely.MultiPolygon()


@st.composite
def hellish(draw) -> shapely.MultiPolygon:
    """The region of rings of any of the bad kinds, with some area to it."""
    rings = draw(
        st.one_of(
            damaged().map(lambda case: case[1]),
            crossed().map(lambda ring: [ring]),
            piles(),
            slivers(),
        )
    )
    region = region_of(rings)
    assume(region.area > SPECK_MM2)
    return region


def lies_in(inner, outer, within: float) -> bool:
    """Whether one region lies in another grown by a distance."""
    return shapely.difference(inner, shapely.buffer(outer, within, quad_segs=64)).area < SPECK_MM2


def are_one(one, two, within: float) -> bool:
    return lies_in(one, two, within) and lies_in(two, one, within)


@SOME
@given(hellish(), numbers(0.05, 6))
def test_what_is_grown_holds_the_part_and_what_is_shrunk_lies_in_it(region, by):
    assert lies_in(region, offset(region, by), 1e-9)
    assert lies_in(offset(region, -by), region, 1e-9)


@SOME
@given(hellish(), numbers(-4, 4), numbers(0.05, 3))
def test_offsets_are_ordered_by_their_distances(region, one, more):
    assert lies_in(offset(region, one), offset(region, one + more), 2 * BOUND)


@SOME
@given(hellish(), numbers(0.1, 3), numbers(0.1, 3))
def test_growing_twice_is_growing_by_the_sum(region, one, two):
    """Minkowski sums with discs add their radii."""
    assert are_one(offset(offset(region, one), two), offset(region, one + two), 3 * BOUND)


@SOME
@given(hellish(), numbers(0.1, 2), numbers(0.1, 2))
def test_shrinking_twice_is_shrinking_by_the_sum(region, one, two):
    once, twice = offset(region, -one - two), offset(offset(region, -one), -two)
    # a shrunk edge's error moves its tips farther than itself: compare what is surely inside
    assert lies_in(offset(once, -3 * BOUND), twice, 3 * BOUND)
    assert lies_in(offset(twice, -3 * BOUND), once, 3 * BOUND)


@SOME
@given(hellish(), numbers(0.2, 3))
def test_opening_and_closing_twice_is_as_good_as_once(region, r):
    """Morphology: openings and closings are idempotent, and lie on either side of the part.

    An edge's error moves a sharp tip farther than itself, so tips are left out of the comparison.
    """
    closed = offset(offset(region, r), -r)
    assert lies_in(offset(region, -3 * BOUND), closed, BOUND)
    again = offset(offset(closed, r), -r)
    assert lies_in(offset(closed, -3 * BOUND), again, BOUND)
    assert lies_in(again, closed, 3 * BOUND)
    opened = offset(offset(region, -r), r)
    assert lies_in(opened, region, 2 * BOUND)
    again = offset(offset(opened, -r - 2 * BOUND), r + 2 * BOUND)
    assert lies_in(again, opened, 2 * BOUND)


@SOME
@given(hellish(), numbers(0.2, 4))
def test_part_kerf_and_rest_make_up_the_stock(region, by):
    """Areas add up: nothing is counted twice, nothing vanishes."""
    grown = offset(region, by)
    x0, y0, x1, y1 = grown.bounds
    stock = shapely.box(x0 - 5, y0 - 5, x1 + 5, y1 + 5)
    kerf, rest = shapely.difference(grown, region), shapely.difference(stock, grown)
    assert region.area + kerf.area + rest.area == pytest.approx(stock.area, abs=SPECK_MM2)


@SOME
@given(hellish(), numbers(-3, 3), similarities())
def test_where_a_part_lies_and_how_it_is_turned_changes_no_offset(region, by, matrix):
    a, b, c, d, e, f = matrix
    to = [a, c, b, d, e, f]
    moved = shapely.make_valid(shapely.affinity.affine_transform(region, to))
    one = offset(moved, by)
    two = shapely.affinity.affine_transform(offset(region, by), to)
    if by >= 0:
        assert are_one(one, two, 2 * BOUND + 1e-6)
    else:
        assert lies_in(offset(one, -2 * BOUND), two, 2 * BOUND + 1e-6)
        assert lies_in(offset(two, -2 * BOUND), one, 2 * BOUND + 1e-6)


@SOME
@given(damaged(), st.integers(1, 200), numbers(-2, 3))
def test_where_a_ring_begins_changes_nothing(case, at, by):
    rings = case[1]
    later = [started_elsewhere(ring, at % len(ring), 0.0) for ring in rings]
    one, two = region_of(rings), region_of(later)
    assert one.symmetric_difference(two).area < READ_MM2 * max(1, one.area)
    if by >= 0:
        assert are_one(offset(one, by), offset(two, by), 2 * BOUND)


@SOME
@given(damaged(), st.sampled_from([("mm", 1.0), ("cm", 10.0), ("in", 25.4), ("pt", 25.4 / 72)]))
def test_units_of_the_page_change_nothing_but_their_names(case, unit):
    """SVG 2, 8.2 and CSS Values 3, 6.2: a page's physical size sets the size of all on it."""
    name, mm = unit
    path = "".join("M" + "L".join(f"{x!r} {-y!r}" for x, y in ring) + "Z" for ring in case[1])
    pages = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-100 -100 200 200" '
        f'width="{size!r}{unit_name}" height="{size!r}{unit_name}">'
        f'<path fill-rule="evenodd" d="{path}"/></svg>'
        for unit_name, size in (("mm", 200.0), (name, 200.0 / mm))
    ]
    one, two = (o2p.read_outline(page.encode()) for page in pages)
    assert two.size_mm == pytest.approx(one.size_mm, rel=1e-12)
    assert two.region.area == pytest.approx(one.region.area, rel=1e-9)


@SOME
@given(hellish(), st.sampled_from([1e-3, 0.1, 10.0]), numbers(0.1, 3))
def test_scaled_parts_have_scaled_offsets(region, k, by):
    """With a budget that scales along, as far as one can be asked for; the grid does not."""
    scaled = shapely.affinity.scale(region, k, k, origin=(0, 0))
    one = offset(scaled, by * k)
    two = shapely.affinity.scale(offset(region, by), k, k, origin=(0, 0))
    assert are_one(one, two, BOUND * (1 + k))


@pytest.mark.parametrize("by", [2.0, 3.9, -2.0, -3.9])
def test_rings_ten_deep_move_each_by_its_own_side(by):
    """Squares 8 mm apart: shells grow round, holes shrink with sharp corners (Steiner)."""
    region = region_of(nested())
    area = 0.0
    for k in range(10, 0, -1):
        side, is_shell = 16.0 * k, k % 2 == 0
        out = by if is_shell else -by
        if out > 0:
            area += (1 if is_shell else -1) * (side**2 + 4 * side * out + math.pi * out**2)
        else:
            area += (1 if is_shell else -1) * (side + 2 * out) ** 2
    found = offset(region, by)
    assert found.area == pytest.approx(area, abs=region.length * BOUND)
    assert sum(1 + len(p.interiors) for p in found.geoms) == 10


@pytest.mark.parametrize("far", [1e3, 1e5, 9e5])
@pytest.mark.parametrize("by", [-1.5, 1.5])
def test_at_a_kilometre_from_the_origin_an_offset_is_the_same(far, by):
    region = region_of(nested(3))
    there = offset(shapely.affinity.translate(region, far, -far), by)
    assert there.area == pytest.approx(offset(region, by).area, abs=region.length * 2 * BOUND)


@pytest.mark.parametrize("far", [1.1e6, 1e9, math.inf, math.nan])
def test_farther_away_it_is_refused(far):
    with np.errstate(invalid="ignore"):  # shapely's own warning on making such a thing
        ring = shapely.Polygon([(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (far, 9.0)])
    with pytest.raises(SettingError):
        offset(ring, 1.0)


@pytest.mark.parametrize("size", [1e-3, 1e-2])
def test_a_part_of_a_micrometre_grows_to_a_disc_and_shrinks_to_nothing(size):
    square = shapely.box(0, 0, size, size)
    steiner = size**2 + 4 * size + math.pi
    assert offset(square, 1.0).area == pytest.approx(steiner, abs=2 * math.pi * 2 * BOUND)
    assert offset(square, -1.0).is_empty


@SOME
@given(slivers(), numbers(31, 60))
def test_what_is_shrunk_past_itself_is_empty_and_valid(rings, by):
    gone = offset(region_of(rings), -by)
    assert gone.is_empty
    assert gone.geom_type == "MultiPolygon"


@pytest.mark.parametrize("by", [-0.8, 0.8])
def test_a_rough_ring_of_twenty_thousand_points_keeps_its_bound(by):
    region = region_of([gear(20_000)])
    found = offset(region, by)
    inner, outer = (shapely.Point(0, 0).buffer(r, quad_segs=4096) for r in (59.995, 60.005))
    assert lies_in(found, shapely.buffer(outer, by, quad_segs=512), 2 * BOUND)
    assert lies_in(shapely.buffer(inner, by, quad_segs=512), found, 2 * BOUND)
