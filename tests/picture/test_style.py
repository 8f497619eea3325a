"""Meanings stay apart for every common colour vision and in grey; deeper is evenly darker."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from outline2path.picture.style import INK, MEANINGS, PAPER, QUIET, depth_colours, meaning
from tests.picture.vision import MACHADO, contrast, difference, lab, linear, seen

CLEAR = 15.0
"""CIE 1976 difference that is seen at a glance; 2.3 is the least that is noticed at all."""
GREY_STEP = 10.0
"""The same for greys, in L*."""
FILLS = [m for m in MEANINGS.values() if m.kind == "fill"]
LINES = [m for m in MEANINGS.values() if m.kind == "line"]
POINTS = [m for m in MEANINGS.values() if m.kind == "point"]


def apart(one, other) -> bool:
    """Whether two colours stay apart in every vision and in grey."""
    return all(difference(one, other, v) >= (GREY_STEP if v == "grey" else CLEAR) for v in MACHADO)


@pytest.mark.parametrize("vision", ["protan", "deutan", "tritan"])
def test_the_simulation_leaves_grey_grey(vision):
    # each row of Machado's matrices sums to 1, but for rounding in the sixth decimal
    assert seen("#808080", vision) == pytest.approx(linear("#808080"), abs=2e-6)


@pytest.mark.parametrize(
    ("colour", "expected"),
    [("#d55e00", (54.186, 43.278, 63.285)), ("#56b4e9", (69.826, -12.017, -34.774))],
)
def test_lab_agrees_with_a_reference_library(colour, expected):
    # figures of colorspacious 1.1.2, whose white point is rounded otherwise: hence 0.02
    assert lab(linear(colour)) == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize(("one", "other"), list(combinations(FILLS, 2)), ids=lambda m: m.name)
def test_fills_differ_in_pattern_or_in_colour_for_everyone(one, other):
    assert one.pattern != other.pattern or apart(one.colour, other.colour)


@pytest.mark.parametrize(("one", "other"), list(combinations(LINES, 2)), ids=lambda m: m.name)
def test_lines_differ_in_pattern_or_in_colour_for_everyone(one, other):
    assert one.dashes != other.dashes or apart(one.colour, other.colour)


def test_points_differ_in_marker():
    assert len({m.marker for m in POINTS}) == len(POINTS)


@pytest.mark.parametrize("line", LINES + POINTS, ids=lambda m: m.name)
def test_lines_stand_out_from_paper_by_three_to_one(line):
    # WCAG 2.2, 1.4.11: graphics 3 to 1 (from memory)
    assert contrast(line.colour, PAPER) >= 3.0


@pytest.mark.parametrize("ink", [INK, QUIET])
def test_text_stands_out_from_paper_by_more_than_text_must(ink):
    # WCAG 2.2, 1.4.3: text 4.5 to 1 (from memory)
    assert contrast(ink, PAPER) >= 4.5


@pytest.mark.parametrize("count", [2, 3, 6, 20])
@pytest.mark.parametrize("vision", sorted(MACHADO))
def test_deeper_is_darker_in_every_vision(count, vision):
    lightness = [lab(seen(c, vision))[0] for c in depth_colours(count)]
    assert (np.diff(lightness) < 0).all()


def test_depths_fall_evenly():
    lightness = np.array([lab(linear(c))[0] for c in depth_colours(9)])
    steps = -np.diff(lightness)
    assert steps.max() / steps.min() < 1.6


def test_the_shallowest_depth_still_stands_out():
    assert contrast(depth_colours(4)[0], "#ffffff") >= 3.0


@pytest.mark.parametrize("role", ["lead-in", "lead-out", "ramp"])
def test_leads_and_ramps_show_on_every_depth(role):
    for colour in depth_colours(6):
        for vision in ("usual", "protan", "deutan", "tritan"):
            style = meaning(role)
            assert style.dashes != "solid" or difference(style.colour, colour, vision) >= CLEAR


def test_no_depths_have_no_colours():
    assert depth_colours(0) == ()
