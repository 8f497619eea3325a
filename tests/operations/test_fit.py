"""Slots as wide as the mate and its clearance, measured on the finished region."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError, UnitError
from outline2path.operations.fit import fit_slots, slot
from tests.strategies import numbers

FLOAT_MM = 2e-6  # points lie on a grid of 1e-6 mm, and both walls may be off by half a step
PLATE = shapely.box(0, 0, 80, 50)
NOTCH = shapely.box(20, 30, 26, 51)
HOLE = shapely.box(40, 10, 64, 16)
STADIUM = shapely.LineString([(10, 13), (28, 13)]).buffer(3, quad_segs=64)


def across(region, start, end) -> float:
    """How much of a straight probe lies in the void."""
    return shapely.LineString([start, end]).difference(region).length


def fitted(*voids, turn=0.0, **options):
    region = PLATE.difference(shapely.union_all(voids))
    outline = Outline.from_shapely(shapely.affinity.rotate(region, turn, origin=(0, 0)))
    how = {"drawn": 6, "thickness": 5.7, "clearance": 0.1} | options
    made = fit_slots(outline, **how)
    return shapely.affinity.rotate(made.region, -turn, origin=(0, 0)), made


@pytest.mark.parametrize("turn", [0, 30, 90, 217.3])
@pytest.mark.parametrize(("thickness", "width"), [(5.7, 5.8), (6.2, 6.3), (5.9, 6.0)])
def test_a_notch_becomes_as_wide_as_mate_and_clearance(turn, thickness, width):
    region, _ = fitted(NOTCH, turn=turn, thickness=thickness)
    assert across(region, (10, 40), (35, 40)) == pytest.approx(width, abs=FLOAT_MM)
    assert across(region, (23, 20), (23, 50)) == pytest.approx(20, abs=FLOAT_MM)


@pytest.mark.parametrize(("thickness", "width"), [(5.7, 5.8), (6.4, 6.5)])
def test_a_hole_keeps_its_length_and_middle(thickness, width):
    region, _ = fitted(HOLE, thickness=thickness)
    hole = region.geoms[0].interiors[0].bounds
    assert hole == pytest.approx((40, 13 - width / 2, 64, 13 + width / 2), abs=FLOAT_MM)


def test_round_ends_grow_with_their_slot():
    """A stadium swept half the difference to either side: its area grows by its length."""
    region, _ = fitted(STADIUM, thickness=6.3)
    grown = shapely.Polygon(region.geoms[0].interiors[0])
    assert across(region, (19, 5), (19, 21)) == pytest.approx(6.4, abs=FLOAT_MM)
    length = STADIUM.bounds[2] - STADIUM.bounds[0]
    assert grown.area == pytest.approx(STADIUM.area + 0.4 * length, rel=1e-4)  # chords


def test_all_slots_of_the_drawn_width_change_and_no_others():
    wide = shapely.box(50, 25, 60, 40)
    region, made = fitted(NOTCH, HOLE, wide, thickness=6.1)
    assert across(region, (45, 33), (70, 33)) == pytest.approx(10, abs=FLOAT_MM)
    assert [f.code for f in made.findings] == ["slots-fitted"]
    assert "2 slots" in made.findings[0].message


@pytest.mark.parametrize(("thickness", "width"), [(5.7, 5.8), (6.4, 6.5)])
def test_regions_may_themselves_be_the_slots(thickness, width):
    openings = Outline.from_shapely(HOLE)
    made = fit_slots(openings, drawn=6, thickness=thickness, clearance=0.1, side="inside")
    assert made.size_mm == pytest.approx((24, width), abs=FLOAT_MM)


@settings(max_examples=25)
@given(numbers(5.5, 6.6), numbers(0, 0.3), numbers(0, 6.2))
def test_any_slot_is_as_wide_as_asked(thickness, clearance, turn):
    angle = np.degrees(turn)
    region, _ = fitted(HOLE, turn=angle, thickness=thickness, clearance=clearance)
    found = across(region, (52, 5), (52, 21))
    assert found == pytest.approx(thickness + clearance, abs=FLOAT_MM)


def test_the_place_in_the_drawing_and_the_source_stay():
    outline = Outline.from_path("M0 0H80V50H0Z M40 10V16H64V10Z").move(5, 7)
    made = fit_slots(outline, drawn=6, thickness=6, clearance="0.2 mm")
    assert (made.matrix, made.source) == (outline.matrix, outline.source)
    assert made.bounds_mm == pytest.approx(outline.bounds_mm, abs=FLOAT_MM)


def test_a_drawing_without_such_a_slot_is_refused():
    with pytest.raises(SettingError, match="no slot 4 mm wide"):
        fitted(NOTCH, drawn=4)


def test_two_parts_side_by_side_are_no_slot():
    """Two plates 6 mm apart: their facing edges belong to two rings."""
    pair = shapely.MultiPolygon([shapely.box(0, 0, 20, 30), shapely.box(26, 0, 46, 30)])
    with pytest.raises(SettingError, match="no slot"):
        fit_slots(Outline.from_shapely(pair), drawn=6, thickness=6, clearance=0.1)


@pytest.mark.parametrize(
    ("options", "size"),
    [
        ({}, (24.1, 5.9)),
        ({"end_clearance": 0}, (24, 5.9)),
        ({"angle": "90 deg"}, (5.9, 24.1)),
    ],
)
def test_a_slot_is_the_mate_and_its_clearance(options, size):
    made = slot("24 mm", "5.8 mm", "0.1 mm", **options)
    assert made.size_mm == pytest.approx(size, abs=FLOAT_MM)
    assert np.add(made.bounds_mm[:2], made.bounds_mm[2:]) == pytest.approx((0, 0), abs=FLOAT_MM)


@pytest.mark.parametrize(
    ("figures", "error"),
    [
        ((24, 0, 0.1), SettingError),
        ((-1, 6, 0.1), SettingError),
        ((24, 6, -6), SettingError),
        ((24, "6 kg", 0.1), UnitError),
    ],
)
def test_an_impossible_slot_is_refused(figures, error):
    with pytest.raises(error):
        slot(*figures)
