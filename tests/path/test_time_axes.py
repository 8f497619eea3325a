"""Time on a machine whose axes differ: closed forms, and axes driven in small steps of time."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.errors import SettingError
from outline2path.path.time import times
from outline2path.path.toolpath import Section, Toolpath
from outline2path.shop.axes import PerAxis
from outline2path.shop.cutter import Cutter
from tests.path import stepping
from tests.path.moves import toolpath
from tests.strategies import numbers

AXES = (300.0, 150.0, 40.0)
"""Acceleration of x, y, z, mm/s2: a light table under a heavy gantry and a heavier head."""


def seconds(rows, *, acceleration=AXES, rapid=3000.0, **options):
    path = toolpath(rows, start=(0, 0, 0))
    return times(path, rapid=rapid, acceleration=acceleration, **options).total_s


def trapezoid(d, v, a):
    """Rest to rest (kinematics; sources.md section 4)."""
    return d / v + v / a if d >= v * v / a else 2 * math.sqrt(d / a)


@pytest.mark.parametrize("distance", [0.5, 100])
@pytest.mark.parametrize(
    ("way", "push"),
    [
        ((1, 0, 0), 300),
        ((0, 1, 0), 150),
        ((0, 0, 1), 40),
        ((0.6, 0.8, 0), 150 / 0.8),
        ((0.8, 0, 0.6), 40 / 0.6),
        ((2 / 3, 2 / 3, 1 / 3), 40 * 3),
    ],
)
def test_a_line_takes_the_trapezoid_of_its_slowest_axis(way, push, distance):
    row = (1, *(distance * share for share in way), 0, 0, 1800)
    assert seconds([row]) == pytest.approx(trapezoid(distance, 30, push), rel=1e-9)


def test_three_equal_axes_give_a_diagonal_more_than_one_figure_along_it():
    """200 of each of two axes is 283 along their diagonal; one figure of 200 is 200 everywhere."""
    row = (1, 50, 50, 0, 0, 0, 1800)
    long = 50 * math.sqrt(2)
    assert seconds([row], acceleration=200) == pytest.approx(trapezoid(long, 30, 200))
    equal = seconds([row], acceleration=(200, 200, 200))
    assert equal == pytest.approx(trapezoid(long, 30, 200 * math.sqrt(2)))


@pytest.mark.parametrize(("x", "y"), [(300, 150), (150, 300), (90, 90)])
def test_a_circle_is_no_faster_than_the_weaker_of_its_axes_holds_it(x, y):
    """v squared over R is asked of each axis in turn: v = sqrt(R min(x, y))."""
    turns, push = 80, min(x, y)
    circle = [(3, 0, 0, 0, -0.5, 0, 6000)] * turns
    v = math.sqrt(0.5 * push)
    expected = trapezoid(turns * math.pi, v, push)
    assert seconds(circle, acceleration=(x, y, 40)) == pytest.approx(expected, rel=1e-9)


def test_a_short_arc_along_the_strong_axis_is_held_by_the_other_one():
    """Over the top of a circle the way is along x and the pull along y, whatever x could give."""
    half, radius = math.radians(2), 5.0
    end, down = 2 * radius * math.sin(half), -radius * math.cos(half)
    v, push = math.sqrt(150 * radius), 150 / math.sin(half)  # y has 2 degrees of the way at most
    found = seconds([(2, end, 0, 0, end / 2, down, 60000)], acceleration=(1e9, 150, 40))
    assert found == pytest.approx(trapezoid(2 * half * radius, v, push), rel=1e-6)


@pytest.mark.parametrize("theta", [60, 90, 150])
def test_a_corner_is_pulled_round_by_the_axes_along_its_change_of_direction(theta):
    turn = math.radians(180 - theta)
    end = 50 + 50 * math.cos(turn), 50 * math.sin(turn)
    rows = [(1, 50, 0, 0, 0, 0, 1800), (1, *end, 0, 0, 0, 1800)]
    change = np.array([math.cos(turn) - 1, math.sin(turn)])
    pull = min(np.array(AXES[:2]) / np.abs(change / np.hypot(*change)))
    s = math.sin(math.radians(theta) / 2)
    v = math.sqrt(pull * 0.01 * s / (1 - s))
    expected = 0.0
    for push in (AXES[0], min(np.array(AXES[:2]) / np.abs([math.cos(turn), math.sin(turn)]))):
        level = 50 - (2 * 30**2 - v**2) / (2 * push)
        expected += (60 - v) / push + level / 30
    assert seconds(rows, deviation_mm=0.01) == pytest.approx(expected, rel=1e-6)


@settings(max_examples=6, deadline=None)
@given(
    bits=st.lists(
        st.tuples(numbers(0.3, 5), numbers(-80, 80), numbers(-0.6, 0.6),
                  st.sampled_from([600, 1200, 1800])),
        min_size=1,
        max_size=6,
    )
)  # fmt: skip
def test_a_chain_of_blocks_takes_as_long_as_axes_driven_in_small_steps_of_time(bits):
    heading, points = 0.0, [np.zeros(3)]
    for length, turn, rise, _ in bits:
        heading += math.radians(turn)
        step = np.array([math.cos(heading), math.sin(heading), rise])
        points.append(points[-1] + length * step)
    feeds = [feed for *_, feed in bits]
    rows = [(1, *p.tolist(), 0, 0, feed) for p, feed in zip(points[1:], feeds, strict=True)]
    lengths, ways = stepping.chain(points)
    driven = stepping.seconds(
        lengths, ways, tops=np.array(feeds) / 60,
        corners=np.append(stepping.corner_limits(ways, AXES, 0.01), 0.0), accelerations=AXES,
    )  # fmt: skip
    assert seconds(rows, deviation_mm=0.01) == pytest.approx(driven, rel=0.01, abs=0.003)


def test_a_ring_of_short_chords_takes_as_long_as_axes_driven_in_small_steps_of_time():
    """Look-ahead across many blocks, each too short to stop in."""
    t = np.radians(np.linspace(0, 360, 121))
    points = np.column_stack([6 * np.cos(t) - 6, 4 * np.sin(t), 0 * t])
    lengths, ways = stepping.chain(points)
    driven = stepping.seconds(
        lengths, ways, tops=np.full(120, 40.0),
        corners=np.append(stepping.corner_limits(ways, AXES, 0.01), 0.0), accelerations=AXES,
    )  # fmt: skip
    rows = [(1, *p, 0, 0, 2400) for p in points[1:].tolist()]
    assert seconds(rows, deviation_mm=0.01) == pytest.approx(driven, rel=0.01)


@pytest.mark.parametrize(
    ("way", "speed"), [((100, 0, 0), 50), ((0, 60, 80), 30 / 0.8), ((0, 0, 100), 30)]
)
def test_rapids_run_as_fast_as_the_first_axis_at_its_limit(way, speed):
    found = times(
        toolpath([(0, *way, 0, 0, 0)], start=(0, 0, 0)),
        rapid=(3000, 3000, 1800), acceleration=1e9,
    )  # fmt: skip
    assert found.total_s == pytest.approx(100 / speed, rel=1e-6)
    assert found.naive_s == pytest.approx(100 / speed, rel=1e-9)


@settings(max_examples=25)
@given(
    rows=st.lists(
        st.tuples(st.just(1), *[numbers(-50, 50)] * 3, st.just(0), st.just(0), numbers(60, 3000)),
        min_size=1,
        max_size=20,
    ),
    weak=st.integers(0, 2),
)
def test_a_weaker_axis_never_makes_a_path_quicker(rows, weak):
    weaker = tuple(a / 2 if k == weak else a for k, a in enumerate(AXES))
    assert seconds(rows, acceleration=weaker) >= seconds(rows) * (1 - 1e-9)


def test_waiting_counts_to_the_whole_and_a_change_of_cutter_stays_apart():
    found = times(
        toolpath([(1, 100, 0, 0, 0, 0, 1800)], start=(0, 0, 0)),
        rapid=3000, acceleration=200, waiting_s=2.0,
    )  # fmt: skip
    assert (found.waiting_s, found.change_s) == (2.0, 0.0)
    assert found.total_s == pytest.approx(3.483333 + 2, abs=1e-6)  # W13


def test_each_pass_has_its_seconds_with_length_over_feed_beside_them():
    rows = [(0, 4, 0, 10, 0, 0, 0, 0, 0), (1, 4, 0, 10, 30, 0, 0, 0, 900), (1, 4, 1, 40, 30, 0, 0, 0, 1800)]  # fmt: skip  # noqa: E501
    moves = np.array(rows, toolpath([]).moves.dtype)
    one = Section(operation="profile", contour=0, cutter=Cutter(3), z_mm=-1.0)
    path = Toolpath(moves=moves, sections=(one, one), start=(0, 0, 0), clearance_mm=5)
    found = times(path, rapid=3000, acceleration=200)
    assert found.section_naive_s == pytest.approx((10 / 50 + 30 / 15, 1.0))
    assert sum(found.section_s) == pytest.approx(found.moving_s)
    assert all(a > b for a, b in zip(found.section_s, found.section_naive_s, strict=True))


@pytest.mark.parametrize(
    "options", [{"acceleration": (200, 0, 50)}, {"rapid": (1, 2)}, {"waiting_s": -1}]
)
def test_axes_and_waits_that_cannot_be_are_refused(options):
    with pytest.raises(SettingError, match=r"not positive|neither one|negative"):
        seconds([(1, 1, 0, 0, 0, 0, 600)], **options)


def test_axes_read_from_a_machine_and_plain_figures_are_the_same():
    row = [(1, 30, 40, 0, 0, 0, 1800)]
    assert seconds(row, acceleration=PerAxis(AXES)) == seconds(row, acceleration=AXES)
