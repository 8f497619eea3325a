"""The floor along a line agrees with a plain search over densely sampled moves."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.picture.floors import floor_along, places_along
from outline2path.picture.moves import Trace
from outline2path.shop.cutter import Cutter
from tests.strategies import numbers

POINT = st.tuples(numbers(0, 40), numbers(-8, 8), numbers(-6, -1))


def sampled(trace: Trace, radius: float, places: np.ndarray) -> np.ndarray:
    """Lowest z within the radius of each place, over 4000 points of the path."""
    step = np.linspace(0, len(trace.points) - 1, 4000)
    path = np.column_stack(
        [np.interp(step, np.arange(len(trace.points)), trace.points[:, k]) for k in range(3)]
    )
    near = np.hypot(*(places[:, None, :] - path[None, :, :2]).transpose(2, 0, 1)) <= radius
    return np.where(near, path[:, 2], 0.0).min(axis=1)


@settings(max_examples=40, deadline=None)
@given(st.lists(POINT, min_size=2, max_size=6, unique=True), numbers(0.5, 4))
def test_floors_agree_with_a_dense_search(points, radius):
    trace = Trace("cut", 0, np.array(points))
    places = places_along((0, 0), (40, 0), count=60)
    found = floor_along([trace], [Cutter(2 * radius)], places, top_mm=0.0)
    inner, outer = (sampled(trace, radius * f, places) for f in (0.98, 1.02))
    # samples lie up to 0.08 mm apart, on slopes of up to 5 in the distance between two points
    assert (found <= inner + 0.1).all()
    assert (found >= outer - 0.5).all()


@pytest.mark.parametrize("role", ["rapid", "approach", "retract"])
def test_moves_above_the_stock_leave_the_top(role):
    trace = Trace(role, 0, np.array([[0.0, 0, -5], [9, 0, -5]]))
    floor = floor_along([trace], [Cutter(3.0)], places_along((0, 0), (9, 0), count=5), top_mm=1.0)
    assert floor.tolist() == [1.0] * 5


def test_a_plunge_makes_a_hole_as_wide_as_the_cutter():
    trace = Trace("plunge", 0, np.array([[5.0, 0, 5], [5, 0, -3]]))
    places = places_along((0, 0), (10, 0), count=1001)
    wide = (floor_along([trace], [Cutter(4.0)], places, top_mm=0.0) < 0).mean() * 10
    # within two of a thousand steps of 0.01 mm
    assert wide == pytest.approx(4.0, abs=0.02)


def test_many_moves_are_taken_in_parts_without_change():
    x = np.linspace(0, 50, 3001)
    trace = Trace("cut", 0, np.column_stack([x, np.sin(x), -1 - x / 50]))
    places = places_along((0, 0), (50, 0), count=900)
    whole = floor_along([trace], [Cutter(6.0)], places, top_mm=0.0)
    some = floor_along([trace], [Cutter(6.0)], places[::9], top_mm=0.0)
    assert whole[::9].tolist() == some.tolist()


@pytest.mark.parametrize(
    ("cutter", "height"),
    [
        (Cutter(8, shape="v", angle=90), lambda off: off),
        (Cutter(8, shape="chamfer", angle=60, tip=1), lambda off: max(off - 0.5, 0) * 3**0.5),
        (Cutter(8, shape="ball"), lambda off: 4 - (16 - off * off) ** 0.5),
    ],
)
@pytest.mark.parametrize("off", [0.0, 0.7, 2.5, 3.5])
def test_a_shaped_cutter_leaves_its_own_shape(cutter, height, off):
    """Elementary geometry: cone of the included angle beyond its tip's flat; sphere."""
    trace = Trace("cut", 0, np.array([[0.0, 0, -3], [20, 0, -3]]))
    (floor,) = floor_along([trace], [cutter], np.array([[10.0, off]]), top_mm=9.0)
    assert floor == pytest.approx(-3 + height(off), abs=0.1)  # discs of 0.08 mm, steepest slope
