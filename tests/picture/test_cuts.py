"""What is cleared, bridged and pointed at is where geometry says."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from outline2path.picture.cuts import cleared, draw_direction, draw_starts, tab_bridge
from outline2path.picture.moves import Trace, traces
from outline2path.picture.page import new_figure
from tests.picture import stand_ins
from tests.strategies import cutter_diameters, numbers, regions


def slot(length: float, *, role: str = "cut") -> Trace:
    """One straight cut along x."""
    return Trace(role, 0, np.array([[0.0, 0.0, -1.0], [length, 0.0, -1.0]]))


@settings(max_examples=25, deadline=None)
@given(numbers(1, 100), numbers(0.5, 10))
def test_a_straight_cut_clears_a_slot_with_round_ends(length, diameter):
    area = cleared([slot(length)], [diameter], detail_mm=0.01).area
    # round ends drawn with 6 chords a quarter turn fall short of the disc by 1.2 percent
    assert area == pytest.approx(length * diameter + math.pi * diameter**2 / 4, rel=0.012)


@pytest.mark.parametrize("role", ["rapid", "retract", "approach"])
def test_moves_above_the_stock_clear_nothing(role):
    assert cleared([slot(10, role=role)], [3.0], detail_mm=0.01).is_empty


def test_the_same_ring_at_four_depths_clears_what_one_does():
    path, _ = stand_ins.profile_path(stand_ins.leaf(), tabs=0)
    lines = traces(path)
    once = [t for t in lines if t.section % 4 == 0]
    diameters = [3.175] * len(path.sections)
    whole = cleared(lines, diameters, detail_mm=0.01)
    # both are the same unions but for the order of floating sums
    assert whole.area == pytest.approx(cleared(once, diameters, detail_mm=0.01).area, rel=1e-6)


def test_coarse_detail_bounds_the_work_and_keeps_the_area():
    path, _ = stand_ins.profile_path(stand_ins.leaf(), tabs=0)
    fine, coarse = (
        cleared(traces(path), [3.175] * len(path.sections), detail_mm=d) for d in (0.001, 0.1)
    )
    assert shapely.get_num_coordinates(coarse) < shapely.get_num_coordinates(fine)
    # edges move by at most 0.1 of 3.175 mm on either side
    assert coarse.area == pytest.approx(fine.area, rel=0.06)


@settings(max_examples=40, deadline=None)
@given(regions(), numbers(0, 1), cutter_diameters())
def test_a_tab_lies_beside_the_part_against_its_wall(region, where, cutter):
    at = region.exterior.interpolate(where, normalized=True)
    bridge = tab_bridge(region, (at.x, at.y), length_mm=4.0, cutter_mm=cutter)
    # 1e-6 mm2: slivers of float noise
    assert bridge.intersection(region).area < 1e-6
    assert bridge.distance(at) < cutter
    # a strip along the wall, and round an outer corner at most a disc
    assert bridge.area <= 4.0 * cutter + math.pi * cutter**2


def test_a_tab_goes_over_the_point_where_a_ring_closes():
    part = shapely.box(0, 0, 50, 50)
    bridge = tab_bridge(part, (50, 1), length_mm=6, cutter_mm=3)
    assert bridge.intersects(shapely.Point(51, 2))
    assert bridge.intersects(shapely.Point(49, -1))


def test_a_tab_in_a_hole_lies_inside_the_hole():
    part = shapely.box(0, 0, 50, 50) - shapely.box(10, 10, 40, 40)
    bridge = tab_bridge(part, (25, 10), length_mm=6, cutter_mm=3)
    # flat wall: exactly length times cutter, but for float noise
    assert bridge.area == pytest.approx(18, rel=1e-9)
    assert bridge.within(shapely.box(9.9, 9.9, 40.1, 40.1))


def test_arrow_heads_point_along_the_cut():
    ax = new_figure(300, 300).add_axes((0, 0, 1, 1))
    (heads,) = draw_direction(ax, [slot(50)], place=np.array([0]), scale=4.0)
    tip = heads.get_paths()[0].vertices[0]
    assert tip[0] > 0
    # along x: no part of the tip's direction across it, but for float noise
    assert tip[1] == pytest.approx(0, abs=1e-12)
    assert heads.get_offsets()[0] == pytest.approx((25, 0))


def test_arrow_heads_are_bounded_in_number():
    lines = [Trace("cut", k, slot(50).points + np.array([0, k, 0])) for k in range(2000)]
    ax = new_figure(300, 300).add_axes((0, 0, 1, 1))
    (heads,) = draw_direction(ax, lines, place=np.zeros(2000, int), scale=4.0)
    assert len(heads.get_offsets()) <= 300


def test_a_start_is_marked_once_for_all_depths():
    path, _ = stand_ins.profile_path(shapely.box(0, 0, 20, 20), tabs=0)
    ax = new_figure(300, 300).add_axes((0, 0, 1, 1))
    (marks,) = draw_starts(ax, traces(path))
    assert len(marks.get_offsets()) == 1


def test_nothing_cut_has_no_start_and_no_direction():
    ax = new_figure(300, 300).add_axes((0, 0, 1, 1))
    assert draw_starts(ax, []) == ()
    assert draw_direction(ax, [], place=np.array([], int), scale=1.0) == ()
