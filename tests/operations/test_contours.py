from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from tests import specimens
from tests.operations.laws import plane_lines, planned
from tests.strategies import cutter_diameters, numbers, sheets


def two_plates(gap: float) -> shapely.MultiPolygon:
    return shapely.MultiPolygon([shapely.box(0, 0, 20, 20), shapely.box(20 + gap, 0, 40, 20)])


def test_a_roughing_ring_round_two_parts_is_cut_before_either_is_finished():
    first, second = planned(two_plates(3.2), 3.0, finish_allowance_mm=0.3).contours
    assert (len(first.cuts), len(second.cuts)) == (10, 5)
    assert second.after == {first.number}


@settings(max_examples=30, deadline=None)
@given(sheets(), cutter_diameters(), numbers(0.05, 0.45))
def test_each_roughing_ring_is_cut_once_and_keeps_its_distance(sheet, cutter, finish):
    plan = planned(sheet, cutter, finish_allowance_mm=finish)
    plain = planned(sheet, cutter)
    assert len(plan.contours) == len(plain.contours)
    final = {len(c.cuts) % 5 for c in plan.contours}
    assert final == {0}
    for contour in plan.contours:
        for cut in contour.cuts[:-5]:
            near = plane_lines([s.points for s in cut.spans]).distance(sheet)
            assert near >= cutter / 2 + finish


@pytest.mark.parametrize("finish", [0.0, 0.25])
def test_every_contour_has_its_own_number_in_a_lawful_order(finish):
    plan = planned(specimens.nested(), finish_allowance_mm=finish)
    numbers_ = [c.number for c in plan.contours]
    assert numbers_ == list(range(len(numbers_)))
    assert all(max(c.after, default=-1) < c.number for c in plan.contours)


def test_where_roughing_closes_a_notch_finishing_still_goes_in():
    """A slot the finishing ring enters with 0.2 mm to spare, and the roughing ring does not."""
    slot = specimens.square(30).difference(shapely.box(13, 15, 16.2, 31))
    (contour,) = planned(slot, 3.0, finish_allowance_mm=0.3).contours
    rough, final = (
        np.vstack([s.points for s in contour.cuts[k].spans if s.role == "cut"]) for k in (0, -1)
    )
    tip = shapely.Point(14.6, 16.5)
    assert plane_lines([final]).distance(tip) < 0.1
    assert plane_lines([rough]).distance(tip) > 5
