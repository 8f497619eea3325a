"""Whether two parts go together: gaps and overlaps in closed form."""

import math

import pytest
import shapely
from hypothesis import given, settings

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.operations.fit import slot
from outline2path.operations.mating import mates
from outline2path.operations.relief import relieve
from outline2path.shop.cutter import Cutter
from tests.strategies import numbers

FLOAT_MM = 1e-9  # what differences of float64 coordinates leave
TENON = Outline.from_shapely(shapely.box(-12, -3, 12, 3))


@settings(max_examples=25)
@given(numbers(0.01, 1))
def test_a_slot_made_for_a_mate_takes_it_with_half_the_clearance_on_each_side(clearance):
    mating = mates(TENON, slot(24, 6, clearance), clearance - 0.005)
    assert mating.fits
    assert mating.gap_mm == pytest.approx(clearance / 2, abs=FLOAT_MM)


@pytest.mark.parametrize(("width", "overlap"), [(5.9, 0.05), (5.0, 0.5)])
def test_a_narrow_slot_interferes_by_half_of_what_is_missing(width, overlap):
    mating = mates(TENON, slot(24, width, 0), 0.1)
    assert [c.depth_mm for c in mating.interferences] == pytest.approx([overlap] * 2)
    assert mating.gap_mm == pytest.approx(-overlap)
    assert {f.code for f in mating.findings if f.severity == "error"} == {"parts-interfere"}


def test_a_square_tenon_stands_in_the_round_corners_of_a_milled_slot():
    """sources.md W6b: for r 1.5875 the corner stands 0.657564 mm deep, 0.540830 mm2 each."""
    r = 1.5875
    milled = shapely.box(-12, -3, 12, 3).buffer(-r).buffer(r, quad_segs=256)
    mating = mates(TENON, Outline.from_shapely(milled), 0)
    assert len(mating.interferences) == 4
    worst = mating.interferences[0]
    assert worst.depth_mm == pytest.approx(0.657564, abs=1e-4)  # chords of the round corner
    assert worst.area_mm2 == pytest.approx(0.540830, abs=1e-3)
    assert math.hypot(*worst.at_mm) == pytest.approx(math.hypot(12, 3))


def test_relief_makes_room_for_the_corners():
    opening = relieve(slot(24, 6, 0.1), Cutter("1/8 in"), side="inside")
    assert mates(TENON, opening, 0.1).fits


def test_a_tight_side_is_found_where_it_is():
    mating = mates(TENON, slot(24, 6, 0.2).move(0, 0.08), 0.2)
    assert [round(c.depth_mm, 6) for c in mating.tight] == [-0.02]
    assert mating.tight[0].at_mm[1] == pytest.approx(-3, abs=0.1)
    assert mating.findings[0].code == "fit-tight"


def test_the_middle_may_be_found_for_the_part():
    far = TENON.move(100, 40)
    assert not mates(far, slot(24, 6, 0.2), 0.2).fits
    assert mates(far, slot(24, 6, 0.2), 0.2, placed="centre").fits


def test_a_part_across_a_wall_interferes_although_no_corner_is_inside():
    bridge = Outline.from_shapely(shapely.box(-20, -1, 20, 1))
    wall = Outline.from_shapely(shapely.box(-1, -1, 1, 1))
    assert mates(bridge, wall, 0, side="outside").interferences[0].depth_mm == pytest.approx(1)


@pytest.mark.parametrize("side", ["inside", "outside"])
def test_void_and_part_with_a_void_say_the_same(side):
    hole = slot(24, 6, 0.1)
    plate = shapely.box(-30, -30, 30, 30).difference(hole.region)
    opening = hole if side == "inside" else Outline.from_shapely(plate)
    assert repr(mates(TENON, opening, 0.1, side=side)).startswith("Mating(fits, least gap 0.050")


@pytest.mark.parametrize("wrong", [{"clearance": -1}, {"side": "on"}, {"placed": "left"}])
def test_an_impossible_question_is_refused(wrong):
    how = {"clearance": 0.1} | wrong
    with pytest.raises(SettingError):
        mates(TENON, slot(24, 6, 0.1), how.pop("clearance"), **how)
