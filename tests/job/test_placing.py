"""Work zero, the stock's box, and whether the machine can go there."""

import pytest
import shapely
from hypothesis import given

from outline2path.drawing.outline import Outline
from outline2path.job.placing import place, travel_findings
from outline2path.shop.machine import Machine
from outline2path.shop.stock import Stock
from tests.strategies import regions

PLATE = Outline.from_shapely(shapely.box(7, -3, 47, 27))


@pytest.mark.parametrize(
    ("zero", "bounds"),
    [
        ("lower-left", (0, 0, 40, 30)),
        ("centre", (-20, -15, 20, 15)),
        ("stock-corner", (30, 35, 70, 65)),
    ],
)
def test_work_zero_is_the_origin(zero, bounds):
    placed = place(PLATE, stock=Stock("100 x 100 x 6 mm"), zero=zero, cutter_mm=3)
    assert placed.outline.bounds_mm == pytest.approx(bounds, abs=1e-9)


@given(regions())
def test_the_part_lies_in_the_middle_of_its_stock(region):
    placed = place(
        Outline.from_shapely(region), stock=Stock(thickness=6), zero="centre", cutter_mm=3
    )
    x0, y0, x1, y1 = placed.stock_box_mm
    assert (x0 + x1, y0 + y1) == pytest.approx((0, 0), abs=1e-9)


@given(regions())
def test_assumed_stock_leaves_a_rim_outside_the_cut(region):
    outline = Outline.from_shapely(region)
    placed = place(outline, stock=Stock(thickness=6), zero="lower-left", cutter_mm=3)
    assert placed.stock_box_mm[0] <= placed.outline.bounds_mm[0] - 2 * 3


@pytest.mark.parametrize(
    ("stock", "machine", "codes"),
    [
        (Stock("100 x 100 x 6 mm"), Machine(travel="100 x 100 x 50 mm"), []),
        (Stock("100 x 100 x 6 mm"), Machine(travel="42 x 100 x 50 mm"), ["beyond-travel"]),
        (Stock("42 x 100 x 6 mm"), None, ["cut-off-stock"]),
        (Stock("35 x 100 x 6 mm"), None, ["part-off-stock"]),
    ],
)
def test_what_does_not_fit_is_found(stock, machine, codes):
    placed = place(PLATE, stock=stock, zero="lower-left", cutter_mm=3)
    found = travel_findings((-1.5, -1.5, 41.5, 31.5), placed, cutter_mm=3, machine=machine)
    assert [f.code for f in found] == codes
