"""Contours in an order of short rapids, those that others wait for first."""

import time

import numpy as np
import pytest

from outline2path.errors import SettingError
from outline2path.path.order import order_contours
from tests.path.moves import contour, line_contour


def numbers_of(contours, **options):
    return [c.number for c in order_contours(contours, **options)]


def slot(number, x, *, after=()):
    return line_contour(number, (x, 0), (x + 1, 0), after=after)


def test_contours_on_a_line_are_cut_one_after_the_other():
    order = numbers_of([slot(0, 40), slot(1, 10), slot(2, 30), slot(3, 20)])
    assert order in ([1, 3, 2, 0], [0, 2, 3, 1])


def test_holes_come_before_the_edge_that_waits_for_them():
    order = numbers_of([slot(0, 1, after={1, 2}), slot(1, 90), slot(2, 50)])
    assert order[-1] == 0


def test_a_rule_that_names_no_contour_here_asks_for_nothing():
    assert numbers_of([slot(4, 10, after={99})]) == [4]


def test_where_the_cutter_waits_decides_where_it_begins():
    row = [slot(k, 10.0 * k, after={k - 1} if k else ()) for k in range(3)]
    free = [slot(0, 0), slot(1, 10), slot(2, 20, after={1})]
    assert numbers_of(row, start_xy=(20, 0)) == [0, 1, 2]
    assert numbers_of(free, start_xy=(10, 0))[0] == 1


def test_travel_runs_from_where_a_contour_ends_to_where_the_next_begins():
    out, back = line_contour(0, (0, 0), (50, 0)), line_contour(1, (50, 1), (0, 1))
    assert numbers_of([back, out]) == [0, 1]


def test_contours_without_cuts_are_left_out():
    assert numbers_of([contour(0), slot(1, 5)]) == [1]


@pytest.mark.parametrize("after", [{0: {1}, 1: {0}}, {0: {1}, 1: {2}, 2: {0}}])
def test_contours_that_wait_in_a_circle_are_refused_by_number(after):
    with pytest.raises(SettingError, match=r"\[0, 1"):
        order_contours([slot(k, k, after=who) for k, who in after.items()])


def test_two_contours_of_one_number_are_refused():
    with pytest.raises(SettingError, match="2 contours share 1 number"):
        order_contours([slot(1, 0), slot(1, 9)])


def test_two_hundred_contours_take_little_time():
    """A loose bound, for a busy machine."""
    places = np.random.default_rng(0).uniform(0, 300, (200, 2)).tolist()
    slots = [line_contour(k, (x, y), (x + 1, y)) for k, (x, y) in enumerate(places)]
    begun = time.process_time()
    assert sorted(numbers_of(slots)) == list(range(200))
    assert time.process_time() - begun < 4
