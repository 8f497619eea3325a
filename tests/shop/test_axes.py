"""One figure or three: projection on the axes, by elementary geometry."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.errors import OutlinePathError, SettingError
from outline2path.shop.axes import PerAxis
from outline2path.shop.cutter import Cutter
from outline2path.shop.feeds import Feeds, feed_findings, starting_feeds
from outline2path.shop.machine import Machine
from outline2path.shop.material import find_material
from outline2path.units import parse_feed

MILL = PerAxis((3000, 2000, 600))


def unit(*direction):
    vector = np.array(direction, float)
    return vector / np.linalg.norm(vector)


@pytest.mark.parametrize(
    ("direction", "most"),
    [
        ((1, 0, 0), 3000),
        ((0, -1, 0), 2000),
        ((0, 0, 1), 600),
        ((1, 1, 0), 2000 * math.sqrt(2)),  # y is the first to reach its limit
        ((3, 2, 0), math.hypot(3000, 2000)),  # both reach theirs together
        ((3, 0, 4), 750),  # z has 4 fifths of the way
    ],
)
def test_a_move_may_have_what_its_slowest_axis_allows_in_its_direction(direction, most):
    assert MILL.along(unit(*direction)[None])[0] == pytest.approx(most, rel=1e-12)


@given(st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda d: math.hypot(*d) > 0.01))
def test_at_the_most_no_axis_is_asked_for_more_than_its_own_and_one_for_all_of_it(direction):
    way = unit(*direction)
    asked = np.abs(way) * MILL.along(way[None])[0] / MILL.figures
    assert asked.max() == pytest.approx(1, rel=1e-9)


@given(st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda d: math.hypot(*d) > 0.01))
def test_one_figure_holds_along_a_move_of_any_direction(direction):
    assert PerAxis((900,)).along(unit(*direction)[None])[0] == 900


def test_level_and_down_are_what_any_such_move_may_have():
    assert (MILL.level, MILL.down) == (2000, 600)
    assert (PerAxis((900,)).level, PerAxis((900,)).down) == (900, 900)


@pytest.mark.parametrize("figures", [(), (1, 2), (1, 2, 3, 4), (0,), (1, -2, 3), (1, 2, math.inf)])
def test_other_counts_and_figures_that_are_not_positive_are_refused(figures):
    with pytest.raises(SettingError, match=r"neither one nor three|is not positive"):
        PerAxis(figures)


@pytest.mark.parametrize(
    ("written", "figures"),
    [
        ("50 mm/s", (3000.0,)),
        (900, (900.0,)),
        (("3 m/min", "50 mm/s", 600), (3000.0, 3000.0, 600.0)),
        (["100 in/min", 2540, "600 mm/min"], (2540.0, 2540.0, 600.0)),
    ],
)
def test_figures_are_read_with_their_units(written, figures):
    found = PerAxis.of(written, label="greatest feed", parse=parse_feed)
    assert found.figures == pytest.approx(figures, rel=1e-12)


@pytest.mark.parametrize(
    "options",
    [
        {"greatest_feed": (3000, 2000)},
        {"greatest_feed": (3000, 0, 600)},
        {"rapid": ("3000 mm", "1 mm", "2 mm")},
        {"acceleration": (200, 200, math.nan)},
        {"acceleration": "200 mm/s2"},
        {"acceleration": True},
        {"spin_up": -1},
        {"cutter_change": 3600},
    ],
)
def test_a_machine_refuses_axes_and_waits_that_cannot_be_in_one_sentence(options):
    with pytest.raises(OutlinePathError) as caught:
        Machine(**options)
    assert 10 < len(str(caught.value)) < 200


def test_a_machine_of_three_axes_tells_what_every_level_move_and_every_plunge_may_have():
    mill = Machine(
        greatest_feed=("3 m/min", 2000, 600), rapid=(5000, 4000, 900), acceleration=(300, 200, 50)
    )
    assert (mill.greatest_feed, mill.greatest_plunge) == (2000, 600)
    assert (mill.rapid, mill.acceleration) == (4000, 200)


def test_feeds_that_start_a_job_stay_within_each_axis():
    slow = Machine(greatest_feed=(3000, 500, 60))
    found = starting_feeds(Cutter(6), find_material("softwood"), slow)
    assert (found.feed, found.plunge) == (500, 60)


@pytest.mark.parametrize(
    ("feeds", "codes"),
    [
        ((2500, 500), {"feed-above-machine"}),
        ((2000, 700), {"plunge-above-machine"}),
        ((2000, 600), set()),
    ],
)
def test_feeds_above_an_axis_are_told_with_what_becomes_of_them(feeds, codes):
    mill = Machine(greatest_feed=(3000, 2000, 600))
    asked = Feeds(rpm=9000, feed=feeds[0], plunge=feeds[1])
    found = feed_findings(asked, Cutter(6), find_material("mdf"), machine=mill)
    above = [f for f in found if f.code.endswith("above-machine")]
    assert {f.code for f in above} == codes
    assert all("slowed down" in f.message for f in above)
