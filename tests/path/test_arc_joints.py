"""Joints of fitted arcs: on one tangent where the curve is smooth, sharp where it is sharp."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.path.arcs import fit_arcs
from outline2path.path.toolpath import Toolpath
from outline2path.rs274.header import Header
from outline2path.rs274.motion import ARC, arc_radii, arc_sweeps
from outline2path.rs274.reader import read_program
from outline2path.rs274.writer import write_program
from tests.path import curves
from tests.path.moves import ring_contour
from tests.strategies import numbers

TOLERANCE = 0.00432
"""Share of the arcs in the default tolerance of 0.02 mm."""
SMOOTH = {
    "ellipse": np.array([30, 20]) * curves.arc(1, 0, 360, 4001),
    "narrow ellipse": np.array([30, 8]) * curves.arc(1, 0, 360, 4001),
    "waves": curves.waves(4001),
    "small waves": curves.waves(4001, radius=10, lobes=4, depth=0.03),
    "spiral": np.linspace(2, 12, 4001)[:, None] * curves.arc(1, 0, 900, 4001),
}


def tangents(points, pieces):
    """Heading of each piece at its start and at its end, radians; and its length, mm."""
    begin, end = points[pieces["first"]], points[pieces["last"]]
    chord = np.arctan2(*(end - begin).T[::-1])
    turn = pieces["turn"].astype(float)
    centre = np.column_stack([pieces["cx"], pieces["cy"]])
    arm, tip = begin - centre, end - centre
    sweep = np.arctan2(arm[:, 0] * tip[:, 1] - arm[:, 1] * tip[:, 0], (arm * tip).sum(axis=1))
    sweep = np.where(turn != 0, np.mod(sweep * turn, 2 * math.pi) * turn, 0.0)
    size = np.hypot(*(end - begin).T)
    half = np.maximum(np.abs(sweep) / 2, 1e-12)
    return chord - sweep / 2, chord + sweep / 2, size * half / np.sin(half)


def jumps(points, pieces):
    """Change of heading at each joint, radians, without sign, and the shorter piece there, mm."""
    leaves, arrives, size = tangents(points, pieces)
    change = leaves[1:] - arrives[:-1]
    return np.abs((change + math.pi) % (2 * math.pi) - math.pi), np.minimum(size[1:], size[:-1])


@pytest.mark.parametrize("tolerance", [0.001, TOLERANCE, 0.02])
@pytest.mark.parametrize("name", SMOOTH)
def test_arcs_of_a_smooth_curve_meet_on_one_tangent_but_for_what_the_tolerance_explains(
    name, tolerance
):
    """An arc that begins and ends on a curve leaves it as a cubic does, whose ends lean most.

    source: Meek and Walton 1995, the error of arcs is of third order (from memory). A cubic with
    zeros at both ends and in the middle of a length, never farther than e from zero, has a slope
    of 6 sqrt(3) e / length at its ends (elementary). Two pieces meet, each may lean its own way.
    """
    points = SMOOTH[name]
    change, short = jumps(points, fit_arcs(points, tolerance_mm=tolerance))
    assert (change <= 2 * 6 * math.sqrt(3) * tolerance / short).all()
    assert np.degrees(np.median(change)) < 2.0


@pytest.mark.parametrize("name", SMOOTH)
def test_no_joint_of_a_smooth_curve_slows_a_machine_below_its_feed(name):
    """W13b's formula at 200 mm/s2 and 0.01 mm: each joint may be taken at 2500 mm/min or more."""
    change, _ = jumps(SMOOTH[name], fit_arcs(SMOOTH[name], tolerance_mm=TOLERANCE))
    s = math.cos(float(change.max()) / 2)
    assert math.sqrt(200 * 0.01 * s / (1 - s)) > 2500 / 60


@pytest.mark.parametrize("name", ["ellipse", "waves"])
def test_a_finer_tolerance_makes_joints_smoother(name):
    """Sagitta falls with the cube of an arc's length, so the lean falls with its square."""
    coarse, fine = (
        float(np.mean(jumps(SMOOTH[name], fit_arcs(SMOOTH[name], tolerance_mm=t))[0]))
        for t in (0.0064, 0.0064 / 64)
    )
    assert fine < coarse / 8  # 64 times nearer, arcs a quarter as long: a sixteenth, halved


def test_true_arcs_and_lines_meet_exactly_on_their_tangent():
    slot = curves.rounded_slot()
    change, _ = jumps(slot, fit_arcs(slot, tolerance_mm=TOLERANCE))
    assert change.max() < 1e-6  # float noise of a fitted centre


@pytest.mark.parametrize("degrees", [20, 60, 90, 150])
def test_a_corner_keeps_its_angle(degrees):
    turn = math.radians(degrees)
    leg = np.linspace([-9.0, 0], [0, 0], 40)
    other = np.linspace(0, 9, 40)[1:, None] * [math.cos(turn), math.sin(turn)]
    points = np.vstack([leg, other])
    change, _ = jumps(points, fit_arcs(points, tolerance_mm=TOLERANCE))
    assert change == pytest.approx([turn], abs=1e-9)


@pytest.mark.parametrize("name", [*SMOOTH, "coast 0", "coast 1", "coast 2"])
def test_a_path_that_does_not_cross_itself_is_fitted_by_one_that_does_not(name):
    points = SMOOTH[name] if name in SMOOTH else curves.rough(600, seed=int(name[-1]), step=0.05)
    assert shapely.LineString(points).is_simple or shapely.LinearRing(points[:-1]).is_simple
    drawn = curves.drawn(points, fit_arcs(points, tolerance_mm=TOLERANCE))
    assert shapely.LineString(drawn).is_simple


def written_arcs(points, *, units):
    """All arcs of the written text of a ring, read back."""
    from outline2path.path.assemble import assemble
    from outline2path.tolerance import Budget

    path: Toolpath = assemble(
        [ring_contour(0, points)], feed=900, plunge=300, clearance_mm=5, top_mm=0, budget=Budget()
    )
    text = write_program(path, header=Header(title="ring"), rpm=9000, units=units).text
    table = read_program(text).table
    return table[table["kind"] == ARC]


@settings(max_examples=20, deadline=None)
@given(
    size=numbers(0.05, 40), lobes=st.integers(2, 9), depth=numbers(0, 0.3),
    units=st.sampled_from(["mm", "in"]),
)  # fmt: skip
def test_no_arc_is_degenerate_once_it_is_written(size, lobes, depth, units):
    """NISTIR 6556 section 3.5.3.2: radii agree within 0.002 mm or 0.0002 in, and the end is not
    the start unless a whole turn is meant; none is, since no arc turns more than 270 degrees."""
    arcs = written_arcs(curves.waves(400, radius=size, lobes=lobes, depth=depth), units=units)
    if len(arcs):
        first, last = arc_radii(arcs)
        limit = 0.002 if units == "mm" else 0.0002 * 25.4
        assert np.abs(first - last).max() <= limit
        assert np.hypot(*(arcs["end"] - arcs["start"])[:, :2].T).min() > 0
        assert np.degrees(arc_sweeps(arcs)).max() <= 271
