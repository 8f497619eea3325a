"""Scanlines: count, places and reach of strokes."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.operations.scanlines import strokes
from tests import strategies
from tests.strategies import numbers

U_SHAPE = shapely.box(0, 0, 60, 50).difference(shapely.box(20, 20, 40, 60))


def lines(
    region: shapely.Geometry, radius: float = 3.0, step: float = 2.4, overlap: float = 0.0
) -> list[tuple[float, list[tuple[float, float]]]]:
    whole = shapely.MultiPolygon(shapely.get_parts(region).tolist())
    return strokes(whole, radius_mm=radius, step_mm=step, overlap_mm=overlap)


@settings(max_examples=60)
@given(high=numbers(7, 200), step=numbers(0.5, 5.8), overlap=numbers(0, 5))
def test_the_count_is_that_of_the_formula(high, step, overlap):
    """sources 3.1: ceil((W - D) / stepover) + 1, first and last rim on the edges."""
    found = lines(shapely.box(0, 0, 30, high), 3.0, step, overlap)
    assert len(found) == math.ceil((high + 2 * overlap - 6) / step - 1e-9) + 1
    assert found[0][0] == pytest.approx(3 - overlap)
    assert found[-1][0] == pytest.approx(high + overlap - 3)


def test_the_worked_example_gives_24():
    assert len(lines(shapely.box(0, 0, 100, 60))) == 24  # sources W15


@settings(max_examples=40)
@given(region=strategies.regions(), share=st.sampled_from([0.3, 0.6, 0.98]))
def test_each_point_of_the_region_has_a_stroke_passing_at_its_own_x(region, share):
    found = lines(region, 2.0, 4.0 * share)
    x0, y0, x1, y1 = region.bounds
    grid = np.stack(np.meshgrid(np.linspace(x0, x1, 40), np.linspace(y0, y1, 40)), axis=-1)
    places = grid.reshape(-1, 2)
    for x, y in places[shapely.contains_xy(region, places)]:
        near = [
            abs(y - height)
            for height, ranges in found
            if any(a <= x + 1e-9 and x <= b + 1e-9 for a, b in ranges)
        ]
        assert min(near) <= 2.0 + 1e-9


def test_a_bay_wider_than_the_cutter_splits_its_lines():
    assert {len(ranges) for y, ranges in lines(U_SHAPE) if y > 24} == {2}
    assert {len(ranges) for y, ranges in lines(U_SHAPE) if y < 18} == {1}


def test_a_bay_narrower_than_the_cutter_is_cut_across():
    slit = shapely.box(0, 0, 60, 50).difference(shapely.box(28, 20, 32, 60))
    assert {len(ranges) for _, ranges in lines(slit)} == {1}


def test_the_overlap_lengthens_both_ends():
    assert lines(shapely.box(0, 0, 30, 4), overlap=0.5)[0][1] == [(-0.5, 30.5)]
