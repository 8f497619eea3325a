"""One toolpath out of contours: heights, feeds and links a person at the machine relies on."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.errors import SettingError
from outline2path.path.assemble import APPROACH_MM, assemble
from outline2path.path.measure import positions_mm
from outline2path.path.toolpath import RAPID
from outline2path.tolerance import Budget
from tests.path.curves import arc, waves
from tests.path.moves import contour, cut, line_contour, ring_contour, roles, span
from tests.strategies import numbers

SETTINGS = {"feed": 900, "plunge": 250, "clearance_mm": 5.0, "top_mm": 0.0, "budget": Budget()}


def build(*contours, **changes):
    return assemble(contours, **{**SETTINGS, **changes})


@st.composite
def jobs(draw):
    """One to four slots and rings, at one to three depths."""
    depths = tuple(-1.5 * (k + 1) for k in range(draw(st.integers(1, 3))))
    found = []
    for number in range(draw(st.integers(1, 4))):
        x, y = draw(numbers(0, 90)), draw(numbers(0, 90))
        if draw(st.booleans()):
            found.append(ring_contour(number, waves(120, radius=8, centre=(x, y)), depths=depths))
        else:
            found.append(line_contour(number, (x, y), (x + 5, y + 3), depths=depths))
    return found


@settings(max_examples=30, deadline=None)
@given(jobs())
def test_a_path_begins_and_ends_at_clearance_height_above_its_start(contours):
    path = build(*contours, start_xy=(3, 4))
    assert path.start == (3, 4, 5)
    assert positions_mm(path)[-1].tolist() == [3, 4, 5]


@settings(max_examples=30, deadline=None)
@given(jobs())
def test_rapids_go_straight_up_straight_down_or_across_at_clearance_height(contours):
    path = build(*contours)
    at = positions_mm(path)
    for begin, end, kind in zip(at[:-1], at[1:], path.moves["kind"], strict=True):
        if kind == RAPID:
            across = (begin[:2] != end[:2]).any()
            assert not across or begin[2] == end[2] == 5


@settings(max_examples=30, deadline=None)
@given(jobs())
def test_every_move_has_length_and_every_cutting_move_a_feed(contours):
    path = build(*contours)
    assert (np.abs(np.diff(positions_mm(path), axis=0)).max(axis=1) > 0).all()
    feeds = path.moves["feed"]
    assert (feeds[path.moves["kind"] == RAPID] == 0).all()
    assert set(feeds[path.moves["kind"] != RAPID].tolist()) <= {250.0, 900.0}


@settings(max_examples=30, deadline=None)
@given(jobs())
def test_sections_follow_one_another_and_name_their_passes(contours):
    path = build(*contours)
    assert (np.diff(path.moves["section"]) >= 0).all()
    assert len(path.sections) == sum(len(c.cuts) for c in contours)
    assert set(path.moves["section"].tolist()) == set(range(len(path.sections)))


def test_the_first_pass_comes_down_to_a_little_above_the_stock_and_plunges_from_there():
    path = build(line_contour(0, (5, 5), (9, 5)))
    assert roles(path) == ["rapid", "rapid", "plunge", "cut", "retract", "rapid"]
    assert path.moves["z"].tolist() == [5, APPROACH_MM, -1, -1, 5, 5]


def test_a_deeper_pass_comes_down_to_a_little_above_the_floor_already_cut_there():
    path = build(line_contour(0, (5, 5), (9, 5), depths=(-2.0, -4.0)))
    second = path.moves[path.moves["section"] == 1]
    assert second["z"][:4].tolist() == [5, 5, -2 + APPROACH_MM, -4]


def test_where_the_last_pass_did_not_go_the_stock_counts_as_uncut():
    first = line_contour(0, (5, 5), (9, 5)).cuts[0]
    shifted = line_contour(0, (5.3, 5), (9, 5), depths=(-2.0,)).cuts[0]
    path = build(contour(0, first, shifted))
    second = path.moves[path.moves["section"] == 1]
    assert second["z"][:4].tolist() == [5, 5, APPROACH_MM, -2]


def test_a_ring_goes_on_down_without_lifting():
    path = build(ring_contour(0, arc(8, 0, 360, 181), depths=(-1.0, -2.0, -3.0)))
    assert roles(path).count("retract") == 1
    assert roles(path)[2:8] == ["plunge", "cut", "cut", "plunge", "cut", "cut"]


def test_an_entry_above_the_stock_is_reached_at_the_plunge_feed():
    ramp = cut(-1, span("ramp", (5, 5, 0.2), (25, 5, -1)), span("cut", (25, 5, -1), (5, 5, -1)))
    path = build(contour(0, ramp))
    assert roles(path)[:4] == ["rapid", "rapid", "approach", "ramp"]
    assert path.moves["z"][:4].tolist() == [5, APPROACH_MM, 0.2, -1]
    assert path.moves["feed"][:4].tolist() == [0, 0, 250, 900]


@pytest.mark.parametrize(("fall", "expected"), [(1, 900), (20, 250 * math.sqrt(2)), (1e6, 250)])
def test_no_move_goes_down_faster_than_the_plunge_feed(fall, expected):
    steep = cut(-fall, span("ramp", (0, 0, 0), (20, 0, -fall)))
    path = build(contour(0, steep))
    ramp = path.moves[[role == "ramp" for role in roles(path)]]
    assert ramp["feed"][0] == pytest.approx(expected, rel=1e-3)  # 1e6: not quite vertical


def test_a_step_down_after_a_tab_runs_at_the_plunge_feed_and_up_at_the_cutting_feed():
    over = span("tab", (0, 0, -2), (0, 0, -1), (9, 0, -1), (9, 0, -2))
    path = build(contour(0, cut(-2, span("plunge", (0, 0, 0.5), (0, 0, -2)), over)))
    tab = path.moves[[role == "tab" for role in roles(path)]]
    assert tab["feed"].tolist() == [900, 900, 250]


def test_operations_stay_in_the_order_given():
    first = line_contour(0, (90, 0), (91, 0), operation="pocket")
    then = line_contour(0, (1, 0), (2, 0), operation="profile")
    assert [s.operation for s in build(first, then).sections] == ["pocket", "profile"]


def test_holes_are_cut_before_the_edge_round_them():
    path = build(line_contour(0, (1, 0), (2, 0), after=(1,)), line_contour(1, (50, 0), (51, 0)))
    assert [s.contour for s in path.sections] == [1, 0]


def test_a_stock_on_the_waste_board_counts_its_heights_from_there():
    path = build(
        line_contour(0, (5, 5), (9, 5), depths=(4.0,), top=6.0), top_mm=6.0, clearance_mm=11.0
    )
    assert path.moves["z"].tolist() == [11, 6 + APPROACH_MM, 4, 4, 11, 11]


def test_without_contours_there_are_no_moves():
    assert len(build().moves) == 0


def test_the_same_contours_give_the_same_bytes():
    contours = [ring_contour(k, waves(200, centre=(60 * k, 0))) for k in range(3)]
    assert build(*contours).moves.tobytes() == build(*contours).moves.tobytes()


@pytest.mark.parametrize(
    "changes", [{"feed": 0}, {"plunge": -1}, {"feed": math.nan}, {"clearance_mm": 0.0}]
)
def test_feeds_and_heights_that_cannot_be_are_refused(changes):
    with pytest.raises(SettingError, match=r"not positive|not above"):
        build(line_contour(0, (0, 0), (1, 0)), **changes)
