"""The plan view draws every meaning once, where it is told to, and touches nothing else."""

from __future__ import annotations

import pytest

from outline2path.picture.plan_view import draw_outline, draw_plan, draw_reach
from outline2path.picture.show import plan_png, png_size
from tests.picture import stand_ins

CUTTER = 3.175


def plan_of_leaf(**options):
    """The leaf's plan with everything on it."""
    leaf = stand_ins.leaf()
    outline = stand_ins.outline(leaf, "leaf.svg")
    path, tabs = stand_ins.profile_path(leaf, cutter_mm=CUTTER)
    spots = stand_ins.spots_of(leaf, CUTTER)
    reach = stand_ins.StandInReach(outline=outline, cutter_mm=CUTTER, spots=spots)
    return {
        "outline": outline,
        "toolpath": path,
        "tabs": tabs,
        "reach": reach,
        "stock_box_mm": (0.0, 0.0, 200.0, 104.0),
        "time_s": 380.0,
        **options,
    }


@pytest.mark.parametrize(
    "meaning",
    [
        "stock",
        "waste",
        "part",
        "edge",
        "kerf",
        "tab",
        "lost",
        "pass",
        "lead-in",
        "lead-out",
        "rapid",
        "start",
        "direction",
        "scale",
        "zero",
        "badge",
        "leader",
    ],
)
def test_a_plan_holds_an_artist_for_each_meaning(meaning):
    assert draw_plan(**plan_of_leaf()).artists[meaning]


def test_a_plan_says_its_numbers_in_words():
    drawn = draw_plan(**plan_of_leaf())
    assert "cutter 3.175 mm" in drawn.facts
    assert "4 passes" in drawn.facts
    assert "6 min 20 s" in drawn.facts


def test_a_plan_makes_a_png_twice_as_dense_as_the_page():
    assert png_size(plan_png(**plan_of_leaf()))[0] == 1800


def test_an_outline_without_findings_has_no_words_beside_it():
    assert draw_outline(stand_ins.outline(stand_ins.leaf())).blocks == ()


def test_a_reach_counts_its_spots():
    reach = plan_of_leaf()["reach"]
    assert f"{len(reach.spots)} narrow spots" in draw_reach(reach).facts
