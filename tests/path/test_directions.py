"""Directions against angles told by hand, and against many small steps along each move."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.path.directions import axis_shares, headings, level_shares
from outline2path.path.measure import lengths_mm
from tests.path.moves import toolpath
from tests.strategies import numbers


def arc_rows(radius, begin_deg, sweep_deg, rise):
    """One arc about the origin as a row, and where it starts."""
    a, b = math.radians(begin_deg), math.radians(begin_deg + sweep_deg)
    start = radius * math.cos(a), radius * math.sin(a), 0.0
    end = radius * math.cos(b), radius * math.sin(b), rise
    kind = 3 if sweep_deg > 0 else 2
    return [(kind, *end, -start[0], -start[1], 600)], start


@pytest.mark.parametrize(
    ("begin", "sweep", "x", "y"),
    [
        (0, 45, math.sqrt(0.5), 1.0),  # begins along y
        (30, 30, math.sin(math.radians(60)), math.cos(math.radians(30))),
        (10, -30, math.sin(math.radians(20)), 1.0),  # passes 0 degrees
        (45, 90, 1.0, math.sqrt(0.5)),  # passes 90 degrees
        (0, 359, 1.0, 1.0),
    ],
)
def test_an_arc_asks_each_axis_for_its_share_where_it_runs_most_along_it(begin, sweep, x, y):
    rows, start = arc_rows(5, begin, sweep, 0)
    assert level_shares(toolpath(rows, start=start))[0] == pytest.approx((x, y), abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(
    begin=numbers(-180, 180),
    sweep=st.one_of(numbers(5, 350), numbers(-350, -5)),
    rise=numbers(-5, 5),
)
def test_shares_of_an_arc_are_those_of_many_small_steps_along_it(begin, sweep, rise):
    rows, start = arc_rows(7, begin, sweep, rise)
    t = np.radians(begin) + np.linspace(0, math.radians(sweep), 20001)
    at = np.column_stack([7 * np.cos(t), 7 * np.sin(t), np.linspace(0, rise, len(t))])
    step = np.diff(at, axis=0)
    most = np.abs(step / np.linalg.norm(step, axis=1)[:, None]).max(axis=0)
    # chords of a twenty-thousandth of the sweep: a direction is off by 1.5e-4 rad at most
    assert axis_shares(toolpath(rows, start=start))[0] == pytest.approx(most, abs=2e-4)


@given(numbers(-50, 50), numbers(-50, 50), numbers(-50, 50))
def test_a_line_has_the_shares_of_its_direction_at_both_ends(x, y, z):
    path = toolpath([(1, x, y, z, 0, 0, 600)], start=(0, 0, 0))
    size = lengths_mm(path)[0]
    if size > 1e-3:
        way = np.array([x, y, z]) / size
        leaves, arrives = headings(path)
        assert leaves[0] == pytest.approx(way, abs=1e-12)
        assert arrives[0] == pytest.approx(way, abs=1e-12)
        assert axis_shares(path)[0] == pytest.approx(np.abs(way), abs=1e-7)  # root of a difference


def test_a_move_of_no_length_goes_nowhere():
    path = toolpath([(1, 0, 0, 0, 0, 0, 600)], start=(0, 0, 0))
    assert not axis_shares(path).any()
