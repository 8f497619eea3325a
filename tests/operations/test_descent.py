"""Ways down: where they begin and end, how steep they are, what they leave alone."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.operations.clearing import Leg, Walk
from outline2path.operations.descent import Descent, descent_for
from outline2path.operations.loops import Loop
from outline2path.operations.pocket_settings import PocketEntry, PocketSettings
from outline2path.tolerance import SAME_MM
from tests.strategies import numbers


def walk_in(wide: float, high: float) -> Walk:
    """A walk once round a rectangle, from the middle of its lower side."""
    area = shapely.box(0, 0, wide, high)
    corners = [(wide / 2, 0), (wide, 0), (wide, high), (0, high), (0, 0)]
    loop = Loop.of(corners)
    return Walk(area, np.array((wide / 2, high / 2)), loop, (Leg("cut", loop.points),))


def down(
    onward: Walk, entry: PocketEntry = "auto", uncut: shapely.Geometry | None = None
) -> Descent:
    return descent_for(
        onward,
        settings=PocketSettings(entry=entry, ramp_angle_deg=3.0),
        cutter_mm=3.0,
        fall_mm=1.5,
        chords_mm=0.004,
        uncut=uncut,
    )


@settings(max_examples=60)
@given(
    wide=numbers(0.5, 20),
    high=numbers(0.05, 20),
    entry=st.sampled_from(["auto", "helix", "ramp", "plunge"]),
)
def test_every_way_down_joins_both_depths_inside_the_area(wide, high, entry):
    onward = walk_in(wide, high)
    found = down(onward, entry)
    spans = found.spans(from_z=0.0, to_z=-1.5)
    every = np.concatenate([span.points for span in spans])
    assert every[0] == pytest.approx([*found.start, 0.0], abs=SAME_MM)
    assert every[-1] == pytest.approx([*onward.start, -1.5], abs=SAME_MM)
    assert np.all(np.diff(every[:, 2]) <= SAME_MM)  # never up
    assert np.max(shapely.distance(onward.area, shapely.points(every[:, :2]))) <= SAME_MM


@pytest.mark.parametrize(
    ("size", "way"),
    [((20, 20), "helix"), ((20, 1.6), "helix"), ((20, 1.4), "ramp"), ((0.5, 0.2), "plunge")],
)
def test_auto_takes_the_gentlest_way_there_is_room_for(size, way):
    """A helix needs a path radius of half the cutter's radius, 0.75 mm here."""
    assert down(walk_in(*size)).way == way


def test_a_ramp_is_as_steep_as_asked():
    (span,) = down(walk_in(20, 0.5), "ramp").spans(from_z=0.0, to_z=-1.5)
    step = np.diff(span.points, axis=0)
    slope = np.degrees(np.arctan2(-step[:, 2], np.hypot(step[:, 0], step[:, 1])))
    assert slope == pytest.approx(np.full(len(slope), 3.0))


def test_a_helix_winds_the_way_the_rings_turn():
    circle = down(walk_in(20, 20)).circle
    assert shapely.LinearRing(circle).is_ccw


def test_where_a_larger_cutter_has_been_it_comes_down_in_the_open():
    found = down(walk_in(20, 10), uncut=shapely.box(0, 0, 3, 3))
    assert found.way == "open"
    assert found.start.tolist() == [20, 10]


def test_where_everything_near_is_uncut_it_does_not():
    assert down(walk_in(20, 10), uncut=shapely.box(-5, -5, 25, 15)).way == "helix"
