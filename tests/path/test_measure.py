"""Lengths, sweeps and bounds against the standard's example and elementary geometry."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from outline2path.path.measure import bounds_mm, lengths_mm, positions_mm, sweeps_rad
from outline2path.path.toolpath import MOVE, Toolpath
from tests.path.curves import arc
from tests.path.moves import toolpath
from tests.strategies import numbers

EXAMPLE = (2, 10, 16, 9, 3, 4, 600)
"""NISTIR 6556 section 3.5.3.2: at (7, 7), G17 G2 X10 Y16 I3 J4 Z9."""


def test_the_standards_arc_has_its_sweep_and_its_helix_its_length():
    path = toolpath([EXAMPLE], start=(7, 7, 0))
    assert math.degrees(sweeps_rad(path)[0]) == pytest.approx(-143.130102, abs=1e-6)  # W9
    assert lengths_mm(path)[0] == pytest.approx(15.395179, abs=1e-6)  # W9, six decimals given


def test_the_standards_arc_in_the_plane_is_12_490458_long():
    path = toolpath([(*EXAMPLE[:3], 0, *EXAMPLE[4:])], start=(7, 7, 0))
    assert lengths_mm(path)[0] == pytest.approx(12.490458, abs=1e-6)  # W9


@pytest.mark.parametrize(("kind", "turn"), [(2, -360), (3, 360)])
def test_an_arc_that_ends_where_it_starts_is_a_full_circle(kind, turn):
    path = toolpath([(kind, 4, 0, 0, -4, 0, 600)], start=(4, 0, 0))
    assert math.degrees(sweeps_rad(path)[0]) == turn
    assert lengths_mm(path)[0] == pytest.approx(8 * math.pi)
    assert bounds_mm(path) == pytest.approx((-4, -4, 0, 4, 4, 0))


def test_lines_and_rapids_are_as_long_as_their_straight_way():
    path = toolpath([(0, 3, 4, 5, 0, 0, 0), (1, 3, 4, -7, 0, 0, 300)])
    assert lengths_mm(path).tolist() == [5, 12]
    assert positions_mm(path).tolist() == [[0, 0, 5], [3, 4, 5], [3, 4, -7]]


@given(
    radius=numbers(0.1, 50),
    begin=numbers(0, 360),
    sweep=numbers(5, 350),
    sign=st.sampled_from([1, -1]),
)
def test_bounds_and_lengths_agree_with_the_arc_drawn_finely(radius, begin, sweep, sign):
    points = arc(radius, begin, begin + sign * sweep, 4001)
    kind, end, offset = (3 if sign > 0 else 2), points[-1], -points[0]
    path = toolpath([(kind, *end, 0, *offset, 600)], start=(*points[0], 0))
    line = shapely.LineString(points)
    assert lengths_mm(path)[0] == pytest.approx(line.length, rel=1e-5)  # 4000 chords
    x0, y0, _, x1, y1, _ = bounds_mm(path)
    assert (x0, y0, x1, y1) == pytest.approx(line.bounds, abs=1e-6 * radius)


def test_a_path_without_moves_is_its_start():
    assert bounds_mm(toolpath(np.zeros((0, 7)))) == (0, 0, 5, 0, 0, 5)


def test_without_rapids_the_way_from_work_zero_does_not_count():
    moves = np.zeros(3, MOVE)
    moves["kind"] = [0, 1, 0]
    moves["x"], moves["y"], moves["z"] = [20, 30, 0], [10, 10, 0], [5, -1, 5]
    path = Toolpath(moves=moves, sections=(), start=(0, 0, 5), clearance_mm=5)
    assert bounds_mm(path) == (0, 0, -1, 30, 10, 5)
    assert bounds_mm(path, rapids=False) == (20, 10, -1, 30, 10, 5)
