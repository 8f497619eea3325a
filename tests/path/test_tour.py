"""Tours against every permutation, and against rules that must hold."""

from itertools import permutations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.errors import SettingError
from outline2path.path.stops import NEAR, Stops
from outline2path.path.tour import short_tour
from outline2path.path.tour_changes import improve
from outline2path.path.tour_view import View
from tests.path.sheets import keeps, sheet


@st.composite
def errands(draw, *, low, high, ways=3):
    """Stops of one way or several, each ending a little off where it begins, and rules."""
    count = draw(st.integers(low, high))
    random = np.random.default_rng(draw(st.integers(0, 10**6)))
    places = []
    for _ in range(count):
        begin = random.uniform(0, 100, 2) + random.normal(0, 8, (random.integers(1, ways + 1), 2))
        places.append(np.hstack([begin, begin + random.normal(0, 3, begin.shape)]))
    rank = random.permutation(count)
    share = draw(st.sampled_from([0, 0.2]))
    rules = [
        (i, j)
        for i in range(count)
        for j in range(count)
        if rank[i] < rank[j] and random.random() < share
    ]
    return Stops.of(places, rules=rules, home=tuple(random.uniform(0, 100, 2)))


def shortest(stops):
    """Every order and every way."""
    trips = (
        np.array(nodes, dtype=int)
        for order in permutations(range(stops.count))
        for nodes in product(*(sorted(set(stops.ways[k].tolist())) for k in order))
    )
    return min(stops.trip_length(nodes) for nodes in trips if keeps(stops, nodes))


def dots(points):
    """Stops that begin and end at one place."""
    points = np.asarray(points, dtype=float)
    return Stops.of([np.array([[x, y, x, y]]) for x, y in points])


@settings(max_examples=25, deadline=None)
@given(errands(low=0, high=4))
def test_up_to_eight_stops_the_tour_is_the_shortest_there_is(errand):
    nodes = short_tour(errand)
    assert keeps(errand, nodes)
    assert errand.trip_length(nodes) == pytest.approx(shortest(errand), abs=1e-9)


@settings(max_examples=10, deadline=None)
@given(errands(low=7, high=7, ways=1))
def test_seven_stops_are_as_short_as_the_best_of_5040_orders(errand):
    assert errand.trip_length(short_tour(errand)) == pytest.approx(shortest(errand), abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(errands(low=2, high=4))
def test_improved_tours_come_within_five_percent_of_the_shortest(errand):
    nodes = short_tour(errand, exact_stops=0)
    assert keeps(errand, nodes)
    assert errand.trip_length(nodes) <= 1.05 * shortest(errand)


@settings(max_examples=15, deadline=None)
@given(errands(low=9, high=60))
def test_larger_tours_visit_every_stop_once_and_keep_every_rule(errand):
    assert keeps(errand, short_tour(errand))


@settings(max_examples=15, deadline=None)
@given(errands(low=12, high=40), st.integers(0, 99))
def test_every_change_gains_what_it_was_reckoned_to(errand, seed):
    """From any lawful order a trip only gets shorter, and keeps its rules."""
    rank = np.zeros(errand.count)
    random = np.random.default_rng(seed)
    for _ in range(errand.count):  # the longest chain of rules is no longer
        np.maximum.at(rank, errand.second, rank[errand.first] + 1)
    order = np.lexsort((random.random(errand.count), rank))
    nodes = np.append(errand.ways[order, 0], 0)
    before = errand.trip_length(nodes[:-1])
    size = len(nodes)
    bounds = np.zeros(size, int), np.full(size, size - 1)
    improve(errand, nodes, np.arange(size - 1), bounds=bounds)
    assert keeps(errand, nodes[:-1])
    assert errand.trip_length(nodes[:-1]) <= before + 1e-9


def test_bounds_hold_stops_in_their_stretch():
    stops = dots(np.random.default_rng(2).uniform(0, 9, (20, 2)))
    nodes = np.append(np.arange(1, 21), 0)
    low, high = np.repeat([0, 10], [10, 11]), np.repeat([10, 20], [10, 11])
    improve(stops, nodes, np.arange(20), bounds=(low, high))
    assert sorted(nodes[:10].tolist()) == list(range(1, 11))
    assert sorted(nodes[10:20].tolist()) == list(range(11, 21))


def test_trips_side_by_side_are_improved_as_each_alone():
    stops = sheet(8, ways=2)
    one = np.append(stops.ways[:, 0].reshape(-1, 3)[:, [1, 2, 0]].ravel(), 0)
    size = len(one)
    alone = one.copy()
    improve(
        stops, alone, np.arange(size - 1), bounds=(np.zeros(size, int), np.full(size, size - 1))
    )
    many = np.tile(one, 3)
    low = np.repeat(np.arange(3) * size, size)
    places = np.setdiff1d(np.arange(3 * size), np.arange(1, 4) * size - 1)
    improve(stops, many, places, bounds=(low, low + size - 1))
    assert (many.reshape(3, size) == alone).all()


def test_a_part_with_its_holes_moves_and_turns_as_one_block():
    """Two stops and a third that waits for both, and stops that are free."""
    stops = Stops.of([np.array([[x, 0.0, x, 0.0]]) for x in range(5)], rules=[(0, 2), (1, 2)])
    view = View.of(stops, np.array([4, 1, 2, 3, 5, 0]), bounds=(np.zeros(6, int), np.full(6, 5)))
    assert view.begin.tolist() == [0, 1, 1, 1, 4, 5]
    assert view.end.tolist() == [1, 4, 4, 4, 5, 6]
    first, last = view.room(np.array([1, 2, 3]), np.array([4, 4, 4]))
    assert first.tolist() == [0, 2, 3]  # the whole block goes anywhere, a part of it not past it
    assert last.tolist() == [5, 5, 5]


def test_a_grid_of_stops_is_toured_within_five_percent_of_its_known_best():
    """A 10 x 10 grid, home on one of its points: the best round trip steps from point to point."""
    stops = dots([(x, y) for x in range(10) for y in range(10)][1:])
    assert 100 - 1e-9 <= stops.trip_length(short_tour(stops)) <= 105


def test_a_ring_of_stops_with_both_ends_is_gone_round_in_the_better_way():
    """Lines end to end round a circle: each way round is as long as the gaps, one is better."""
    turn = np.exp(2j * np.pi * np.arange(24) / 24)
    ways = []
    for a, b in zip(50 * turn, 50 * turn * np.exp(0.2j), strict=True):
        ways.append(np.array([[a.real, a.imag, b.real, b.imag], [b.real, b.imag, a.real, a.imag]]))
    stops = Stops.of(ways, home=(50.0, 0.0))
    gap = abs(50 * (np.exp(0.2j) - np.exp(2j * np.pi / 24)))
    best = 23 * gap + abs(50 * (turn[-1] * np.exp(0.2j) - 1))
    assert stops.trip_length(short_tour(stops)) == pytest.approx(best, rel=1e-9)


def test_near_stops_are_the_nearest_by_any_of_their_ways():
    stops = sheet(12, ways=4)
    middle = (stops.begin + stops.end) / 2
    for stop in (0, 7, 35):
        apart = [
            np.abs(middle[stops.ways[stop]][:, None] - middle[stops.ways[k]]).min()
            for k in range(stops.count)
        ]
        nearest = np.argsort(apart)[1 : NEAR + 1]
        assert sorted(stops.near[stop].tolist()) == sorted(nearest.tolist())


def test_groups_are_all_that_rules_tie_together():
    stops = Stops.of([np.zeros((1, 4))] * 7, rules=[(5, 2), (2, 6), (0, 1)])
    assert stops.group.tolist() == [0, 0, 2, 3, 4, 2, 2]


def test_a_stop_without_a_way_is_refused():
    with pytest.raises(SettingError, match="stop 1 of 2"):
        Stops.of([np.zeros((1, 4)), np.zeros((0, 4))])


def test_the_same_errand_gives_the_same_tour():
    tours = {tuple(short_tour(sheet(20, ways=3)).tolist()) for _ in range(2)}
    assert len(tours) == 1


def test_thousands_of_stops_are_toured_in_seconds():
    """A loose bound, for a busy machine: the work must not go with the square of the stops."""
    import time

    stops = dots(np.random.default_rng(0).uniform(0, 1000, (4000, 2)))
    begun = time.process_time()
    nodes = short_tour(stops)
    assert time.process_time() - begun < 20
    # 0.7124 sqrt(n A) is the mean shortest tour (Beardwood, Halton, Hammersley 1959, from memory)
    assert stops.trip_length(nodes) < 1.2 * 0.7124 * np.sqrt(4000) * 1000
