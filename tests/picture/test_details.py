"""Enlarged spots measure the gap where it is."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.picture.details import (
    MOST_DETAILS,
    disc_place,
    draw_detail,
    gap_line,
    listed_spots,
)
from outline2path.picture.marks import make_marks
from outline2path.picture.page import new_figure
from tests import specimens
from tests.picture.stand_ins import StandInReach, StandInSpot, leaf, outline, spots_of
from tests.strategies import numbers


@pytest.mark.parametrize(
    ("region", "at", "gap"),
    [
        (specimens.two_discs(), (10.5, 0.0), 3.0),
        (specimens.hourglass_hole(), (0.0, 0.0), 8.0),
        (specimens.keyhole(), (0.0, 10.0), 2.0),
    ],
    ids=["two discs", "hourglass", "keyhole"],
)
def test_a_measure_runs_from_edge_to_edge(region, at, gap):
    one, other = gap_line(region, at, gap)
    assert math.dist(one, other) == pytest.approx(gap)
    # chords of 512 a quarter turn lie within 5e-6 of the radius of the true edge
    for end in (one, other):
        assert region.boundary.distance(shapely.Point(end)) == pytest.approx(0, abs=1e-4)


def test_a_place_on_an_edge_has_no_measure():
    assert gap_line(shapely.box(0, 0, 9, 9), (0, 4), 2.0) is None


def test_a_place_far_from_edges_has_no_measure():
    assert gap_line(shapely.box(0, 0, 9, 9), (4, 4), 2.0) is None


def reach_of_comb() -> StandInReach:
    """A comb with eight gaps, cut with 6 mm."""
    comb = specimens.comb()
    return StandInReach(outline=outline(comb), cutter_mm=6.0, spots=spots_of(comb, 6.0))


def test_enlarged_spots_carry_the_numbers_of_the_plot():
    reach = reach_of_comb()
    marks = make_marks(reach=reach)
    listed = listed_spots(reach, marks)
    assert len(listed) == MOST_DETAILS
    assert [number for number, _, _ in listed] == [1, 2, 3, 4]
    assert all(spot.at_mm == mark.at_mm for _, mark, spot in listed)


def test_the_cutter_is_drawn_to_scale():
    reach = reach_of_comb()
    number, mark, spot = listed_spots(reach, make_marks(reach=reach))[0]
    ax = new_figure(100, 100).add_axes((0, 0, 1, 1))
    draw_detail(ax, reach, spot, (number, mark))
    rings = [s for c in ax.collections for s in c.get_segments() if len(s) == 97]
    x0, y0, x1, y1 = shapely.LineString(rings[0]).bounds
    # 96 chords a turn: the box of their corners is exact along x and y
    assert (x1 - x0, y1 - y0) == pytest.approx((6.0, 6.0))


@pytest.mark.parametrize(("side", "filled"), [("outside", False), ("inside", True)])
def test_what_stays_is_filled_on_either_side(side, filled):
    disc = specimens.disc(0, 0, 20)
    lost = shapely.box(19, -1, 21, 1) - disc
    spot = StandInSpot(
        kind="corner",
        at_mm=(20.0, 0.0),
        gap_mm=None,
        lost_area_mm2=1.0,
        lost_depth_mm=1.0,
        lost=lost,
    )
    reach = StandInReach(outline=outline(disc), cutter_mm=6.0, side=side, spots=(spot,))
    number, mark, found = listed_spots(reach, make_marks(reach=reach))[0]
    ax = new_figure(100, 100).add_axes((0, 0, 1, 1))
    part = draw_detail(ax, reach, found, (number, mark))[0]
    rings = part.get_path().to_polygons()
    assert any(shapely.Polygon(r).contains(shapely.Point(24, 0)) for r in rings) == filled


@settings(max_examples=25, deadline=None)
@given(st.sampled_from([30.0, 60.0, 90.0, 120.0]), numbers(1, 6))
def test_the_disc_in_a_corner_rests_against_both_edges(angle, cutter):
    # a disc of radius r in a corner of that angle has its middle r / sin(angle / 2) from the tip
    notch = specimens.wedge_notch(angle)
    r, half = cutter / 2, math.radians(angle) / 2
    spot = StandInSpot(
        kind="corner",
        at_mm=(20.0, 10.0),
        gap_mm=None,
        lost_area_mm2=1.0,
        lost_depth_mm=r / math.sin(half) - r,
        lost=shapely.Point(20, 10).buffer(0.1),
    )
    reach = StandInReach(outline=outline(notch), cutter_mm=cutter, spots=(spot,))
    # offsets with 32 chords a quarter turn are right to 0.0003 r
    assert disc_place(reach, spot) == pytest.approx((20, 10 + r / math.sin(half)), abs=0.01)


@pytest.mark.parametrize(("units", "one"), [("mm", 1.0), ("in", 25.4)])
def test_an_enlarged_spot_carries_a_bar_as_long_as_it_says(units, one):
    reach = reach_of_comb()
    number, mark, spot = listed_spots(reach, make_marks(reach=reach))[0]
    ax = new_figure(100, 100).add_axes((0, 0, 1, 1))
    bar, words = draw_detail(ax, reach, spot, (number, mark), units=units)[-2:]
    long = float(np.ptp(bar.get_xdata()))
    assert words.get_text() == f"{long / one:g} {units}"
    low, high = ax.get_xlim()
    assert 0.1 < long / (high - low) <= 0.3
    assert low < min(bar.get_xdata())
    assert max(bar.get_xdata()) < high


@pytest.mark.parametrize("kind", ["gap", "hole", "corner"])
def test_an_enlarged_spot_says_what_it_is_and_how_wide_the_cutter(kind):
    reach = reach_of_comb()
    spot = replace(reach.spots[0], kind=kind, gap_mm=None if kind == "corner" else 2.0)
    reach = replace(reach, spots=(spot,))
    number, mark, found = listed_spots(reach, make_marks(reach=reach))[0]
    ax = new_figure(100, 100).add_axes((0, 0, 1, 1))
    draw_detail(ax, reach, found, (number, mark))
    words = [t.get_text() for t in ax.texts]
    assert any(w.startswith(kind) for w in words)
    assert "\u2300 6 mm" in words


def test_a_reach_without_spots_has_nothing_to_enlarge():
    reach = StandInReach(outline=outline(leaf()), cutter_mm=1.0)
    assert listed_spots(reach, make_marks(reach=reach)) == []
