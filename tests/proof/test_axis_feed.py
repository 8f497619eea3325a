"""Feeds of each axis, as the judge reads them from a text: projection by elementary geometry."""

import math

import numpy as np
import pytest
import shapely

from outline2path.proof.axis_feed import axis_feeds, feed_check
from outline2path.proof.expected import Expected
from outline2path.proof.expected_program import as_program
from outline2path.rs274.reader import read_program

HEAD = "G21 G17 G90 G94\nG0 X0 Y0 Z0\n"


def asked(lines):
    return axis_feeds(read_program(HEAD + lines + "\nM30", strict=False).table)[-1]


def check(lines, most):
    wanted = Expected(
        region_fine=shapely.box(0, 0, 9, 9), side="on", cutter_mm=1.0, top_mm=0.0,
        bottom_mm=-2.0, clearance_mm=5.0, most_feed_mm_min=most,
    )  # fmt: skip
    return feed_check(read_program(HEAD + lines + "\nM30").table, as_program(wanted))


@pytest.mark.parametrize(
    ("line", "feeds"),
    [
        ("G1 X10 F900", (900, 0, 0)),
        ("G1 X3 Y-4 F1000", (600, 800, 0)),
        ("G1 Y3 Z-4 F1000", (0, 600, 800)),
        ("G2 X10 Y0 I5 J0 F600", (600, 600, 0)),  # half a turn: along y at its ends, x on top
        ("G3 X0 Y0 I5 J0 F600", (600, 600, 0)),
        ("G18 G2 X10 Z0 I5 K0 F600", (600, 0, 600)),
    ],
)
def test_an_axis_is_asked_for_its_share_of_the_feed(line, feeds):
    # directions on an arc are looked at every 32nd part: half a percent at the worst
    assert asked(line) == pytest.approx(feeds, rel=0.005, abs=1e-9)


def test_a_helix_asks_z_for_the_rise_of_one_turn_in_its_length():
    turn = math.hypot(10 * math.pi, 4)
    found = asked("G3 X0 Y0 Z4 I5 J0 F600")
    level = 600 * 10 * math.pi / turn
    assert found == pytest.approx((level, level, 600 * 4 / turn), rel=0.005)


@pytest.mark.parametrize(
    ("line", "ok"),
    [
        ("G1 X10 F3000", True),
        ("G1 X10 F3010", False),
        ("G1 Y10 F2000", True),
        ("G1 Y10 F2100", False),
        ("G1 X3 Y2 F3600", True),  # hypot(3000, 2000) is 3606
        ("G1 X3 Y2 F3700", False),
        ("G1 Z-1 F600", True),
        ("G1 Z-1 F650", False),
        ("G2 X10 Y0 I5 J0 F2000", True),
        ("G2 X10 Y0 I5 J0 F2100", False),
    ],
)
def test_each_axis_has_a_limit_of_its_own(line, ok):
    found = check(line, (3000, 2000, 600))
    assert found.ok is ok
    assert ok or found.line == 3


def test_the_axis_is_named_with_what_it_is_asked_for():
    found = check("G1 X3 Y-4 F3000", (3000, 2000, 600))
    assert found.detail == "a move asks y for 2400 mm/min, above its 2000"
    assert found.value == pytest.approx(2400)


def test_the_last_digit_of_a_tiny_move_is_no_fault():
    """0.0004 mm of y in 0.003 mm: a direction that rounding alone may have given it."""
    assert check("G1 X0.003 Y0.0004 F2500", (3000, 300, 600)).ok
    assert not check("G1 X3 Y0.4 F2500", (3000, 300, 600)).ok


def test_one_figure_holds_along_the_move():
    assert check("G1 X3 Y2 F3000", 3000).ok
    assert not check("G1 X3 Y2 F3100", 3000).ok


@pytest.mark.parametrize("most", [None, 3000.0, (3000.0, 2000.0, 600.0)])
def test_a_move_without_a_feed_is_refused_whatever_the_machine(most):
    found = check("G1 X3", most)
    assert (found.ok, found.detail) == (False, "a move has no feed")


def test_feeds_of_many_arcs_at_once_are_those_of_each_alone():
    lines = [
        f"G2 X{x + 4} Y0 I2 J{j} F{f}" for x, j, f in [(0, 0, 300), (4, -1, 500), (8, 3, 700)]
    ]
    table = read_program(HEAD + "\n".join(lines) + "\nM30").table
    together = axis_feeds(table[-3:])
    alone = [axis_feeds(table[k : k + 1])[0] for k in (-3, -2)]
    assert together[:2] == pytest.approx(np.array(alone))
