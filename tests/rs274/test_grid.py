"""Rounding laws, in both units (NISTIR 6556 section 3.5.3.2; sources.md W9b)."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.errors import ProgramError, SettingError
from outline2path.path.toolpath import Toolpath
from outline2path.rs274.grid import on_grid, step_mm
from outline2path.tolerance import ROUNDING_MM
from tests.path.moves import toolpath
from tests.rs274.toolpaths import toolpaths

UNITS = st.sampled_from(["mm", "in"])


def positions(start, blocks):
    return np.vstack([start, np.column_stack([blocks["x"], blocks["y"], blocks["z"]])])


def drawn(at, rows):
    """Moves (kind, x, y, i, j) as one fine polyline in x and y, in the unit of the rows."""
    points = [tuple(at)]
    for kind, x, y, i, j in rows:
        points += _bow(points[-1], kind, (x, y), (i, j)) if kind >= 2 else []
        points.append((x, y))
    return shapely.LineString([*points, points[-1]])


def _bow(at, kind, end, offset):
    """Points on an arc between its ends, chords within 0.00005 mm of it."""
    turn, radius = (1 if kind == 3 else -1), math.hypot(*offset)
    first = math.atan2(-offset[1], -offset[0])
    last = math.atan2(end[1] - at[1] - offset[1], end[0] - at[0] - offset[0])
    sweep = 2 * math.pi if end == at else (last - first) * turn % (2 * math.pi)
    angles = first + turn * np.linspace(0, sweep, 3 + int(sweep * math.sqrt(radius / 4e-4)))[1:-1]
    centre = np.add(at, offset)
    return [tuple(centre + radius * np.array([math.cos(a), math.sin(a)])) for a in angles]


def farthest(one, other):
    """Greatest distance from the vertices of either line to the other line."""
    shapely.prepare([one, other])
    there = shapely.distance(shapely.points(shapely.get_coordinates(one)), other)
    back = shapely.distance(shapely.points(shapely.get_coordinates(other)), one)
    return max(there.max(), back.max())


@settings(max_examples=120, deadline=None)
@given(path=toolpaths(), units=UNITS)
def test_radii_agree_within_the_limit_of_the_standard(path, units):
    start, blocks = on_grid(path, units=units)
    at = positions(start, blocks)[:, :2]
    offset = np.column_stack([blocks["i"], blocks["j"]])
    begin, end = np.hypot(*offset.T), np.hypot(*(at[1:] - at[:-1] - offset).T)
    limit = {"mm": 0.002, "in": 0.0002 * 25.4}[units]
    assert (np.abs(begin - end)[blocks["kind"] >= 2] * step_mm(units) <= limit).all()


@settings(max_examples=120, deadline=None)
@given(path=toolpaths(), units=UNITS)
def test_no_block_is_without_length_and_no_arc_without_radius(path, units):
    start, blocks = on_grid(path, units=units)
    still = (np.diff(positions(start, blocks), axis=0) == 0).all(axis=1)
    assert not still[blocks["kind"] < 2].any()
    arcs = blocks["kind"] >= 2
    assert (np.hypot(blocks["i"], blocks["j"])[arcs] > 2).all()
    assert not blocks["i"][~arcs].any()


@settings(max_examples=120, deadline=None)
@given(path=toolpaths(), units=UNITS)
def test_an_arc_ends_where_it_starts_only_when_it_is_meant_to(path, units):
    start, blocks = on_grid(path, units=units)
    at = positions(start, blocks)
    closed = (at[1:, :2] == at[:-1, :2]).all(axis=1) & (blocks["kind"] >= 2)
    meant = sum(
        kind >= 2 and (x, y) == before
        for kind, x, y, before in zip(
            path.moves["kind"],
            path.moves["x"],
            path.moves["y"],
            [path.start[:2], *path.moves[["x", "y"]].tolist()],
            strict=False,
        )
    )
    assert closed.sum() <= meant


@settings(max_examples=40, deadline=None)
@given(path=toolpaths(least_radius=0.01), units=UNITS)
def test_the_rounded_path_stays_within_the_share_rounding_has(path, units):
    start, blocks = on_grid(path, units=units)
    step, columns = step_mm(units), ["x", "y", "i", "j"]
    rows = [(k, *(step * v for v in rest)) for k, *rest in blocks[["kind", *columns]].tolist()]
    meant = drawn(path.start[:2], path.moves[["kind", *columns]].tolist())
    rounded = drawn((start[:2] * step).tolist(), rows)
    assert farthest(meant, rounded) <= ROUNDING_MM + 1e-4  # both lines' own chords


def test_w9b_the_worst_case_of_rounding_leaves_radii_0_000283_apart():
    """Half a step off in x and y at start, centre and end, the worst way round."""
    found = 0.0
    random = np.random.default_rng(0)
    for _ in range(300):
        x, y, r, a, b = random.uniform(0, 1, 5) * [50, 50, 40, 6, 6]
        centre = np.array([x + r * math.cos(a), y + r * math.sin(a)])
        end = centre + r * np.array([math.cos(b), math.sin(b)])
        path = toolpath([(3, *end, 0, *(centre - [x, y]), 600)], start=(x, y, 0))
        start, blocks = on_grid(path)
        offset = np.array([blocks["i"], blocks["j"]])[:, 0]
        last = np.array([blocks["x"], blocks["y"]])[:, 0] - start[:2] - offset
        found = max(found, abs(np.hypot(*offset) - np.hypot(*last)) * 1e-4)
    assert 0.00005 < found <= 0.000283


@pytest.mark.parametrize(
    ("sweep_deg", "radius", "kinds"),
    [
        (90, 10, [3]),
        (359.9999, 10, [3, 3]),  # ends 0.00002 mm apart would round to one point
        (360, 10, [3]),
        (0.00001, 10, []),  # 0.000002 mm long
        (0.1, 10, [1]),  # rises 0.000004 mm over its chord
        (90, 0.0001, [1]),
    ],
)
def test_what_rounding_would_spoil_is_mended(sweep_deg, radius, kinds):
    angle = math.radians(sweep_deg)
    end = (
        (5, 5)
        if sweep_deg == 360
        else (5 - radius + radius * math.cos(angle), 5 + radius * math.sin(angle))
    )
    _, blocks = on_grid(toolpath([(3, *end, 0, -radius, 0, 600)], start=(5, 5, 0)))
    assert blocks["kind"].tolist() == kinds


def test_a_halved_arc_meets_in_the_middle():
    end = (-10 + 10 * math.cos(1e-6), -10 * math.sin(1e-6))
    _, blocks = on_grid(toolpath([(3, *end, -4, -10, 0, 600)], start=(0, 0, 0)))
    assert blocks[["x", "y", "z"]].tolist()[0] == (-200000, 0, -20000)


@pytest.mark.parametrize(("units", "feed", "shown"), [("mm", 0.001, 0.1), ("in", 1828.8, 72.0)])
def test_feeds_are_rounded_but_never_to_nothing(units, feed, shown):
    _, blocks = on_grid(toolpath([(1, 9, 0, 0, 0, 0, feed)]), units=units)
    assert blocks["feed"].tolist() == [shown]


def test_an_arc_whose_ends_lie_on_two_circles_is_refused():
    with pytest.raises(ProgramError, match="move 0 starts and ends on circles"):
        on_grid(toolpath([(2, 9, 0, 0, 4, 0, 600)]))


@pytest.mark.parametrize("x", [1e5, math.inf, math.nan])
def test_a_path_beyond_ten_metres_is_refused(x):
    with pytest.raises(SettingError, match="away from work zero"):
        on_grid(toolpath([(1, x, 0, 0, 0, 0, 600)]))


def test_units_are_mm_or_in():
    with pytest.raises(SettingError, match="neither mm nor in"):
        step_mm("cm")


def test_an_empty_path_is_its_start():
    start, blocks = on_grid(
        Toolpath(moves=toolpath([]).moves, sections=(), start=(1, 2, 5), clearance_mm=5)
    )
    assert (start.tolist(), len(blocks)) == ([10000, 20000, 50000], 0)
