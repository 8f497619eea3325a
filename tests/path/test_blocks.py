"""Spans as moves: lines, arcs and helices that end on the span's own points."""

import math

import numpy as np
import pytest

from outline2path.path.blocks import Fitter
from outline2path.path.measure import lengths_mm
from outline2path.path.toolpath import ARC_CCW, ARC_CW, LINE, Toolpath
from tests.path.curves import arc, waves

TOLERANCE = 0.005


def in_space(flat, heights):
    return np.column_stack([flat, np.broadcast_to(heights, len(flat))])


def test_a_level_circle_is_two_arcs_that_return_to_their_start():
    ring = in_space(arc(10, 0, 360, 361), -2.0)
    moves = Fitter(TOLERANCE).moves(ring)
    assert moves["kind"].tolist() == [ARC_CCW, ARC_CCW]
    assert (moves["x"][1], moves["y"][1], moves["z"][1]) == pytest.approx((10, 0, -2))


def test_a_ramp_round_an_arc_is_one_helix_of_the_right_length():
    """Quarter turn of radius 8, falling 1: hypotenuse of its arc and its fall."""
    ramp = in_space(arc(8, 90, 0, 91), np.linspace(0, -1, 91))
    moves = Fitter(TOLERANCE).moves(ramp)
    path = Toolpath(moves=moves, sections=(), start=tuple(ramp[0]), clearance_mm=5)
    assert moves["kind"].tolist() == [ARC_CW]
    assert lengths_mm(path)[0] == pytest.approx(math.hypot(4 * math.pi, 1), rel=1e-9)


def test_where_the_slope_changes_a_new_move_begins():
    heights = np.concatenate([np.linspace(0, -1, 46), np.full(45, -1.0)])
    moves = Fitter(TOLERANCE).moves(in_space(arc(8, 0, 90, 91), heights))
    assert moves["z"].tolist() == pytest.approx([-1, -1])
    assert moves["kind"].tolist() == [ARC_CCW, ARC_CCW]


def test_a_step_straight_up_and_down_over_a_tab_stays_vertical():
    path = [[0, 0, -6], [5, 0, -6], [5, 0, -4], [7, 0, -4], [9, 0, -4], [9, 0, -6], [14, 0, -6.0]]
    moves = Fitter(TOLERANCE).moves(np.array(path))
    rows = moves[["kind", "x", "z"]].tolist()
    assert rows == [(LINE, x, z) for x, z in [(5, -6), (5, -4), (9, -4), (9, -6), (14, -6)]]


def test_a_slope_that_changes_bit_by_bit_is_followed():
    run = np.linspace(0, 10, 101)
    sag = np.column_stack([run, np.zeros(101), (run - 5) ** 2 / 50])
    moves = Fitter(TOLERANCE).moves(sag)
    ends = np.vstack([sag[:1, [0, 2]], np.column_stack([moves["x"], moves["z"]])])
    assert np.interp(run, *ends.T) == pytest.approx(sag[:, 2], abs=2e-5)  # the grid of heights


def test_moves_of_no_length_are_dropped():
    still = np.array([[1, 1, 0], [1, 1, 0], [1, 1, 0], [4, 1, 0], [4, 1, 0.0]])
    assert len(Fitter(TOLERANCE).moves(still)) == 1
    assert len(Fitter(TOLERANCE).moves(still[:2])) == 0


def test_the_same_ring_at_another_depth_has_the_same_moves():
    fitter, ring = Fitter(TOLERANCE), waves(400)
    high, low = (fitter.moves(in_space(ring, z)) for z in (-1.0, -2.0))
    assert (
        high[["kind", "x", "y", "i", "j"]].tolist() == low[["kind", "x", "y", "i", "j"]].tolist()
    )
    assert set(low["z"].tolist()) == {-2.0}


def test_learning_many_spans_first_changes_nothing():
    spans = [in_space(waves(300, lobes=k), np.linspace(0, -k, 300)) for k in (3, 4)]
    learnt = Fitter(TOLERANCE)
    learnt.learn(spans)
    for points in spans:
        assert learnt.moves(points).tolist() == Fitter(TOLERANCE).moves(points).tolist()
