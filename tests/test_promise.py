"""The one-sided promise, measured from outside.

With tolerance T and cutter radius r the finished part holds the drawn part to within a
micrometre, and lies within the drawn part closed by a disc of radius r + T and grown by T. Here
the written text is replayed and swept by shapely's buffers alone; nothing of the judge, the
offsetting or the planning is used, and the outline is flattened ten times finer than T.
"""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

import outline2path as o2p
from outline2path.rs274.reader import read_program
from tests import specimens
from tests.strategies import cutter_diameters, regions, sheets

ART = sorted((Path(__file__).parents[1] / "demo_art").glob("*.svg"))
T = 0.02
MICROMETRE = 0.001
FINE = 48  # chords to a quarter turn: sagitta under 0.2 um for every cutter used here
CHORD_MM = 2e-5  # greatest sagitta of the chords that stand for an arc
SPECK_MM2 = 1e-6  # area of what floating point leaves of two equal edges


def track(row) -> np.ndarray:
    """One motion as points in x and y, arcs as fine chords."""
    start, end = row["start"][:2], row["end"][:2]
    if not row["turn"]:
        return np.array([start, end])
    centre = row["centre"][:2]
    radius = math.hypot(*(start - centre))
    first, last = (math.atan2(*(p - centre)[::-1]) for p in (start, end))
    sweep = (last - first) * row["turn"] % (2 * math.pi) or 2 * math.pi
    count = 1 + math.ceil(sweep / (2 * math.acos(1 - CHORD_MM / max(radius, 1e-3))))
    angle = first + row["turn"] * np.linspace(0, sweep, count + 1)
    return np.column_stack(
        (centre[0] + radius * np.cos(angle), centre[1] + radius * np.sin(angle))
    )


def swept(text: str, *, at_z: float, cutter_mm: float):
    """What a flat cutter takes away at height `at_z`, by shapely's buffer alone."""
    table = read_program(text).table
    low = np.maximum(table["start"][:, 2], table["end"][:, 2]) <= at_z
    lines = [shapely.LineString(track(row)) for row in table[low & (table["kind"] > 0)]]
    return shapely.union_all(shapely.buffer(lines, cutter_mm / 2, quad_segs=FINE))


def finished(part, removed, *, stock):
    """The pieces of stock that hold the part once the rest is taken away."""
    pieces = shapely.get_parts(stock.difference(removed))
    holds = shapely.STRtree(pieces).query(
        shapely.point_on_surface(shapely.get_parts(part)), predicate="within"
    )[1]
    return shapely.union_all(pieces[np.unique(holds)])


def closed(part, radius: float):
    """The part closed by a disc: gaps narrower than the disc are filled, corners rounded."""
    shut = part.buffer(radius, quad_segs=FINE).buffer(-radius, quad_segs=FINE)
    return shut.union(part)  # a closing holds its set; chords of buffers lose tips of needles


def plan_of(outline, cutter_mm: float, **options):
    job = o2p.Job(stock=o2p.Stock(thickness=4), tolerance=T)
    return job.profile(outline, o2p.Cutter(cutter_mm), **options).plan()


def assert_promise_holds(plan, *, allowance_mm: float = 0.0):
    """Nothing cut into above a micrometre, nothing left above T where the cutter reaches."""
    cutter = plan.only.main.step.cutter.diameter_mm
    drawn = plan.placement.outline.region_within(T / 100)
    stock = shapely.box(*drawn.buffer(4 * cutter).bounds)
    if plan.only.main.step.settings.side == "inside":
        drawn = stock.difference(drawn)
    part = drawn.buffer(allowance_mm, quad_segs=FINE).intersection(stock)
    above_tabs = -4 + plan.only.main.step.settings.tab_height_mm + MICROMETRE
    removed = swept(plan.program.text, at_z=above_tabs, cutter_mm=cutter)
    cut_into = part.buffer(-MICROMETRE).intersection(removed)
    most = closed(part, cutter / 2 + T).buffer(T, quad_segs=FINE)
    left = finished(part, removed, stock=stock).difference(most)
    assert (cut_into.area, left.area) == pytest.approx((0, 0), abs=SPECK_MM2)


@pytest.mark.parametrize("path", ART, ids=lambda p: p.stem)
@pytest.mark.parametrize("cutter_mm", [1.5, 3.175])
def test_the_promise_holds_on_every_demo_drawing(path, cutter_mm):
    assert_promise_holds(plan_of(o2p.read_outline(path), cutter_mm, tabs=3))


@pytest.mark.parametrize("name", specimens.ALL)
def test_the_promise_holds_on_every_specimen(name):
    assert_promise_holds(plan_of(o2p.Outline.from_shapely(specimens.ALL[name]), 2.0, tabs=2))


FEW = settings(max_examples=25)


@FEW
@given(regions(), cutter_diameters())
def test_the_promise_holds_on_any_region(region, cutter_mm):
    assert_promise_holds(plan_of(o2p.Outline.from_shapely(region), cutter_mm))


@FEW
@given(sheets(), cutter_diameters())
def test_the_promise_holds_on_any_sheet_of_parts(sheet, cutter_mm):
    assert_promise_holds(plan_of(o2p.Outline.from_shapely(sheet), cutter_mm))


@pytest.mark.parametrize("allowance_mm", [0.0, 0.1, 0.5])
def test_an_allowance_grows_the_part(allowance_mm):
    outline = o2p.Outline.from_shapely(specimens.ALL["ring"])
    plan = plan_of(outline, 3.0, allowance=allowance_mm)
    assert_promise_holds(plan, allowance_mm=allowance_mm)


@pytest.mark.parametrize(
    "name", ["square", "ellipse", "rounded rectangle", "hourglass", "nested rings"]
)
def test_inside_the_promise_holds_of_the_stock_that_stays(name):
    outline = o2p.Outline.from_shapely(specimens.ALL[name])
    assert_promise_holds(plan_of(outline, 3.0, side="inside"))


@pytest.mark.parametrize(
    "options",
    [
        {"direction": "conventional"},
        {"finish_allowance": 0.3},
        {"lead": "line"},
        {"lead": "none"},
        {"entry": "ramp"},
        {"entry": "helix"},
    ],
    ids=str,
)
def test_the_promise_holds_for_every_way_of_cutting(options):
    assert_promise_holds(plan_of(o2p.read_outline(ART[4]), 2.0, tabs=3, **options))


@pytest.mark.parametrize("wrong_mm", [0.02, -0.02])
def test_the_measure_notices_a_cutter_of_a_fiftieth_more_or_less(wrong_mm):
    """A check that cannot fail proves nothing."""
    outline = o2p.Outline.from_shapely(specimens.ALL["ellipse"])
    plan = plan_of(outline, 2.0)
    one = plan.only
    step = replace(one.main.step, cutter=o2p.Cutter(2.0 + wrong_mm))
    wrong = replace(one, steps=(replace(one.main, step=step),))
    other = replace(plan, programs=(wrong,))
    with pytest.raises(AssertionError):
        assert_promise_holds(other)
