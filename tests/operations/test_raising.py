"""How much of the path is raised for a tab on a bend, by triangles and by plain distances."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.reader import read_outline
from outline2path.errors import RefusedError
from outline2path.operations.loops import Loop
from outline2path.operations.profile import ProfileSettings, profile
from outline2path.operations.raising import crooked, raised_over, tab_line
from outline2path.proof.feature import ExpectedTab, Feature
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import DEFAULT_TOLERANCE_MM
from tests import specimens
from tests.operations.laws import BOTTOM, planned, segments_below
from tests.operations.replaying import faults, judged
from tests.strategies import cutter_diameters, numbers, regions

TAB, CUTTER = 6.0, 2.0
STEP = CUTTER / 64
"""The end of a raised stretch is looked for in steps this long."""


def bent(angle_deg: float, before_mm: float) -> tuple[Loop, float]:
    """A loop with a corner, and where a tab's middle is whose end lies that far before it."""
    turn = math.radians(angle_deg)
    corner, leg = np.array([40.0, 0.0]), 40.0
    back = corner + leg * np.array([-math.cos(turn), math.sin(turn)])
    return Loop.of([(0, 0), corner, back, (-200.0, back[1] + 300.0)]), 40.0 - before_mm - TAB / 2


@pytest.mark.parametrize("angle", [60.0, 75.0, 90.0, 120.0, 150.0])
@pytest.mark.parametrize("before", [0.0, 0.2, 0.5, 0.7, 0.95])
def test_beyond_a_corner_the_path_stays_up_until_a_radius_away(angle, before):
    """In the triangle of tab's end, corner and the path's end, by the law of cosines."""
    loop, middle = bent(angle, before)
    line = tab_line(loop, middle, TAB)
    low, high = raised_over(loop, middle, line, cutter_mm=CUTTER, tolerance_mm=0.0)
    turn = math.radians(angle)
    leg = before * math.cos(turn) + math.sqrt(1.0 - (before * math.sin(turn)) ** 2)
    if leg * math.cos(turn) > before:  # the tab's side is nearer than its end
        leg = 1.0 / math.sin(turn)
    assert middle - low == pytest.approx((TAB + CUTTER) / 2)
    assert high - middle == pytest.approx(max(TAB / 2 + before + leg, 4.0), abs=STEP)


@pytest.mark.parametrize("angle", [60.0, 90.0, 120.0])
def test_no_corner_needs_more_than_the_triangle_over_a_radius(angle):
    """The longest way round over a base of r is that of the isosceles triangle, r / sin(b/2)."""
    most = 0.0
    for before in np.linspace(0.0, 1.0, 41):
        loop, middle = bent(angle, float(before))
        line = tab_line(loop, middle, TAB)
        _, high = raised_over(loop, middle, line, cutter_mm=CUTTER, tolerance_mm=0.0)
        most = max(most, high - middle - TAB / 2)
    assert most == pytest.approx(1.0 / math.sin(math.radians(angle) / 2), abs=2 * STEP)


@pytest.mark.parametrize(("angle", "told"), [(40.0, True), (50.0, True), (70.0, False)])
def test_corners_sharper_than_sixty_degrees_are_kept_clear_of(angle, told):
    """Half a diameter beyond a straight tab's is r / sin(30 degrees) from its end."""
    loop, _ = bent(angle, 0.0)
    step = 0.05
    places = loop.at(np.arange(0.0, loop.length_mm, step))
    flags = crooked(places, step_mm=step, length_mm=TAB, cutter_mm=CUTTER)
    assert bool(flags[round(37.0 / step) - 30 : round(37.0 / step) + 30].any()) == told


def test_on_a_circle_nothing_is_crooked_and_the_chord_decides():
    """A path circle of R 3: an arc of a radius has the chord 2 R sin(r / 2 R) = 0.9954 r."""
    loop = Loop.of(shapely.get_coordinates(specimens.disc(0, 0, 3).exterior))
    line = tab_line(loop, 5.0, 4.0)
    low, high = raised_over(loop, 5.0, line, cutter_mm=2.0, tolerance_mm=0.0)
    wanted = 2 * 3 * math.asin(1.0 / 6)  # the arc whose chord is the radius
    assert (high - 7.0, 3.0 - low) == pytest.approx((wanted, wanted), abs=STEP)
    even = np.arange(0.0, loop.length_mm, 0.1)
    assert not crooked(loop.at(even), step_mm=0.1, length_mm=4.0, cutter_mm=2.0).any()


def test_a_tab_longer_than_its_ring_raises_all_of_it():
    loop = Loop.of([(0, 0), (2, 0), (2, 2), (0, 2)])
    line = tab_line(loop, 1.0, 20.0)
    low, high = raised_over(loop, 1.0, line, cutter_mm=2.0, tolerance_mm=0.02)
    assert (low, high - low) == (5.0, 8.0)


def standing(contour, tab_mm: float, low: shapely.Geometry) -> list[float]:
    """For each tab the most that low passes come off its middle line, over where it may stand."""
    found = []
    for span in (s for s in contour.cuts[-1].spans if s.role == "tab"):
        line = shapely.LineString(span.points[:, :2])
        step = 0.05
        spots = shapely.line_interpolate_point(line, np.arange(0.0, line.length, step))
        off = shapely.distance(spots, low)
        window = min(math.floor(tab_mm / step), len(off))
        found.append(max(np.lib.stride_tricks.sliding_window_view(off, window).min(axis=1)))
    return found


@settings(max_examples=40, deadline=None)
@given(
    regions(),
    cutter_diameters(),
    st.integers(1, 8),
    numbers(1, 10),
    st.sampled_from(["outside", "inside"]),
    st.sampled_from([0.0, 0.3]),
)
def test_every_tab_keeps_its_length_wherever_it_stands(region, cutter, count, tab, side, finish):
    """A low pass may come no nearer to any of its middle line than the radius, less T."""
    finish = min(finish, cutter / 2)
    options = {"tab_length_mm": tab, "finish_allowance_mm": finish, "side": side}
    try:
        plan = planned(region, cutter, tabs=count, **options)
    except RefusedError:
        return
    low = segments_below(plan, BOTTOM + 1.5 - 1e-9)
    for contour in plan.contours:
        if contour.tabs and not low.is_empty:
            kept = standing(contour, tab, low)
            assert (
                min(kept) >= cutter / 2 - DEFAULT_TOLERANCE_MM - 0.05
            )  # its spots are 0.05 apart


DEMO_ART = Path(__file__).parents[2] / "demo_art"


@pytest.mark.parametrize(
    ("name", "width", "cutter", "side", "tabs", "finish"),
    [
        ("bookmark_comb", 25, 2.0, "outside", 2, 0.0),  # a tab's end before a hollow corner
        ("bookmark_comb", 27, 2.0, "outside", 6, 0.0),  # and one on a blunt tip
        ("bookmark_comb", 26, 6.0, "outside", 2, 0.0),
        ("bookmark_comb", 28, 2.0, "outside", 2, 0.0),
        ("bookmark_comb", 22, 6.0, "outside", 4, 0.3),  # a roughing pass farther round a bend
        ("garden_gate", 47, 3.175, "outside", 6, 0.3),  # a roughing pass beyond a corner
        ("heron", 42, 6.0, "outside", 6, 0.3),
        ("fern", 15, 3.175, "outside", 3, 0.0),
        ("fern", 50, 6.0, "inside", 4, 0.0),
    ],
)
def test_tabs_on_the_bends_of_small_art_stand_as_the_judge_would_have_them(
    name, width, cutter, side, tabs, finish
):
    drawn = read_outline(DEMO_ART / f"{name}.svg").fit(width=f"{width} mm")
    chosen = ProfileSettings(
        side=side, tabs=tabs, depth_per_pass_mm=2.0, finish_allowance_mm=finish
    )
    plan = profile(drawn, Cutter(cutter), settings=chosen, top_mm=0.0, bottom_mm=-3.0)
    stand = tuple(
        ExpectedTab(at_mm=tab.at_mm, length_mm=tab.length_mm, height_mm=tab.height_mm)
        for contour in plan.contours
        for tab in contour.tabs
    )
    feature = Feature(
        kind="profile", region_fine=drawn, side=side, bottom_mm=-3.0, through_mm=0.3, tabs=stand
    )
    assert stand
    assert faults(judged(plan, [feature], Cutter(cutter), bottom_mm=-3.0)) == []
