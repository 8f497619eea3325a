"""Tours against every permutation, and against rules that must hold."""

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.path.tour import short_tour, tour_length


@st.composite
def errands(draw, *, low, high):
    """Costs between places (each ends a little off where it begins) and rules between stops."""
    count = draw(st.integers(low, high))
    random = np.random.default_rng(draw(st.integers(0, 10**6)))
    begin = random.uniform(0, 100, (count + 1, 2))
    end = begin + random.normal(0, 3, begin.shape) * (np.arange(count + 1) > 0)[:, None]
    cost = np.hypot(*(end[:, None] - begin[None]).transpose(2, 0, 1))
    rank = random.permutation(count)
    before = (rank[:, None] < rank) & (
        random.random((count, count)) < draw(st.sampled_from([0, 0.2]))
    )
    for k in np.argsort(rank):
        before |= before[:, [k]] & before[[k], :]
    return cost, before


def keeps(before, order):
    place = np.argsort(order)
    first, second = np.nonzero(before)
    return bool((place[first] < place[second]).all())


def shortest(cost, before):
    orders = (np.array(p, dtype=int) for p in permutations(range(len(before))))
    return min(tour_length(cost, order) for order in orders if keeps(before, order))


@settings(max_examples=25, deadline=None)
@given(errands(low=0, high=6))
def test_up_to_eight_stops_the_tour_is_the_shortest_there_is(errand):
    cost, before = errand
    order = short_tour(cost, before)
    assert keeps(before, order)
    assert tour_length(cost, order) == pytest.approx(shortest(cost, before), abs=1e-9)


def test_seven_stops_with_rules_are_as_short_as_the_best_of_5040_orders():
    random = np.random.default_rng(7)
    x = random.uniform(0, 100, (8, 2))
    cost = np.hypot(*(x[:, None] - x[None]).transpose(2, 0, 1))
    before = np.zeros((7, 7), bool)
    before[[0, 3], [5, 1]] = True
    order = short_tour(cost, before)
    assert tour_length(cost, order) == pytest.approx(shortest(cost, before), abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(errands(low=2, high=6))
def test_improved_tours_come_within_five_percent_of_the_shortest(errand):
    cost, before = errand
    order = short_tour(cost, before, exact_stops=0)
    assert keeps(before, order)
    assert tour_length(cost, order) <= 1.05 * shortest(cost, before)


@settings(max_examples=10, deadline=None)
@given(errands(low=9, high=60))
def test_larger_tours_visit_every_stop_once_and_keep_every_rule(errand):
    cost, before = errand
    order = short_tour(cost, before)
    assert sorted(order.tolist()) == list(range(len(before)))
    assert keeps(before, order)


def test_a_grid_of_stops_is_toured_within_five_percent_of_its_known_best():
    """A 10 x 10 grid, home on one of its points: the best round trip steps from point to point."""
    points = np.array([complex(x, y) for x in range(10) for y in range(10)])
    cost = np.abs(points[:, None] - points)
    order = short_tour(cost, np.zeros((99, 99), bool))
    assert 100 - 1e-9 <= tour_length(cost, order) <= 105


def test_the_same_errand_gives_the_same_tour():
    random = np.random.default_rng(3)
    x = random.uniform(0, 100, (41, 2))
    cost = np.hypot(*(x[:, None] - x[None]).transpose(2, 0, 1))
    tours = {tuple(short_tour(cost, np.zeros((40, 40), bool)).tolist()) for _ in range(2)}
    assert len(tours) == 1
