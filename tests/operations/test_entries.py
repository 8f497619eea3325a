"""Angles of ramps and helices: sources.md 3.5 and W14 (elementary geometry)."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from outline2path.operations.entries import Raised, helix_spans, ramp_turns, walk
from outline2path.operations.leads import chord_angles
from outline2path.operations.loops import Loop
from tests import specimens
from tests.operations.laws import TOP, cuts_of, planned, spans_of
from tests.strategies import numbers

SQUARE = Loop.of([(0, 0), (10, 0), (10, 10), (0, 10)])


def angles(points: np.ndarray) -> np.ndarray:
    """Degrees below the horizontal of each step that goes along."""
    step = np.diff(points, axis=0)
    along = np.hypot(step[:, 0], step[:, 1])
    return np.degrees(np.arctan2(-step[:, 2], along))[along > 1e-9]


@pytest.mark.parametrize(
    ("angle", "length"), [(1, 43.654951), (2, 21.820825), (3, 14.539826), (5, 8.709700)]
)
def test_a_ramp_is_as_long_as_its_depth_and_angle_say(angle, length):
    loop = Loop.of([(0, 0), (100, 0), (100, 100), (0, 100)])
    turns = ramp_turns(loop, fall_mm=0.762, angle_deg=angle)  # W14
    assert turns * 400 == pytest.approx(length, abs=1e-6)  # as printed


@pytest.mark.parametrize("angle", [1.0, 3.0, 10.0])
def test_a_ramped_cut_descends_along_the_ring_at_the_angle(angle):
    plan = planned(specimens.square(60), entry="ramp", ramp_angle_deg=angle)
    for points in spans_of(plan, "ramp"):
        assert angles(points) == pytest.approx(angle, abs=1e-6)  # float noise


def test_a_ramp_on_a_short_ring_spirals_and_then_goes_round_at_depth():
    plan = planned(specimens.disc(0, 0, 3), entry="ramp", ramp_angle_deg=2, depth_per_pass_mm=7)
    cut = plan.contours[0].cuts[0]
    ring = 2 * math.pi * 4.5
    ramp, level = (
        sum(np.hypot(*np.diff(s.points[:, :2], axis=0).T).sum() for s in cut.spans if s.role == r)
        for r in ("ramp", "cut")
    )
    assert ramp == pytest.approx(6.3 / math.tan(math.radians(2)), rel=1e-6)
    assert ramp / ring > 6
    assert level == pytest.approx(ring + 0.5, abs=0.1)


def test_a_ring_too_short_for_any_ramp_is_entered_by_a_plunge_and_told():
    plate = specimens.square(30).difference(specimens.disc(15, 15, 1.55))
    plan = planned(plate, 3.0, entry="ramp")
    assert plan.contours[0].cuts[0].spans[0].role == "plunge"
    assert [f.code for f in plan.findings if f.severity == "warning"] == ["entry-replaced"]


def test_a_helix_of_known_radius_and_pitch_has_the_textbook_length_and_angle():
    t = chord_angles(1.5, 2 * math.pi, 1e-6)
    circle = 1.5 * np.column_stack((np.cos(t), np.sin(t)))
    angle = 3.036789  # W14: R 1.5, pitch 0.5
    (span,) = helix_spans(circle, from_z=0, to_z=-1.0, angle_deg=angle + 1e-4)
    length = np.linalg.norm(np.diff(span.points, axis=0), axis=1).sum()
    assert length == pytest.approx(2 * 9.438032, abs=1e-4)  # two turns, chords a little short


@given(numbers(0.05, 6), numbers(0.5, 30), numbers(0.2, 5))
def test_a_helix_is_never_steeper_than_asked_and_makes_whole_turns(fall, angle, radius):
    t = chord_angles(radius, 2 * math.pi, 0.001)
    circle = radius * np.column_stack((np.cos(t), np.sin(t)))
    circle[-1] = circle[0]
    (span,) = helix_spans(circle, from_z=1.0, to_z=1.0 - fall, angle_deg=angle)
    assert np.max(angles(span.points)) <= angle + 1e-5
    assert span.points[-1].tolist() == [*circle[0], 1.0 - fall]


@pytest.mark.parametrize("lead", ["arc", "line", "none"])
@pytest.mark.parametrize("direction", ["climb", "conventional"])
def test_a_helix_leaves_no_post_and_flows_into_the_lead(lead, direction):
    plan = planned(specimens.square(60), 4.0, entry="helix", lead=lead, direction=direction)
    for cut in cuts_of(plan):
        turn, then = cut.spans[0].points, cut.spans[1].points
        circle = shapely.MultiPoint(turn[:, :2])
        radius = shapely.minimum_bounding_radius(circle)
        assert 0.5 * 2.0 <= radius <= 0.9 * 2.0 + 1e-6  # sources 3.4: 0.5 to 0.9 r
        last, first = turn[-1, :2] - turn[-2, :2], then[1, :2] - then[0, :2]
        turned = np.dot(last, first) / np.linalg.norm(last) / np.linalg.norm(first)
        assert turned > math.cos(math.radians(10))  # half a chord of each arc


def test_without_room_for_a_helix_the_cutter_ramps_and_says_so():
    plate = specimens.square(30).difference(specimens.disc(15, 15, 2.0))
    plan = planned(plate, 3.0, entry="helix", ramp_angle_deg=10)
    assert plan.contours[0].cuts[0].spans[0].role == "ramp"
    assert "entry-replaced" in {f.code for f in plan.findings}


def test_the_first_depth_is_entered_from_the_stocks_top():
    for entry in ("plunge", "ramp", "helix"):
        first = cuts_of(planned(specimens.square(60), entry=entry))[0].spans[0]
        assert first.points[0, 2] == TOP


@given(
    numbers(0, 40),
    numbers(0.5, 130),
    numbers(-2, 0),
    numbers(0, 5),
    st.lists(st.tuples(numbers(0, 39), numbers(0.5, 12)), max_size=3),
    numbers(-6, 0),
)
def test_a_walk_is_never_lower_than_tabs_or_higher_than_needed(
    start, more, from_z, fall, stretches, top
):
    raised = Raised(tuple((a, a + b) for a, b in stretches), top)
    spans = walk(SQUARE, start, start + more, from_z=from_z, to_z=from_z - fall, raised=raised)
    points = np.vstack([s.points for s in spans])
    low, high = points[:, 2].min(), points[:, 2].max()
    assert low >= from_z - fall
    assert high <= max(from_z, top)
    between = points[1:-1]  # its ends join what comes before and after, tab or not
    assert np.all(between[_over(between, stretches), 2] >= top - 1e-9)
    assert points[0] == pytest.approx([*SQUARE.at(start), from_z])
    assert points[-1] == pytest.approx([*SQUARE.at(start + more), from_z - fall], abs=1e-9)


def _over(points: np.ndarray, stretches: list[tuple[float, float]]) -> np.ndarray:
    """Which points lie well inside a raised stretch."""
    s = SQUARE.nearest(points[:, :2])
    inside = np.zeros(len(points), dtype=bool)
    for a, b in stretches:
        past = np.mod(s - a, 40.0)
        inside |= (past > 1e-6) & (past < b - 1e-6)
    return inside
