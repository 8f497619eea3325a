"""Traces follow the moves: lines, arcs both ways, full circles, helices; roles and passes kept."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings

from outline2path.path.toolpath import ARC_CCW, ARC_CW, LINE, MOVE, RAPID, ROLES, Toolpath
from outline2path.picture.moves import depth_order, traces
from tests.strategies import numbers

CUT = ROLES.index("cut")


def path_of(*rows, start=(0.0, 0.0, 0.0)) -> Toolpath:
    """A toolpath of these rows: kind, role, section, x, y, z, i, j."""
    moves = np.array([(*row, 0.0) for row in rows], dtype=MOVE)
    return Toolpath(moves=moves, sections=(), start=start, clearance_mm=5.0)


@pytest.mark.parametrize(
    ("kind", "length"), [(ARC_CCW, math.pi / 2 * 10), (ARC_CW, 3 * math.pi / 2 * 10)]
)
def test_an_arc_goes_round_the_way_its_kind_says(kind, length):
    # from (10, 0) to (0, 10) about the origin: a quarter one way, three quarters the other
    (trace,) = traces(path_of((kind, CUT, 0, 0, 10, 0, -10, 0), start=(10.0, 0.0, 0.0)))
    # chords within 0.02 mm of a radius of 10 shorten the arc by under 2 in 1000
    assert trace.length_mm == pytest.approx(length, rel=2e-3)
    assert np.hypot(*trace.points[:, :2].T) == pytest.approx(10, abs=1e-9)


@pytest.mark.parametrize("kind", [ARC_CW, ARC_CCW])
def test_an_arc_that_ends_where_it_began_is_a_full_circle(kind):
    (trace,) = traces(path_of((kind, CUT, 0, 10, 0, 0, -10, 0), start=(10.0, 0.0, 0.0)))
    assert trace.length_mm == pytest.approx(2 * math.pi * 10, rel=2e-3)


def test_a_helix_falls_evenly():
    (trace,) = traces(path_of((ARC_CCW, CUT, 0, 10, 0, -3, -10, 0), start=(10.0, 0.0, 0.0)))
    # equal steps but for float noise
    assert np.ptp(np.diff(trace.points[:, 2])) == pytest.approx(0, abs=1e-9)
    assert trace.points[-1].tolist() == [10, 0, -3]


@settings(max_examples=40, deadline=None)
@given(numbers(0.5, 200), numbers(0.1, 6.1), numbers(0.005, 0.2))
def test_chords_stay_within_the_distance_asked_for(radius, turn, chord):
    end = (radius * math.cos(turn), radius * math.sin(turn))
    path = path_of((ARC_CCW, CUT, 0, *end, 0, -radius, 0), start=(radius, 0.0, 0.0))
    (trace,) = traces(path, chord_mm=chord)
    middle = (trace.points[1:, :2] + trace.points[:-1, :2]) / 2
    # 1e-9 mm: float noise
    assert (radius - np.hypot(*middle.T)).max() <= chord + 1e-9


def test_a_trace_ends_where_role_or_pass_changes():
    rapid, lead = ROLES.index("rapid"), ROLES.index("lead-in")
    path = path_of(
        (RAPID, rapid, 0, 5, 0, 5, 0, 0),
        (LINE, lead, 0, 6, 0, 0, 0, 0),
        (LINE, CUT, 0, 9, 0, 0, 0, 0),
        (LINE, CUT, 0, 9, 9, 0, 0, 0),
        (LINE, CUT, 1, 0, 9, 0, 0, 0),
    )
    found = [(t.role, t.section, len(t.points)) for t in traces(path)]
    assert found == [("rapid", 0, 2), ("lead-in", 0, 2), ("cut", 0, 3), ("cut", 1, 2)]


def test_traces_join_end_to_start():
    lines = traces(path_of(*((LINE, CUT, k % 3, k, k * k, 0, 0, 0) for k in range(1, 9))))
    for one, after in pairwise(lines):
        assert one.points[-1].tolist() == after.points[0].tolist()


def test_no_moves_leave_no_traces():
    assert traces(path_of()) == ()


def test_depths_are_ranked_from_the_top_and_float_noise_makes_no_new_depth():
    depths, place = depth_order(np.array([-3.0, -1.5, -3.0 + 1e-9]))
    assert depths.tolist() == [-1.5, -3.0]
    assert place.tolist() == [1, 0, 1]
