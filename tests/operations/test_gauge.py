"""The coupon's slots are as wide as their labels say, and the answer goes back into a job."""

import pytest
import shapely

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.operations.gauge import cutting_width, fit_gauge
from outline2path.operations.mating import mates
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import Budget

FLOAT_MM = 1e-9  # what sums of float64 widths leave


@pytest.mark.parametrize(("first", "step", "count"), [(0, 0.05, 7), (-0.1, 0.02, 11), (0.2, 0, 1)])
def test_every_slot_is_the_mate_and_its_label(first, step, count):
    gauge = fit_gauge(5.8, first=first, step=step, count=count)
    high = gauge.plate.bounds_mm[3]
    probe = shapely.LineString([(0, high - 5), (gauge.plate.bounds_mm[2], high - 5)])
    widths = [piece.length for piece in shapely.get_parts(probe.difference(gauge.plate.region))]
    labels = [float(slot.label) for slot in gauge.slots]
    assert widths == pytest.approx([5.8 + label for label in labels], abs=FLOAT_MM)
    assert len(widths) == count


def test_labels_stand_in_the_wood_below_their_slots():
    gauge = fit_gauge(1.5, count=9, step=0.1)
    assert gauge.plate.region.buffer(-1).contains(shapely.box(*gauge.labels.bounds_mm))
    x = [slot.at_mm[0] for slot in gauge.slots]
    middle = gauge.labels.bounds_mm[0] + gauge.labels.size_mm[0] / 2
    assert middle == pytest.approx((x[0] + x[-1]) / 2, abs=0.5)  # letters are not all as wide


def test_the_mate_goes_into_the_slot_that_its_label_promises():
    gauge = fit_gauge(6, count=5)
    third = gauge.slots[2]
    mate = shapely.box(-3, -2, 3, 0)
    x, high = third.at_mm
    placed = Outline.from_shapely(shapely.affinity.translate(mate, x, high - 4))
    mating = mates(placed, gauge.plate, third.clearance_mm, side="outside")
    assert mating.gap_mm == pytest.approx(0.05, abs=FLOAT_MM)


@pytest.mark.parametrize("true_mm", [2.95, 3.0, 3.08])
def test_a_measured_slot_tells_the_cutters_width(true_mm):
    """Cut as planned for 3 mm: the path lies 1.5 mm and the margin off each wall."""
    path_to_path = 6 - 3 - 2 * Budget().margin_mm
    measured = path_to_path + true_mm
    assert cutting_width(Cutter(3), drawn=6, measured=measured) == pytest.approx(true_mm)


def test_an_absurd_measurement_is_refused():
    with pytest.raises(SettingError, match="measure again"):
        cutting_width(Cutter(3), drawn=6, measured=7.5)


@pytest.mark.parametrize(
    "wrong", [{"count": 0}, {"count": 2.5}, {"depth": 0}, {"first": -7}, {"letters": -1}]
)
def test_an_impossible_gauge_is_refused(wrong):
    with pytest.raises(SettingError):
        fit_gauge(6, **wrong)
