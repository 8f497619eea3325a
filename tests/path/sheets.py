"""Sheets of parts as stops, and a general-purpose solver's answer to the same errand."""

from __future__ import annotations

import numpy as np

from outline2path.path.stops import Stops


def sheet(parts, *, ways=1, holes=2, seed=0):
    """Parts in rows, each with holes that must be cut before its edge; our own invention.

    Every contour may begin at a few places; it ends a little beyond its beginning.
    """
    random = np.random.default_rng(seed)
    side = int(np.ceil(parts**0.5))
    places, rules = [], []
    for part in range(parts):
        middle = np.array([part % side, part // side]) * 30 + random.uniform(-3, 3, 2)
        number = len(places)
        for radius in (10.0, *[2.0] * holes):
            centre = middle + (random.uniform(-5, 5, 2) if radius < 10 else 0)
            turn = random.uniform(0, 6) + np.arange(ways) * 2 * np.pi / ways
            begin = centre + radius * np.column_stack([np.cos(turn), np.sin(turn)])
            places.append(np.hstack([begin, begin + np.array([0.5, 0.3])]))
        rules += [(number + 1 + hole, number) for hole in range(holes)]
    return Stops.of(places, rules=rules)


def keeps(stops, nodes):
    """Whether every stop is visited once and every rule holds."""
    order = stops.owner[nodes]
    place = np.argsort(order)
    once = sorted(order.tolist()) == list(range(stops.count))
    return once and bool((place[stops.first] < place[stops.second]).all())


def solved(stops, *, start, seconds):
    """Length of the trip that a general-purpose solver makes of a first one in so many seconds.

    source: OR-Tools' routing library, guided local search (developers.google.com/optimization)
    """
    from ortools.constraint_solver import pywrapcp, routing_enums_pb2

    size = len(stops.begin)
    every = np.arange(size)
    cost = np.rint(1000 * stops.length(every[:, None], every[None])).astype(int)
    manager = pywrapcp.RoutingIndexManager(size, 1, 0)
    model = pywrapcp.RoutingModel(manager)
    model.SetArcCostEvaluatorOfAllVehicles(model.RegisterTransitMatrix(cost.tolist()))
    step = model.RegisterUnaryTransitCallback(lambda _: 1)
    model.AddDimension(step, 0, size + 5, True, "place")
    place = model.GetDimensionOrDie("place")
    ways = [sorted(set(some)) for some in stops.ways.tolist()]
    for some in ways:
        if len(some) > 1:
            model.AddDisjunction([manager.NodeToIndex(n) for n in some], 10**9)
    for one, other in zip(stops.first.tolist(), stops.second.tolist(), strict=True):
        for a in ways[one]:
            for b in ways[other]:
                before, after = (place.CumulVar(manager.NodeToIndex(n)) for n in (a, b))
                model.solver().Add(before <= after)
    search = pywrapcp.DefaultRoutingSearchParameters()
    meta = routing_enums_pb2.LocalSearchMetaheuristic
    search.local_search_metaheuristic = meta.GUIDED_LOCAL_SEARCH
    search.time_limit.seconds = seconds
    model.CloseModelWithParameters(search)
    first = model.ReadAssignmentFromRoutes([start.tolist()], True)
    return model.SolveFromAssignmentWithParameters(first, search).ObjectiveValue() / 1000
