"""Regions and lines become artists that cover what the geometry covers."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from outline2path.picture.page import new_figure
from outline2path.picture.shapes import add_fill, add_hatch, add_lines, region_path
from tests import specimens
from tests.strategies import regions


def canvas(bounds, dots: int = 400):
    """Square axes over the bounds, filling a figure of so many dots."""
    figure = new_figure(dots * 0.72, dots * 0.72, dpi=100)
    figure.set_facecolor("white")
    ax = figure.add_axes((0, 0, 1, 1))
    ax.set_axis_off()
    side = max(bounds[2] - bounds[0], bounds[3] - bounds[1])
    ax.set(xlim=(bounds[0], bounds[0] + side), ylim=(bounds[1], bounds[1] + side))
    return ax, side


@pytest.mark.parametrize("name", sorted(specimens.ALL))
def test_the_filled_pixels_add_up_to_the_area(name):
    region = specimens.ALL[name]
    ax, side = canvas(region.bounds)
    add_fill(ax, region, "edge").set(facecolor="black", antialiased=True)
    ax.figure.canvas.draw()
    dots = np.asarray(ax.figure.canvas.buffer_rgba())[..., :3].mean(axis=2) / 255
    area = (1 - dots).mean() * side**2
    # antialiased edges are right to a few grey steps: a hundredth of a dot along the edge
    assert area == pytest.approx(region.area, abs=0.02 * region.length * side / 400 + 1e-3)


@settings(max_examples=30, deadline=None)
@given(regions())
def test_a_path_has_one_closed_loop_a_ring(region):
    codes = region_path(region).codes
    rings = 1 + len(region.interiors)
    assert (codes == 1).sum() == rings
    assert (codes == 79).sum() == rings


@settings(max_examples=30, deadline=None)
@given(regions())
def test_hatching_stays_on_its_region_and_is_bounded(region):
    ax, _ = canvas(region.bounds)
    lines = add_hatch(ax, region, "thin", spacing_mm=0.05).get_segments()
    # ends are right to a fortieth of the spacing
    grown = region.buffer(0.05 / 40)
    assert len(lines) > 0
    assert all(grown.covers(shapely.LineString(line)) for line in lines[:40])


def test_many_lines_are_one_artist_with_their_own_colours():
    ax, _ = canvas((0, 0, 9, 9))
    lines = [np.array([[0.0, k], [9.0, k]]) for k in range(5)]
    drawn = add_lines(ax, lines, "edge", colours=["red"] * 5, width_pt=[1, 2, 3, 4, 5], weight=2)
    assert list(drawn.get_linewidths()) == [2, 4, 6, 8, 10]
    assert len(ax.collections) == 1
