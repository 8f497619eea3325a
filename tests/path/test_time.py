"""Time against closed forms (sources.md section 4, W13, W13b) and a time-stepped replay."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.errors import SettingError
from outline2path.path.time import times
from tests.path.moves import toolpath
from tests.strategies import numbers

MACHINE = {"rapid": 3000.0, "acceleration": 200.0}


def seconds(rows, **options):
    return times(toolpath(rows, start=(0, 0, 0)), **{**MACHINE, **options}).total_s


@pytest.mark.parametrize(
    ("distance", "expected"),
    [(100, 3.483333), (2, 0.2), (4.5, 0.3)],  # W13; 4.5 mm is where the level part begins
)
def test_one_line_from_rest_to_rest_takes_the_time_of_its_trapezoid(distance, expected):
    assert seconds([(1, distance, 0, 0, 0, 0, 1800)]) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("theta", "speed"),
    [
        (30, 0.835701),
        (60, 1.414214),
        (90, 2.197368),
        (120, 3.595581),
        (150, 7.529640),
        (170, 22.881925),
    ],
)
def test_a_corner_is_taken_at_the_speed_its_deviation_allows(theta, speed):
    """W13b: acceleration 200, deviation 0.01; each leg then takes (2 vp - v) / a + level / vp."""
    turn = math.radians(180 - theta)
    end = 50 + 50 * math.cos(turn), 50 * math.sin(turn)
    both = seconds([(1, 50, 0, 0, 0, 0, 1800), (1, *end, 0, 0, 0, 1800)], deviation_mm=0.01)
    level = 50 - (2 * 30**2 - speed**2) / (2 * 200)
    assert both == pytest.approx(2 * ((60 - speed) / 200 + level / 30), abs=1e-6)


def test_a_straight_line_in_many_blocks_takes_as_long_as_in_one():
    blocks = [(1, x, 0, 0, 0, 0, 1800) for x in np.linspace(0, 100, 2001)[1:].tolist()]
    assert seconds(blocks) == pytest.approx(3.483333, abs=1e-5)


def test_a_circle_is_no_faster_than_its_radius_allows():
    """Radius 0.5 at 200 mm/s2: at most sqrt(200 / 2) = 10 mm/s whatever the feed asks."""
    circle = [(3, 0, 0, 0, -0.5, 0, 6000)] * 50
    assert seconds(circle) == pytest.approx(50 * math.pi / 10 + 10 / 200, rel=1e-6)


def test_on_a_helix_only_the_level_part_of_the_speed_goes_round():
    """Level speed 10 mm/s as on the circle above; along the helix it is 10 / cos(slope)."""
    round_mm, rise = math.pi, 3.0
    helix = [(3, 0, 0, -rise * (k + 1), -0.5, 0, 6000) for k in range(50)]
    along = 10 * math.hypot(round_mm, rise) / round_mm
    assert seconds(helix) == pytest.approx(50 * round_mm / 10 + along / 200, rel=1e-6)


def test_an_arc_that_leaves_a_line_on_its_tangent_needs_no_slowing():
    line, half = (1, 50, 0, 0, 0, 0, 1800), (3, 50, 40, 0, 0, 20, 1800)
    length = 50 + 20 * math.pi
    assert seconds([line, half]) == pytest.approx(length / 30 + 30 / 200, rel=1e-9)


def test_zero_deviation_stops_at_every_corner():
    square = [(1, 50, 0, 0, 0, 0, 1800), (1, 50, 50, 0, 0, 0, 1800)]
    assert seconds(square, deviation_mm=0) == pytest.approx(2 * (50 / 30 + 30 / 200))


def test_rapids_run_at_the_machines_rapid_and_count_apart():
    found = times(
        toolpath([(0, 100, 0, 0, 0, 0, 0), (1, 100, 30, 0, 0, 0, 900)], start=(0, 0, 0)),
        **MACHINE,
    )
    assert (found.rapid_mm, found.cut_mm) == (100, 30)
    assert found.naive_s == pytest.approx(100 / 50 + 30 / 15)


def stepped(lengths, tops, corners, acceleration, step=2e-5):
    """Drive along a chain of blocks in steps of time, always as fast as all limits ahead allow."""
    ends = np.cumsum(lengths)
    at, speed, clock = 0.0, 0.0, 0.0
    while at < ends[-1] - 1e-6:
        block = int(np.searchsorted(ends, at, side="right"))
        ahead = np.sqrt(corners[block:] ** 2 + 2 * acceleration * np.maximum(ends[block:] - at, 0))
        speed = min(speed + acceleration * step, tops[block], ahead.min())
        at, clock = at + max(speed, acceleration * step) * step, clock + step
    return clock


@settings(max_examples=12, deadline=None)
@given(
    bits=st.lists(
        st.tuples(numbers(0.3, 5), numbers(-80, 80), st.sampled_from([600, 1200, 1800])),
        min_size=1,
        max_size=6,
    )
)
def test_a_chain_of_blocks_takes_as_long_as_in_a_replay_by_steps_of_time(bits):
    at, heading, rows, legs = np.zeros(2), 0.0, [], []
    for length, turn, feed in bits:
        heading += math.radians(turn)
        legs.append(heading)
        at = at + length * np.array([math.cos(heading), math.sin(heading)])
        rows.append((1, *at.tolist(), 0, 0, 0, feed))
    lengths, tops = np.array([b[0] for b in bits]), np.array([b[2] / 60 for b in bits])
    s = np.cos(np.diff(legs) / 2)
    with np.errstate(divide="ignore"):
        corner = np.sqrt(200 * 0.01 * s / (1 - s))
    limits = np.append(np.minimum(corner, np.minimum(tops[:-1], tops[1:])), 0)
    replay = stepped(lengths, tops, limits, 200)
    assert seconds(rows) == pytest.approx(replay, rel=0.01, abs=0.003)  # steps of time


@settings(max_examples=25)
@given(
    rows=st.lists(
        st.tuples(st.just(1), *[numbers(-50, 50)] * 3, st.just(0), st.just(0), numbers(60, 3000)),
        max_size=30,
    )
)
def test_time_is_never_below_length_over_feed(rows):
    found = times(toolpath(rows), **MACHINE)
    assert found.total_s >= found.naive_s * (1 - 1e-9)


@pytest.mark.parametrize(
    "options",
    [{"rapid": 0}, {"acceleration": -1}, {"acceleration": math.nan}, {"deviation_mm": -1}],
)
def test_a_machine_that_cannot_be_is_refused(options):
    with pytest.raises(SettingError, match=r"not positive|negative"):
        seconds([(1, 1, 0, 0, 0, 0, 600)], **options)
