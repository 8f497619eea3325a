"""Words about a picture: key, depths, figures."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from outline2path.picture.captions import (
    cutter_words,
    depth_block,
    long_words,
    name_of,
    outline_facts,
    plan_facts,
    reach_facts,
    signed_words,
)
from outline2path.picture.cuts import pass_depths
from outline2path.picture.moves import traces
from outline2path.picture.style import depth_colours
from tests.picture.stand_ins import StandInReach, outline, plan_of_leaf, profile_path

PLATE = outline(shapely.box(0, 0, 50.8, 25.4) - shapely.box(5, 5, 6, 6), "C:\\art\\plate.svg")


@pytest.mark.parametrize(
    ("units", "words"),
    [
        ("mm", ("50.8 \u00d7 25.4 mm", "1 region, 1 hole", "12.9 cm\u00b2", "156.4 mm")),
        ("in", ("2.00 \u00d7 1.00 in", "1.998 in\u00b2", "6.16 in")),
    ],
)
def test_an_outline_says_its_figures(units, words):
    # area 50.8 x 25.4 - 1 = 1289.3 mm2; edge 152.4 + 4 = 156.4 mm
    facts = outline_facts(PLATE, units)
    assert all(w in facts for w in words)


@pytest.mark.parametrize(
    ("largest", "words"), [(None, "no gap or hole limits"), (2.0, "passes everywhere: 2.00 mm")]
)
def test_a_reach_says_which_cutter_passes(largest, words):
    reach = StandInReach(outline=PLATE, cutter_mm=3.0, largest_cutter_mm=largest)
    assert words in reach_facts(reach, "mm")


def test_a_plan_counts_contours_passes_and_tabs():
    plan = plan_of_leaf()
    facts = plan_facts(plan["outline"], plan["toolpath"], tabs=1, time_s=None, units="mm")
    assert "3 contours, 4 passes" in facts
    assert facts.endswith("1 tab")


@pytest.mark.parametrize(("count", "rows"), [(1, 1), (10, 10), (11, 11), (40, 11)])
def test_many_depths_are_shortened_in_the_middle(count, rows):
    depths = tuple(-0.5 * (k + 1) for k in range(count))
    path, _ = profile_path(shapely.box(0, 0, 20, 20), depths_mm=depths, tabs=0)
    ranked, place = pass_depths(path)
    (block,) = depth_block(traces(path), place, ranked, colours=depth_colours(count), units="mm")
    assert len(block.rows) == rows
    assert block.rows[-1].words == f"z {signed_words(depths[-1], 'mm')}"


def test_the_length_at_a_depth_is_that_of_its_cuts():
    path, _ = profile_path(shapely.box(0, 0, 40, 30), depths_mm=(-1.0,), tabs=0, cutter_mm=2.0)
    (block,) = depth_block(
        traces(path), *reversed(pass_depths(path)), colours=["#000000"], units="mm"
    )
    # perimeter plus a turn of the cutter's radius: 140 + 2 pi = 146.28, in whole mm
    assert block.rows[0].right == "146 mm"


def test_no_depths_make_no_block():
    assert depth_block((), np.array([], int), np.array([]), colours=(), units="mm") == ()


@pytest.mark.parametrize(
    ("file", "name"),
    [("C:\\art\\plate.svg", "plate.svg"), ("a/b/heron.svg", "heron.svg"), (None, "Outline")],
)
def test_a_name_has_no_folder(file, name):
    made = outline(shapely.box(0, 0, 9, 9))
    assert name_of(replace(made, source=replace(made.source, file=file))) == name


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (cutter_words(3.175), "3.175 mm"),
        (cutter_words(6.0), "6 mm"),
        (cutter_words(6.35, units="in"), "0.25 in"),
        (signed_words(-1.5, "mm"), "\u22121.50 mm"),
        (long_words(999.4, "mm"), "999 mm"),
        (long_words(1420, "mm"), "1.42 m"),
        (long_words(254, "in"), "10.0 in"),
    ],
)
def test_lengths_are_written_for_people(made, words):
    assert made == words
