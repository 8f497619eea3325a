"""Low hops: over the stock and away from clamps only, judged by distances of shapely's."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.job.job import Job
from outline2path.path.hop import Hop
from outline2path.path.measure import positions_mm
from outline2path.path.toolpath import RAPID
from outline2path.proof.judge import judge
from outline2path.shop.cutter import Cutter
from outline2path.shop.holding import Clamp, Holding
from outline2path.shop.stock import Stock
from tests.strategies import numbers

PLATE = (0.0, 0.0, 90.0, 60.0)
CLAMP = (40.0, 0.0, 50.0, 20.0)
HOP = Hop(height_mm=1.0, over_mm=PLATE, around_mm=(CLAMP,), apart_mm=4.0)
DISCS = Outline.from_shapely(
    shapely.MultiPolygon(
        [shapely.Point(x, y).buffer(8) for x in (15, 75) for y in (12, 48)]
        + [shapely.Point(45, 48).buffer(6)]
    )
)


@pytest.mark.parametrize(
    ("start", "to", "allowed"),
    [
        ((5, 5), (30, 30), True),
        ((5, 5), (80, 5), False),  # through the clamp
        ((5, 23), (80, 23), False),  # 3 mm beside it
        ((5, 25), (80, 25), True),  # 5 mm beside it
        ((5, 5), (-1, 5), False),  # off the stock
        ((5, 61), (5, 5), False),
        ((0, 60), (90, 60), True),
    ],
)
def test_a_hop_stays_over_the_stock_and_clear_of_clamps(start, to, allowed):
    assert HOP.allows(start, to) is allowed


@settings(max_examples=80)
@given(st.tuples(*[numbers(-20, 110)] * 4))
def test_no_hop_that_is_allowed_comes_near_a_clamp_or_leaves_the_stock(places):
    start, to = places[:2], places[2:]
    way = shapely.LineString([start, to])
    sound = shapely.box(*PLATE).covers(way) and way.distance(shapely.box(*CLAMP)) > 4
    assert HOP.allows(start, to) <= sound


def planned(*, hop=None, clamps=(), side="outside"):
    holding = Holding("clamps", clamps=clamps) if clamps else None
    job = Job(
        stock=Stock("90 x 60 x 3 mm"), placed="as-drawn", zero="stock-corner", hop=hop,
        holding=holding,
    )  # fmt: skip
    return job.profile(DISCS, Cutter(3), side=side, tabs=2).plan()


def crossings(plan):
    """z of every rapid that goes sideways, with its ends."""
    moves = plan.toolpath.moves
    at = positions_mm(plan.toolpath)
    aside = (np.diff(at[:, :2], axis=0) != 0).any(axis=1) & (moves["kind"] == RAPID)
    return at[:-1][aside], at[1:][aside]


def test_without_leave_every_rapid_crosses_at_the_clearance():
    start, end = crossings(planned())
    assert set(start[:, 2]) == set(end[:, 2]) == {5.0}


def test_hops_save_time_and_pass_the_judge():
    plain, low = planned(), planned(hop="1 mm")
    start, _ = crossings(low)
    assert {1.0, 5.0} == set(start[:, 2].tolist())  # the first comes from, the last goes, home
    assert low.proof.verdict == "pass"
    assert low.only.times.rapid_mm < 0.8 * plain.only.times.rapid_mm
    assert low.only.times.total_s < plain.only.times.total_s


def test_a_program_with_hops_is_refused_where_the_job_gives_no_leave():
    low = planned(hop="1 mm")
    strict = replace(low.only.expected, hop_mm=None)
    (fault,) = [c for c in judge(low.program.text, strict).failed if c.name == "rapids"]
    assert "below the clearance height" in fault.detail


@pytest.mark.parametrize("lower", [0.9, 0.2])
def test_a_hop_lower_than_allowed_is_refused(lower):
    low = planned(hop="1 mm")
    text = low.program.text.replace("G0 Z1.0000", f"G0 Z{lower:.4f}")
    assert "rapids" in {c.name for c in judge(text, low.only.expected).failed}


def test_rapids_go_up_to_the_clearance_near_a_clamp():
    clamp = Clamp(at=("36 mm", "0 mm"), size=("18 mm", "30 mm"), height="12 mm")
    plan = planned(hop="1 mm", clamps=(clamp,))
    start, end = crossings(plan)
    low = start[:, 2] < 5
    ways = shapely.linestrings(np.stack((start[low, :2], end[low, :2]), axis=1))
    assert low.any()
    assert (shapely.distance(ways, shapely.box(*clamp.box_mm)) > 1.5).all()


def test_the_judge_refuses_a_hop_beside_a_clamp_whoever_made_it():
    from outline2path.proof.expected_program import KeepOut

    low = planned(hop="1 mm")
    clamp = KeepOut(box_mm=(58, 0, 60, 60), top_mm=12.0, name="bar")
    harder = replace(low.only.expected, keep_out=(clamp,))
    assert "rapids" in {c.name for c in judge(low.program.text, harder).failed}


def test_where_a_judged_hop_may_not_be_off_the_stock():
    low = planned(hop="1 mm")
    small = replace(low.only.expected, stock_mm=(0.0, 0.0, 50.0, 60.0))
    assert "rapids" in {c.name for c in judge(low.program.text, small).failed}


@pytest.mark.parametrize("hop", [0, "0.2 mm", "6 mm", "nan"])
def test_a_hop_below_half_a_millimetre_or_above_the_clearance_is_refused(hop):
    with pytest.raises((SettingError, ValueError), match=r"hop|nan"):
        Job(stock=Stock(thickness=3), hop=hop)
