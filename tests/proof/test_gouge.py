"""How deep a cutter sinks into what must stand, against shapely's own distances."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.proof import gouge
from outline2path.proof.edge import Edge
from outline2path.proof.gouge import sink
from outline2path.proof.tracks import Pieces
from tests.strategies import numbers, regions

SOME = settings(max_examples=40)
RUNS = st.lists(
    st.tuples(*[numbers(-70, 70)] * 4).filter(
        lambda r: abs(r[0] - r[2]) + abs(r[1] - r[3]) > 1e-3
    ),
    min_size=1,
    max_size=12,
)
FLOAT_MM = 1e-7  # of sums of distances within a hundred millimetres


def sunk(region, runs, need):
    """Our answer for runs (x, y, u, v) of a cutter that needs so much room."""
    flat = np.array(runs, float)
    low = np.full(len(runs), -1.0)
    pieces = Pieces(
        np.column_stack((flat[:, :2], low)),
        np.column_stack((flat[:, 2:], low)),
        np.arange(len(runs)),
    )
    edge = Edge(
        shapely.orient_polygons(shapely.MultiPolygon([region])),
        keeps_inside=True,
        allowance_mm=0.0,
    )
    return sink(pieces, edge, np.broadcast_to(np.asarray(need, float), len(runs)).copy())


def wanted(region, run, need):
    """Closed form: an end inside sinks by its way out as well, else the nearest point decides."""
    ends = [shapely.Point(run[:2]), shapely.Point(run[2:])]
    line = shapely.LineString(ends)
    deep = [need - line.distance(region.boundary)]
    deep += [need + p.distance(region.boundary) for p in ends if region.contains(p)]
    return max(deep)


def is_a_place(region, run, at):
    """The material's nearest point, or the end of the run that lies in it."""
    line, point = shapely.LineString([run[:2], run[2:]]), shapely.Point(at)
    if at in (run[:2], run[2:]):
        return line.intersects(region)
    nearest = point.distance(line) == pytest.approx(line.distance(region.boundary), abs=1e-6)
    return nearest and point.distance(region.boundary) < 1e-6


@SOME
@given(regions(), RUNS, numbers(0.5, 5))
def test_depths_are_those_that_distances_give(region, runs, need):
    deep, place = sunk(region, runs, need)
    for run, found, at in zip(runs, deep.tolist(), place.tolist(), strict=True):
        right = wanted(region, run, need)
        assert (found > 0) == (right > 0) or abs(right) < FLOAT_MM
        if right > FLOAT_MM:
            assert found == pytest.approx(right, abs=FLOAT_MM)
            assert is_a_place(region, run, tuple(at))


@SOME
@given(regions(), RUNS, numbers(0.5, 5), st.integers(1, 5))
def test_worked_in_small_lots_the_answer_is_the_same(region, runs, need, lot):
    whole = sunk(region, runs, need)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(gouge, "_AT_ONCE", lot)
        lots = sunk(region, runs, need)
    sunken = whole[0] > 0
    assert lots[0][sunken] == pytest.approx(whole[0][sunken], abs=FLOAT_MM)
    assert ((lots[0] > 0) == sunken).all()


@pytest.mark.parametrize(
    ("run", "deep"),
    [
        ((-1.4, 0, -1.4, 9), 0.1),
        ((-1.5, 0, -1.5, 9), 0.0),
        ((-9, 5, -1, 5), 0.5),
        ((-9, 5, 3, 5), 4.5),
        ((3, 5, -9, 5), 4.5),
        ((-9, 5, 19, 5), 1.5),
        ((5, 5, 5.5, 5), 6.5),
        ((2, 5, 4, 5), 5.5),
    ],
)
def test_depths_beside_a_square_of_ten(run, deep):
    """Radius 1.5: through both edges only the crossing counts, ends inside count their way out."""
    found, _ = sunk(shapely.box(0, 0, 10, 10), [run], 1.5)
    assert max(float(found[0]), 0.0) == pytest.approx(deep, abs=1e-9)


def test_each_run_has_a_need_of_its_own_and_the_place_is_where_it_sinks():
    runs = [(-1.4, 0, -1.4, 9), (-3, 4, -2, 4), (4, 5, 30, 5), (20, 0, 20, 9)]
    deep, place = sunk(shapely.box(0, 0, 10, 10), runs, [1.5, 2.25, 1.0, 5.0])
    assert deep[:3] == pytest.approx([0.1, 0.25, 5.0])
    assert deep[3] < 0
    assert place[0][0] == pytest.approx(0)
    assert place[1].tolist() == pytest.approx([0, 4])
    assert place[2].tolist() == pytest.approx([4, 5])
