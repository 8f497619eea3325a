"""Work zero, the stock's box, and whether the machine can go there."""

import pytest
import shapely
from hypothesis import given

from outline2path.drawing.outline import Outline
from outline2path.job.placing import bed_for
from outline2path.job.travel import travel_findings
from outline2path.shop.machine import Machine
from outline2path.shop.stock import Stock
from tests.strategies import regions


def place(outline, **how):
    return bed_for(outline.bounds_mm, **how).place(outline)


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
    path = (-1.5, -1.5, 41.5, 31.5)
    found = travel_findings(path, placed, cut_mm=path, cutter_mm=3, machine=machine)
    assert [f.code for f in found] == codes


@pytest.mark.parametrize(
    ("about", "bounds"),
    [(None, (10, 20, 50, 50)), ("y", (50, 20, 90, 50)), ("x", (10, 30, 50, 60))],
)
def test_a_blank_turned_over_shows_its_drawing_mirrored(about, bounds):
    """A part 10 mm from the left edge of 100 mm stock is 10 mm from the right once turned."""
    part = Outline.from_shapely(shapely.box(10, 20, 50, 50))
    placed = place(
        part,
        stock=Stock("100 x 80 x 6 mm"),
        zero="stock-corner",
        cutter_mm=3,
        placed="as-drawn",
        about=about,
    )
    assert placed.outline.bounds_mm == pytest.approx(bounds, abs=1e-9)
    assert placed.stock_box_mm == (0, 0, 100, 80)


@given(regions())
def test_turning_over_twice_gives_the_drawing_back(region):
    outline = Outline.from_shapely(region)
    how = {"stock": Stock("900 x 800 x 6 mm"), "zero": "stock-corner", "cutter_mm": 3}
    once = bed_for(outline.bounds_mm, about="y", **how).place(outline).outline
    again = bed_for(once.bounds_mm, about="y", placed="as-drawn", **how).place(once).outline
    straight = place(outline, **how).outline
    assert again.bounds_mm == pytest.approx(straight.bounds_mm, abs=1e-9)
