"""Whatever is drawn: a program that keeps the promise, measured from outside, or a refusal.

Every warning of NumPy or shapely is an error here, as in the whole suite.
"""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

import outline2path as o2p
from outline2path.job.check import check
from outline2path.rs274.reader import read_program
from tests.geometry.nasty import crossed, damaged, gear, nested, piles, slivers
from tests.strategies import cutter_diameters, numbers, regions
from tests.test_promise import assert_promise_holds, swept

FEW = settings(max_examples=6)
RULES = st.sampled_from(["evenodd", "nonzero"])
EITHER = st.sampled_from(["outside", "inside"])


def plan_of(outline, cutter_mm, **options):
    job = o2p.Job(stock=o2p.Stock(thickness=4))
    return job.profile(outline, o2p.Cutter(cutter_mm), **options).plan()


def kept_or_refused(rings, cutter_mm, *, rule="evenodd", **options):
    """Plan and measure; a refusal is an answer too, a bug is not."""
    try:
        outline = o2p.Outline.from_polygons(rings, rule=rule)
        plan = plan_of(outline, cutter_mm, **options)
    except o2p.OutlinePathError:
        return
    assert plan.proof.gouge_mm is not None
    assert not [c for c in plan.proof.failed if c.name not in ("loose pieces",)]
    assert_promise_holds(plan)
    check(outline, cutter=cutter_mm, side=options.get("side", "outside")).report()


@FEW
@given(damaged(), cutter_diameters(), EITHER)
def test_damaged_rings_keep_the_promise(case, cutter_mm, side):
    kept_or_refused(case[1], cutter_mm, side=side)


@FEW
@given(crossed(), cutter_diameters(), RULES, EITHER)
def test_rings_that_cross_themselves_keep_the_promise(ring, cutter_mm, rule, side):
    kept_or_refused([ring], cutter_mm, rule=rule, side=side)


@FEW
@given(piles(), cutter_diameters(), RULES, EITHER)
def test_rings_that_lie_on_one_another_keep_the_promise(rings, cutter_mm, rule, side):
    kept_or_refused(rings, cutter_mm, rule=rule, side=side)


@FEW
@given(slivers(), cutter_diameters(), EITHER)
def test_slivers_keep_the_promise(rings, cutter_mm, side):
    kept_or_refused(rings, cutter_mm, side=side)


@pytest.mark.parametrize("cutter_mm", [1.0, 7.9])
@pytest.mark.parametrize("side", ["outside", "inside"])
def test_rings_ten_deep_are_each_cut_once(cutter_mm, side):
    plan = plan_of(o2p.Outline.from_polygons(nested()), cutter_mm, side=side)
    assert len({s.contour for s in plan.toolpath.sections}) == 10
    assert plan.proof.verdict == "pass"
    assert_promise_holds(plan)


@FEW
@given(regions(), cutter_diameters(), st.sampled_from([1e3, 1e4, 1e5]), numbers(0, 6.2))
def test_far_from_the_origin_the_same_program_comes_out(region, cutter_mm, far, angle):
    """Work zero lies at the part, so where the page lay changes rounding alone."""
    here = plan_of(o2p.Outline.from_shapely(region), cutter_mm)
    moved = shapely.affinity.translate(region, far * math.cos(angle), far * math.sin(angle))
    there = plan_of(o2p.Outline.from_shapely(moved), cutter_mm)
    assert there.proof.verdict == here.proof.verdict
    assert there.placement.outline.region.area == pytest.approx(region.area, rel=1e-7)
    # pieces may join elsewhere; the tolerance allows twice T for each millimetre of radius
    assert there.only.times.cut_mm == pytest.approx(here.only.times.cut_mm, rel=2e-3)


@FEW
@given(regions(), cutter_diameters(), st.sampled_from([1e-3, 1e-2, 12.0]))
def test_very_small_and_very_large_parts_are_planned_or_refused(region, cutter_mm, factor):
    try:
        plan = plan_of(o2p.Outline.from_shapely(region).scale(factor), cutter_mm)
    except o2p.OutlinePathError:
        return
    assert plan.proof.gouge_mm <= 0.001


@FEW
@given(regions(), cutter_diameters())
def test_millimetres_and_inches_command_the_same_motions(region, cutter_mm):
    tables = []
    for units in ("mm", "in"):
        job = o2p.Job(stock=o2p.Stock(thickness=4), units=units)
        plan = job.profile(o2p.Outline.from_shapely(region), o2p.Cutter(cutter_mm)).plan()
        tables.append(read_program(plan.program.text).table)
    assert len(tables[0]) == len(tables[1])
    # half a unit of the last decimal of either: 4 in mm, 5 in inches
    apart = np.nanmax(np.abs(tables[0]["end"] - tables[1]["end"]))
    assert apart <= 0.5e-4 + 0.5e-5 * 25.4 + 1e-9


@FEW
@given(regions(), cutter_diameters())
def test_part_removed_and_left_make_up_the_stock(region, cutter_mm):
    """What is removed is a kerf round the part; what is left within T of it is all that is new."""
    plan = plan_of(o2p.Outline.from_shapely(region), cutter_mm)
    part = plan.placement.outline.region_within(0.0002)
    stock = shapely.box(*part.buffer(4 * cutter_mm).bounds)
    removed = swept(plan.program.text, at_z=-4, cutter_mm=cutter_mm)
    pieces = [p.area for p in shapely.get_parts(stock.difference(removed))]
    assert sum(pieces) + removed.area == pytest.approx(stock.area, abs=1e-6)
    assert part.intersection(removed).area == pytest.approx(0, abs=1e-6 * part.length + 1e-6)
    assert removed.area <= part.length * cutter_mm * 1.02 + 40 * cutter_mm**2


def test_a_ring_of_fifty_thousand_points_is_planned_in_bounded_time():
    outline = o2p.Outline.from_polygons([gear(50_000)])
    plan = plan_of(outline, 3.0)
    assert plan.proof.verdict == "pass"
    assert len(plan.program.lines) < 20_000


@pytest.mark.parametrize("cutter_mm", [40.0, 90.0])
def test_an_opening_narrower_than_the_cutter_is_refused_with_the_widest_that_fits(cutter_mm):
    outline = o2p.Outline.from_shapely(shapely.box(0, 0, 50, 30))
    with pytest.raises(o2p.RefusedError, match="below 30"):
        plan_of(outline, cutter_mm, side="inside")
