"""A smaller cutter that goes on where a larger one was: what stands in its way is told early."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely

import outline2path as o2p
from outline2path.shop.holding import Holding

CROSS = o2p.Outline.from_shapely(
    shapely.union(shapely.box(0, 20, 60, 40), shapely.box(20, 0, 40, 60))
)
DEMO_ART = Path(__file__).parents[2] / "demo_art"
LARGE, SMALL = o2p.Cutter(8), o2p.Cutter(2)
GLUED = Holding("tape and glue")


def codes(*, first=None, second=None, holding=None, larger=8):
    """What is found in the program that goes on, errors only, and its proof's verdict."""
    job = o2p.Job(stock=o2p.Stock("90 x 90 x 6 mm"), holding=holding)
    if first is not None:
        job.profile(CROSS, LARGE, **first)
    job.profile(CROSS, SMALL, rest_of=larger, **(second or {}))
    last = job.plan().programs[-1]
    return {f.code for f in last.planned_findings if f.severity == "error"}, last


@pytest.mark.parametrize(
    ("first", "second", "holding", "told"),
    [
        ({"tabs": 2}, {"tabs": 2}, None, set()),
        ({}, {}, GLUED, set()),
        ({}, {}, None, {"rest-on-loose"}),
        ({}, {"tabs": 2}, None, {"rest-on-loose"}),
        ({"tabs": 2}, {"tabs": 2}, GLUED, set()),
    ],
)
def test_nothing_goes_on_at_a_part_that_is_loose(first, second, holding, told):
    found, _ = codes(first=first, second=second, holding=holding)
    assert found == told


def test_what_is_told_says_where_it_is_put_right():
    _, last = codes(first={})
    (finding,) = [f for f in last.planned_findings if f.code == "rest-on-loose"]
    assert "caught and thrown" in finding.message
    assert "tabs in the profile before" in finding.remedy
    assert not last.is_sound


def test_a_smaller_cutter_alone_is_told_to_wait_for_the_larger():
    found, last = codes(second={"tabs": 2})
    assert found == {"rest-without-larger"}
    assert "leave out rest_of" in str(last.planned_findings)


def test_a_profile_with_another_cutter_is_not_the_one_it_goes_on_from():
    found, _ = codes(first={"tabs": 2}, second={"tabs": 2}, larger=6)
    assert found == {"rest-without-larger"}


CROWDED = {"tabs": 8, "tab_length": 10}
"""So many and so long that some reach into the hollow corners a small cutter goes on with."""


def test_the_smaller_cutter_must_know_the_tabs_it_would_cut():
    found, last = codes(first=CROWDED)
    assert found == {"rest-cuts-tab"}
    (finding,) = [f for f in last.planned_findings if f.code == "rest-cuts-tab"]
    assert "8 of 10 mm" in finding.remedy
    (check,) = last.proof.failed  # the judge finds the same from the text alone
    assert check.name == "tabs"
    assert f"{finding.value:.2f}" in check.detail


def test_with_the_same_tabs_it_climbs_over_them_and_passes():
    found, last = codes(first=CROWDED, second=CROWDED)
    assert found == set()
    assert [check.detail for check in last.proof.failed] == []


def test_behind_a_thin_wall_it_may_cut_beside_a_tab():
    """A heron's neck is thinner than a tab is long: both its sides are cut, one has a tab."""
    heron = o2p.read_outline(DEMO_ART / "heron.svg").fit(width="60 mm")
    job = o2p.Job(stock=o2p.Stock(thickness="3 mm"))
    job.profile(heron, o2p.Cutter(6), tabs=4)
    last = job.profile(heron, o2p.Cutter(1.5), rest_of=6, tabs=4).plan().programs[-1]
    assert [f.code for f in last.planned_findings if f.severity == "error"] == []
    assert [check.detail for check in last.proof.failed] == []
