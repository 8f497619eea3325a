"""Parts in rows and by hand: none overlaps, none hangs over, faults have their place."""

from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

import outline2path as o2p
from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.job.laying import check_laid, lay_at, rows
from outline2path.shop.stock import Stock
from tests.strategies import numbers, regions

ART = Path(__file__).parents[2] / "demo_art"
FLOAT_MM = 1e-9  # what one move of float64 coordinates leaves
TAG = Outline.from_shapely(shapely.box(0, 0, 40, 20))
SHEET = Stock("200 x 100 x 6 mm")


@settings(max_examples=25)
@given(st.lists(regions(), min_size=1, max_size=6), numbers(0, 10))
def test_parts_in_rows_keep_their_distance(found, spacing):
    parts = [Outline.from_shapely(region) for region in found]
    laid = rows(parts, Stock("900 x 900 x 6 mm"), spacing=spacing)
    boxes = [shapely.box(*part.bounds_mm) for part in laid]
    apart = [a.distance(b) for k, a in enumerate(boxes) for b in boxes[:k]]
    assert min(apart, default=spacing) >= spacing - FLOAT_MM
    assert shapely.box(0, 0, 900, 900).buffer(FLOAT_MM - spacing).covers(shapely.union_all(boxes))


def test_rows_fill_from_the_lower_left_in_the_order_given():
    low = Outline.from_shapely(shapely.box(7, 7, 47, 17))
    laid = rows([low, TAG, TAG, TAG, low], SHEET, spacing=8, start=(10, "5 mm"))
    corners = [part.bounds_mm[:2] for part in laid]
    assert corners == [(10, 5), (58, 5), (106, 5), (10, 33), (58, 33)]


def test_two_hundred_copies_are_laid_and_checked():
    comb = o2p.read_outline(ART / "bookmark_comb.svg").fit(width="20 mm")
    stock = Stock("600 x 800 x 3 mm")
    laid = rows([comb] * 200, stock, spacing=3)
    check_laid(laid, stock, spacing=3)
    assert len({part.bounds_mm for part in laid[:5]}) == 5


def test_parts_that_find_no_room_are_an_error_with_its_place():
    with pytest.raises(SettingError, match="part 13 of 20") as caught:
        rows([TAG] * 20, SHEET, spacing=5)
    assert caught.value.at_mm == (5, 80)


@pytest.mark.parametrize(
    ("moves", "words", "place"),
    [
        ([(0, 0), (39, 10)], "parts 1 and 2 overlap", (39.5, 15)),
        ([(0, 0), (42, 0)], "2.000 mm apart", (41, 10)),
        ([(0, 0), (0, 90)], "part 2 hangs 10.00 mm over", (40, 110)),
        ([(-3, 0)], "part 1 hangs 3.00 mm over", (-3, 20)),
    ],
)
def test_a_fault_is_named_with_its_place(moves, words, place):
    with pytest.raises(SettingError, match=words) as caught:
        check_laid([TAG.move(x, y) for x, y in moves], SHEET, spacing=3)
    assert caught.value.at_mm == pytest.approx(place, abs=10.01)
    assert caught.value.at_mm[0] == pytest.approx(place[0], abs=FLOAT_MM)


def test_a_part_in_the_hole_of_another_is_laid_well():
    frame = Outline.from_shapely(shapely.box(0, 0, 80, 60).difference(shapely.box(10, 10, 70, 50)))
    check_laid([frame, TAG.move(20, 20)], SHEET, spacing=5)


def test_a_part_laid_by_hand_has_its_corner_there():
    assert lay_at(TAG.rotate(30), "1 in", 7).bounds_mm[:2] == pytest.approx((25.4, 7))


@pytest.mark.parametrize(
    ("parts", "stock", "options"),
    [
        ([], SHEET, {}),
        ([TAG], Stock(thickness=6), {}),
        ([TAG], SHEET, {"spacing": -1}),
        ([TAG] * 2001, SHEET, {}),
    ],
)
def test_an_impossible_layout_is_refused(parts, stock, options):
    with pytest.raises(SettingError):
        rows(parts, stock, **options)
