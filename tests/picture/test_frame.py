"""Axes count in mm or inches at one scale, with a bar and a zero that fit."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from outline2path.picture.frame import (
    box_size_pt,
    frame_axes,
    furniture,
    nice_step,
    scale_bar,
    work_zero,
)
from outline2path.picture.page import new_figure
from tests.strategies import numbers


def axes(wide: float = 400, high: float = 300):
    """Axes of that size in points."""
    return new_figure(wide, high).add_axes((0, 0, 1, 1))


@settings(max_examples=60, deadline=None)
@given(numbers(1, 2000), numbers(1, 2000), numbers(-500, 500))
def test_everything_asked_for_is_seen_at_one_scale(wide, high, left):
    ax = axes()
    scale = frame_axes(ax, (left, 0, left + wide, high))
    (x0, x1), (y0, y1) = ax.get_xlim(), ax.get_ylim()
    # equal but for float noise
    assert 400 / (x1 - x0) == pytest.approx(scale, rel=1e-9)
    assert 300 / (y1 - y0) == pytest.approx(scale, rel=1e-9)
    assert x0 < left < left + wide < x1
    assert y0 < 0 < high < y1


@settings(max_examples=60, deadline=None)
@given(numbers(1e-3, 1e5))
def test_steps_are_one_two_or_five_and_near_the_length(length):
    step = nice_step(length)
    assert 0.39 * length < step <= length * 1.001
    assert f"{step:e}"[0] in "125"


@pytest.mark.parametrize(("units", "label"), [("mm", "40"), ("in", "2")])
def test_ticks_count_in_the_units_asked_for(units, label):
    ax = axes()
    frame_axes(ax, (0, 0, 150, 100), units=units)
    labels = [t.get_text() for t in ax.get_xticklabels()]
    assert label in labels
    assert ax.get_xlabel() == f"x, {units}"


def test_negative_ticks_carry_a_true_minus_sign():
    ax = axes()
    frame_axes(ax, (-100, 0, 100, 50))
    assert any(t.get_text().startswith("\u2212") for t in ax.get_xticklabels())


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("wide", [12, 30, 180, 900])
def test_the_scale_bar_is_as_long_as_it_says(units, wide):
    ax = axes()
    frame_axes(ax, (0, 0, wide, wide), units=units)
    bar, label, *_ = scale_bar(ax, units=units)
    x = [v[0] for path in bar.get_paths() for v in path.vertices]
    said = float(label.get_text().split()[0]) * (25.4 if units == "in" else 1)
    # equal but for float noise
    assert max(x) - min(x) == pytest.approx(said, rel=1e-9)
    assert ax.get_xlim()[0] < min(x) < max(x) < ax.get_xlim()[1]


def test_the_zero_mark_keeps_its_size_on_paper():
    sizes = []
    for wide in (20, 200):
        ax = axes()
        scale = frame_axes(ax, (0, 0, wide, wide))
        sizes.append(work_zero(ax, scale=scale)[0].get_radius() * scale)
    assert sizes[0] == pytest.approx(sizes[1])


def test_furniture_covers_bar_and_zero():
    ax = axes()
    frame_axes(ax, (0, 0, 150, 100))
    strip, *zero = furniture(ax, zero=True)
    assert strip[2] == box_size_pt(ax)[0]
    assert len(zero) == 2


def test_bounds_without_width_are_still_framed():
    ax = axes()
    assert frame_axes(ax, (5, 5, 5, 5)) > 0
