"""Feed shares against their formulas."""

from __future__ import annotations

import itertools
import math
import re

import numpy as np
import pytest
import shapely

from outline2path.operations.feed_shares import (
    LEAST_SHARE,
    MOST_SHARE,
    eased,
    inside_share,
    pace_of,
    thin_chip_share,
)
from outline2path.operations.loops import Loop
from tests import specimens
from tests.operations.laws import cuts_of, planned, spans_of
from tests.operations.replaying import written


def ring(region: shapely.Polygon) -> np.ndarray:
    return shapely.get_coordinates(region.exterior)


def counter_clockwise(region: shapely.Polygon) -> np.ndarray:
    return ring(shapely.orient_polygons(region))


@pytest.mark.parametrize(
    ("stepover", "share"),
    [(0.1, 1 / 0.6), (0.2, 1.25), (0.4, 1.020621), (0.5, 1.0), (1.0, 1.0)],
)
def test_thin_chips_follow_the_formula(stepover, share):
    """sources 3.1: fz' = h / (2 sqrt(a - a^2)); a 0.1 gives the factor 0.6."""
    assert thin_chip_share(stepover) == pytest.approx(share, abs=1e-6)  # six printed decimals


def test_feeds_are_never_more_than_doubled():
    assert thin_chip_share(0.02) == MOST_SHARE


def test_an_inside_arc_follows_the_formula():
    """sources W17: part radius 5, r 1.5875: inside factor 0.682500."""
    assert inside_share(5.0, 1.5875) == pytest.approx(0.6825)


@pytest.mark.parametrize("wall_mm", [3.0, 5.0, 12.0, 60.0])
def test_a_round_wall_gets_one_share_just_under_the_formula(wall_mm):
    path = counter_clockwise(specimens.disc(0, 0, wall_mm - 1.5))
    spans = eased(path, -1.0, share=1.0, cutter_radius_mm=1.5, direction="climb")
    exact = inside_share(wall_mm, 1.5)
    assert {s.feed_factor for s in spans} == {math.floor(exact * 20 + 0.05) / 20}


def test_a_corner_is_slow_and_the_straight_is_not():
    path = counter_clockwise(specimens.square(20))
    spans = eased(path, -1.0, share=1.5, cutter_radius_mm=1.5, direction="climb")
    assert sorted({s.feed_factor for s in spans}) == [1.5 * LEAST_SHARE, 1.5]
    slow = sum(
        np.hypot(*np.diff(s.points[:, :2], axis=0).T).sum() for s in spans if s.feed_factor < 1
    )
    assert slow == pytest.approx(4 * 1.5)  # half a radius to both sides of four corners


def test_an_outer_corner_is_not_slowed():
    path = counter_clockwise(specimens.square(20))[::-1]
    spans = eased(path, -1.0, share=1.0, cutter_radius_mm=1.5, direction="climb")
    assert {s.feed_factor for s in spans} == {1.0}


def test_with_conventional_cutting_inside_arcs_turn_right():
    path = counter_clockwise(specimens.disc(0, 0, 3.5))[::-1]
    spans = eased(path, -1.0, share=1.0, cutter_radius_mm=1.5, direction="conventional")
    assert {s.feed_factor for s in spans} == {0.7}


def test_the_spans_go_once_round_without_a_gap():
    path = counter_clockwise(specimens.ALL["pentagram"])
    spans = eased(path, -1.0, share=1.0, cutter_radius_mm=1.5, direction="climb")
    for before, after in itertools.pairwise(spans):
        assert np.array_equal(before.points[-1], after.points[0])
    length = sum(np.hypot(*np.diff(s.points[:, :2], axis=0).T).sum() for s in spans)
    assert length == pytest.approx(specimens.ALL["pentagram"].length)


def engaged(path_mm: float, radius_mm: float, deep_mm: float) -> float:
    """Angle of the rim in stock, radians, by counting places of the rim (no formula).

    The cutter goes round inside a wall of path + radius; what is left on it is `deep_mm` thick.
    """
    rim = np.linspace(0, 2 * np.pi, 200_001)
    away = np.hypot(path_mm + radius_mm * np.cos(rim), radius_mm * np.sin(rim))
    ahead = np.sin(rim) >= 0
    return float(np.mean((away > path_mm + radius_mm - deep_mm) & ahead) * 2 * np.pi)


@pytest.mark.parametrize("deep", [0.2, 0.5, 1.0, 1.5])
@pytest.mark.parametrize("path", [1.5, 3.5, 10.0, 1e4])
def test_on_inside_arcs_more_of_the_rim_is_in_the_stock(path, deep):
    """Law of cosines: cos phi = ((R - ae)^2 - rho^2 - r^2) / (2 rho r), R = rho + r; on a straight
    it is sources 3.1, cos phi = 1 - 2 ae / D."""
    radius = 1.5
    wall = path + radius
    phi = math.acos(((wall - deep) ** 2 - path**2 - radius**2) / (2 * path * radius))
    straight = math.acos(1 - deep / radius)
    assert engaged(path, radius, deep) == pytest.approx(phi, abs=1e-3)  # steps of the rim
    assert phi >= straight - 1e-3
    if path > 1000:
        assert phi == pytest.approx(straight, abs=1e-3)


@pytest.mark.parametrize("deep", [0.1, 0.5, 1.4])
@pytest.mark.parametrize("wall", [3.2, 4.0, 8.0, 40.0])
def test_the_lowered_feed_takes_no_more_in_a_second_than_a_straight(wall, deep):
    """Ground taken per millimetre of path, measured as the area between two rings."""
    ground = specimens.disc(0, 0, wall).area - specimens.disc(0, 0, wall - deep).area
    per_mm = ground / (2 * math.pi * (wall - 1.5))
    (span, *_) = eased(
        counter_clockwise(specimens.disc(0, 0, wall - 1.5)),
        -1.0,
        share=1.0,
        cutter_radius_mm=1.5,
        direction="climb",
    )
    if span.feed_factor > LEAST_SHARE:
        assert span.feed_factor * per_mm <= deep
    assert span.feed_factor * per_mm <= deep * max(1.0, LEAST_SHARE * wall / (wall - 1.5))


@pytest.mark.parametrize(("start", "end"), [(0.0, 60.0), (5.0, 25.0), (-30.0, 95.0), (59.0, 61.5)])
def test_a_pace_between_two_places_goes_round_without_a_gap(start, end):
    loop = Loop.of([(0, 0), (15, 0), (15, 15), (0, 15)])
    pace = pace_of(loop, cutter_radius_mm=2.0, direction="climb")
    parts = pace.between(start, end)
    assert (parts[0][0], parts[-1][1]) == pytest.approx((start, end))
    for (_, before, _), (after, _, _) in itertools.pairwise(parts):
        assert before == after
    for low, high, share in parts:
        from_corner = abs(((low + high) / 2 + 7.5) % 15 - 7.5)
        assert share == (LEAST_SHARE if from_corner < 1.0 else 1.0)


INSIDE = {"side": "inside", "slow_inside_arcs": True}


def test_a_profile_is_slow_in_inner_corners_and_nowhere_else():
    """Half a radius to both sides of four corners at every depth, once more over the start."""
    plan = planned(specimens.square(30), 3.0, **INSIDE)
    spans = [s for cut in cuts_of(plan) for s in cut.spans if s.feed_factor < 1]
    slow = sum(np.hypot(*np.diff(s.points[:, :2], axis=0).T).sum() for s in spans)
    assert slow == pytest.approx(len(cuts_of(plan)) * 4 * 1.5)
    assert {s.role for s in spans} == {"cut"}
    (finding,) = [f for f in plan.findings if f.code == "feed-lowered"]
    assert finding.value == LEAST_SHARE
    assert f"{slow:.0f} mm" in finding.message


@pytest.mark.parametrize(
    "more", [{}, {"tabs": 3}, {"entry": "ramp"}, {"finish_allowance_mm": 0.2}]
)
@pytest.mark.parametrize("side", ["outside", "inside"])
def test_a_slower_profile_follows_the_same_path(side, more):
    star = specimens.ALL["pentagram"]
    plain, slow = (
        planned(star, 2.0, side=side, slow_inside_arcs=chosen, **more) for chosen in (False, True)
    )
    lines = [shapely.LineString(np.vstack(spans_of(plan))) for plan in (plain, slow)]
    assert lines[0].length == pytest.approx(lines[1].length)
    assert shapely.hausdorff_distance(*lines) < 1e-9
    assert {s.feed_factor for cut in cuts_of(plain) for s in cut.spans} == {1.0}
    assert min(s.feed_factor for cut in cuts_of(slow) for s in cut.spans) < 1


def test_an_outside_profile_is_slow_in_hollow_corners_alone():
    cross = shapely.union(shapely.box(0, 20, 60, 40), shapely.box(20, 0, 40, 60))
    plan = planned(cross, 4.0, slow_inside_arcs=True, depth_per_pass_mm=9)
    slow = [s for cut in cuts_of(plan) for s in cut.spans if s.feed_factor < 1]
    hollow = shapely.MultiPoint([(20, 20), (40, 20), (40, 40), (20, 40)])
    assert len(slow) == 4
    assert all(hollow.distance(shapely.Point(s.points[0, :2])) < 4 for s in slow)


def test_lowered_feeds_are_written():
    words = set(re.findall(r"F([\d.]+)", written(planned(specimens.square(30), 3.0, **INSIDE))))
    assert {"450", "900"} <= {word.removesuffix(".0") for word in words}
