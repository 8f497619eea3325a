"""Feed shares against their formulas."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely

from outline2path.operations.feed_shares import (
    LEAST_SHARE,
    MOST_SHARE,
    eased,
    inside_share,
    thin_chip_share,
)
from tests import specimens


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
