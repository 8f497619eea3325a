"""Narrow spots of shapes whose answers are known in closed form (sources.md 4, W5b, W6, W16)."""

import math

import numpy as np
import pytest
import shapely
from shapely.affinity import rotate, translate

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.reach.spots import narrow_spots
from tests import specimens

# Edges are thinned by at most 0.0005 mm, two walls each: widths are promised to 0.002 mm.
WIDTH = 0.002


def spots(region, cutter_mm, **options):
    return narrow_spots(Outline.from_shapely(region), cutter_mm, **options).spots


def slot(width: float, *, taper: float = 0.0) -> shapely.Polygon:
    """A plate with a square-ended slot 30 deep, wider by `taper` at its mouth."""
    half, mouth = width / 2, width / 2 + taper / 2
    cut = shapely.Polygon([(20 - half, 10), (20 + half, 10), (20 + mouth, 40), (20 - mouth, 40)])
    return shapely.box(0, 0, 40, 40) - cut


GAPS = {
    "waist of two discs R 5 d 6 (W16)": (specimens.hourglass_hole(), "outside", 8.0),
    "the same as an opening": (specimens.hourglass(), "inside", 8.0),
    "two discs 9 and 8 at 20 (W16)": (specimens.two_discs(), "outside", 3.0),
    "neck of a keyhole": (specimens.keyhole(2.0), "outside", 2.0),
    "slot with level walls": (slot(2.5), "outside", 2.5),
    "slot narrower at its mouth": (slot(3.0, taper=-0.5), "outside", 2.5),
    "plates side by side": (
        shapely.MultiPolygon([shapely.box(0, 0, 9, 9), shapely.box(10.3, 4, 20, 9)]),
        "outside",
        1.3,
    ),
    "corner to corner": (
        shapely.MultiPolygon([shapely.box(0, 0, 9, 9), shapely.box(9.6, 9.8, 20, 20)]),
        "outside",
        1.0,
    ),
}


@pytest.mark.parametrize(("region", "side", "width"), GAPS.values(), ids=GAPS)
@pytest.mark.parametrize("turn", [0, 31.7])
def test_gaps_are_as_wide_as_drawn(region, side, width, turn):
    found = spots(rotate(region, turn), width + 0.4, side=side)
    gaps = [s.gap_mm for s in found if s.kind == "gap"]
    assert gaps == [pytest.approx(width, abs=WIDTH)]


def test_a_comb_shows_each_gap_below_the_cutter_and_no_other():
    found = spots(specimens.comb(), 3.175)
    gaps = [s.gap_mm for s in found if s.kind == "gap"]
    assert gaps == pytest.approx([0.5, 1, 1.5, 2, 2.5, 3], abs=WIDTH)


@pytest.mark.parametrize("taper", [0.1, 0.5, 2.0, 4.0])
def test_a_tapered_slot_is_as_wide_as_the_last_disc_that_touches_its_floor(taper):
    lean = math.atan(taper / 2 / 30)
    touching_three = 2 * 1.5 * math.tan((math.pi / 2 + lean) / 2)
    found = spots(slot(3.0, taper=taper), touching_three + 0.05)
    assert [s.kind for s in found] == ["gap"]
    assert found[0].gap_mm == pytest.approx(touching_three, abs=WIDTH)


def test_a_gap_is_placed_between_its_walls():
    (gap,) = spots(specimens.two_discs(), 3.5)
    assert gap.at_mm == pytest.approx((10.5, 0.0), abs=0.01)  # 9 + 3 / 2 on the line of centres


# sources.md W6: depth and area lost in a corner, per r and r^2. Areas carry the chords of arcs.
CORNERS = [
    (36, 2.236068, 1.821046),
    (60, 1.000000, 0.684853),
    (90, 0.414214, 0.214602),
    (108, 0.236068, 0.098224),
    (120, 0.154701, 0.053751),
    (135, 0.082392, 0.021514),
]


@pytest.mark.parametrize(("angle", "depth", "area"), CORNERS)
@pytest.mark.parametrize("cutter", [1.0, 3.175])
def test_corners_lose_what_the_geometry_says(angle, depth, area, cutter):
    (corner,) = spots(specimens.wedge_notch(angle), cutter)
    r = cutter / 2
    assert corner.kind == "corner"
    assert corner.gap_mm is None
    assert corner.lost_depth_mm == pytest.approx(depth * r, rel=0.001)
    assert corner.lost_area_mm2 == pytest.approx(area * r * r, rel=0.001)
    assert corner.at_mm == pytest.approx((20, 10), abs=0.001)


def test_a_disc_stops_short_in_an_acute_wedge_and_the_wedge_stays_a_corner():
    (corner,) = spots(specimens.wedge_notch(30), 2.0)
    assert corner.kind == "corner"
    assert corner.lost_depth_mm == pytest.approx(2.863703, abs=0.001)  # sources.md W16


@pytest.mark.parametrize("angle", [4, 8, 12])
def test_wedges_are_corners_however_acute(angle):
    assert [s.kind for s in spots(specimens.wedge_notch(angle), 1.0)] == ["corner"]


def test_the_cusp_between_two_discs_that_touch_is_a_corner():
    pair = specimens.disc(0, 0, 10).union(specimens.disc(19.999, 0, 10))
    assert [s.kind for s in spots(pair, 2.0)] == ["corner", "corner"]


def test_a_pentagram_has_five_notches_of_108_degrees():
    found = spots(specimens.pentagram(25), 2.0)
    assert [s.kind for s in found] == ["corner"] * 5
    assert [s.lost_depth_mm for s in found] == pytest.approx([0.236068] * 5, rel=0.001)


def test_a_triangle_opened_by_half_its_inradius_loses_what_w5b_says():
    reach = narrow_spots(Outline.from_shapely(specimens.triangle_345()), 1.0, side="inside")
    assert reach.unreached_area_mm2 == pytest.approx(6 - 5.285398, rel=0.001)
    assert [s.kind for s in reach.spots] == ["corner"] * 3


@pytest.mark.parametrize(
    ("hole", "width"),
    [
        (translate(specimens.triangle_345(), 5, 5), 2.0),  # inradius 1, sources.md 4
        (shapely.box(5, 5, 8, 15), 3.0),
        (specimens.disc(10, 10, 1.25), 2.5),
        (translate(specimens.pentagram(5), 10, 10), 10 * 0.381966),
    ],
    ids=["triangle 3-4-5", "rectangle", "round", "star"],
)
def test_holes_are_as_wide_as_the_widest_disc_in_them(hole, width):
    plate = shapely.box(0, 0, 20, 20) - hole
    (found,) = spots(plate, width + 0.5)
    assert found.kind == "hole"
    assert found.gap_mm == pytest.approx(width, abs=WIDTH)
    assert found.lost_area_mm2 == pytest.approx(hole.area, rel=0.001)


def test_islands_in_a_hole_leave_gaps_round_them():
    found = spots(specimens.nested(), 5.5)
    assert [(s.kind, round(s.gap_mm, 2)) for s in found] == [("hole", 5.0)]


def test_a_sharp_waist_is_a_gap_although_nothing_is_lost():
    """The cutter cannot pass, yet reaches all of the waist from both sides."""
    found = [s for s in spots(specimens.hourglass(), 8.2, side="inside") if s.kind == "gap"]
    assert [(round(s.gap_mm, 2), s.lost_area_mm2) for s in found] == [(8.0, 0.0)]
    assert found[0].lost.is_empty


def test_a_slot_loses_its_whole_area_below_the_resting_cutter():
    (gap,) = spots(slot(2.0), 3.0)
    rest = math.sqrt(1.5**2 - 1)  # height of the cutter's centre above the mouth
    dips = 1.5**2 * math.asin(1 / 1.5) - rest
    assert gap.lost_area_mm2 == pytest.approx(2 * 30 - dips, rel=0.001)
    assert gap.lost_depth_mm == pytest.approx(math.hypot(1, 30 + rest) - 1.5, rel=0.001)


def test_a_neck_is_deepest_half_way_through():
    (gap,) = [s for s in spots(specimens.keyhole(2.0), 3.175) if s.kind == "gap"]
    rest = math.sqrt(1.5875**2 - 1)
    half = (15 - math.sqrt(35)) / 2
    assert gap.lost_depth_mm == pytest.approx(math.hypot(1, half + rest) - 1.5875, abs=0.001)


@pytest.mark.parametrize(
    ("region", "side", "largest"),
    [
        (specimens.square(30), "outside", None),
        (specimens.ellipse(), "outside", None),
        (specimens.pentagram(25), "outside", None),
        (specimens.ring(), "outside", 16.0),
        (specimens.comb(), "outside", 0.5),
        (specimens.square(30), "inside", 30.0),
        (specimens.rounded_rectangle(), "inside", 20.0),
        (shapely.box(0, 0, 40, 40) - specimens.disc(20, 40, 5), "outside", 10.0),
        (shapely.box(0, 0, 40, 40) - specimens.disc(20, 42, 5), "outside", None),
    ],
    ids=[
        "square",
        "ellipse",
        "star",
        "washer",
        "comb",
        "square opening",
        "rounded opening",
        "half-disc bay",
        "shallow bay",
    ],
)
def test_the_largest_cutter_is_a_property_of_the_outline(region, side, largest):
    expected = None if largest is None else pytest.approx(largest, abs=WIDTH)
    for cutter in (0.8, 6.0):
        reach = narrow_spots(Outline.from_shapely(region), cutter, side=side)
        assert reach.largest_cutter_mm == expected


def test_corners_that_lose_less_than_the_tolerance_are_left_out():
    notch = specimens.wedge_notch(135)  # loses 0.0824 r
    assert spots(notch, 1.0, tolerance_mm=0.05) == ()
    assert len(spots(notch, 1.0, tolerance_mm=0.03)) == 1


def test_an_allowance_narrows_gaps_on_both_walls():
    (gap,) = spots(slot(3.0), 3.0, allowance_mm=0.25)
    assert gap.gap_mm == pytest.approx(2.5, abs=WIDTH)


def test_on_the_line_nothing_is_out_of_reach():
    reach = narrow_spots(Outline.from_shapely(specimens.comb()), 6.0, side="on")
    assert (reach.spots, reach.unreached_area_mm2, reach.largest_cutter_mm) == ((), 0.0, None)


@pytest.mark.parametrize("cutter", [0.0, -1.0, math.nan, math.inf])
def test_a_cutter_without_width_is_refused(cutter):
    with pytest.raises(SettingError, match="no cutter"):
        spots(specimens.square(30), cutter)


@pytest.mark.parametrize("options", [{"side": "under"}, {"allowance_mm": math.nan}])
def test_settings_without_sense_are_refused(options):
    with pytest.raises(SettingError):
        spots(specimens.square(30), 3.0, **options)


def test_a_spot_shows_its_lost_area_where_it_says_it_is():
    for spot in spots(specimens.comb(), 3.175):
        assert spot.lost.area == pytest.approx(spot.lost_area_mm2)
        assert spot.lost.distance(shapely.Point(spot.at_mm)) < 3.175 / 2
        assert np.all(np.isfinite(spot.at_mm))


@pytest.mark.parametrize("gap", [0.1, 0.01, 0.003])
def test_long_fine_seams_are_gaps_right_to_the_micrometres(gap):
    pair = shapely.MultiPolygon([shapely.box(0, 0, 300, 20), shapely.box(0, 20 + gap, 300, 40)])
    (seam,) = [s for s in spots(pair, 1.0) if s.kind == "gap"]
    assert seam.gap_mm == pytest.approx(gap, abs=0.0001)
