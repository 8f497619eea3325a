"""Drilled and bored holes: pecks by the worked numbers, walls by exact distances, and replay."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from outline2path.drawing.outline import Outline
from outline2path.errors import RefusedError, SettingError
from outline2path.operations.bore import bore_cuts, bore_radii
from outline2path.operations.drill import DrillSettings, drill
from outline2path.operations.holes import Hole, circles, openings, round_holes
from outline2path.path.order import order_contours
from outline2path.proof.feature import Feature
from outline2path.shop.cutter import Cutter
from tests.operations.replaying import faults, judged
from tests.strategies import plates

T = 0.02
DRILL = Cutter(3, shape="drill")
GRID = [(x, y) for x in (5.0, 20.0, 35.0) for y in (5.0, 25.0)]


def pecked(deep, *, peck, cutter=None, through=0.0):
    settings = DrillSettings(peck_mm=peck, through_mm=through)
    outline = circles([(5, 5)], diameter=3)
    return drill(outline, cutter or Cutter(3), settings=settings, top_mm=0.0, bottom_mm=-deep)


# W15: 6 and 6.1 mm deep by 1.5 make 4 and 5 pecks
@pytest.mark.parametrize(("deep", "count"), [(6.0, 4), (6.1, 5)])
def test_the_worked_depths_make_the_worked_number_of_pecks(deep, count):
    (hole,) = pecked(deep, peck=1.5).contours
    assert len(hole.cuts) == count
    assert hole.cuts[-1].z_mm == -deep


@pytest.mark.parametrize("through", [0.0, 0.3])
def test_the_point_goes_below_the_floor_by_its_length(through):
    # 118 degrees: 0.300430 d (sources.md 3.1)
    (hole,) = pecked(6, peck=2, cutter=DRILL, through=through).contours
    deepest = hole.cuts[-1].z_mm
    assert deepest == pytest.approx(-6 - through - 0.30043 * 3, abs=1e-5)  # five digits given


@pytest.mark.parametrize(("through", "below"), [(0.0, 0.90129), (0.5, 1.40129)])
def test_how_far_the_tip_runs_below_the_floor_is_told(through, below):
    cuts = pecked(6, peck=2, cutter=DRILL, through=through)
    (found,) = [f for f in cuts.findings if f.code == "drill-below"]
    assert found.value == pytest.approx(below, abs=1e-5)  # 0.300430 d, five digits


def test_every_peck_goes_straight_down_and_comes_up_out_of_the_hole():
    (hole,) = pecked(6, peck=2).contours
    for cut in hole.cuts:
        down, up = cut.spans
        assert (down.role, up.role) == ("plunge", "lift")
        assert np.ptp(np.vstack((down.points, up.points))[:, :2], axis=0).tolist() == [0, 0]
        assert up.points[-1, 2] == 1.0


def test_places_are_drilled_beside_circles_and_none_twice():
    settings = DrillSettings(points_mm=((5.0, 5.0), (9.0, 5.0)))
    cuts = drill(circles([(5, 5)], diameter=3), DRILL, settings=settings, top_mm=0, bottom_mm=-3)
    middles = [c.cuts[0].spans[0].points[0, :2].round(6).tolist() for c in cuts.contours]
    assert middles == [[5, 5], [9, 5]]
    assert [f.code for f in cuts.findings] == ["hole-twice", "drill-below"]


def test_places_alone_need_no_drawing():
    settings = DrillSettings(points_mm=((5.0, 5.0),))
    assert len(drill(None, DRILL, settings=settings, top_mm=0, bottom_mm=-3).contours) == 1


def test_holes_are_visited_by_a_short_way():
    cuts = drill(circles(GRID, diameter=3), DRILL, top_mm=0, bottom_mm=-3)
    order = [c.cuts[0].spans[0].points[0, :2] for c in order_contours(cuts.contours)]
    way = np.vstack(((0, 0), order, (0, 0)))
    # once round the grid of 30 x 20: 100 mm, and from the origin to its corner and back
    assert np.hypot(*np.diff(way, axis=0).T).sum() < 100 + 2 * math.hypot(5, 5) + 1


@pytest.mark.parametrize(
    ("shape", "diameter", "code"),
    [
        (shapely.Point(9, 7).buffer(1.2, quad_segs=64), 3, "hole-narrow"),
        (shapely.Point(9, 7).buffer(2.5, quad_segs=64), 3, "hole-wide"),
        (shapely.box(7.5, 5.5, 10.5, 8.5), 3, "hole-not-round"),
        (shapely.Point(9, 7).buffer(1.5, quad_segs=2), 3, "hole-not-round"),
        (
            shapely.Point(9, 7).buffer(4, quad_segs=64) - shapely.Point(9, 7).buffer(1.5),
            3,
            "hole-not-round",
        ),
    ],
)
def test_what_cannot_be_drilled_is_an_error_with_its_place(shape, diameter, code):
    good = shapely.Point(30, 7).buffer(1.5, quad_segs=64)
    outline = Outline.from_shapely(shapely.MultiPolygon([shape, good]))
    cuts = drill(outline, Cutter(diameter, shape="drill"), top_mm=0, bottom_mm=-3)
    assert len(cuts.contours) == 1
    assert [(f.code, f.severity) for f in cuts.findings if f.severity != "info"] == [
        (code, "error")
    ]
    assert shapely.box(5, 3, 13, 11).contains(shapely.Point(cuts.findings[0].at_mm))


def test_a_job_in_which_no_hole_can_be_made_is_refused():
    with pytest.raises(RefusedError, match="no hole can be made"):
        drill(circles([(5, 5)], diameter=2), DRILL, top_mm=0, bottom_mm=-3)


@pytest.mark.parametrize(
    "cutter", [Cutter(3, shape="ball"), Cutter(6, shape="v", angle=60), Cutter(25, shape="facing")]
)
def test_cutters_that_make_no_straight_hole_are_refused(cutter):
    with pytest.raises(SettingError, match="no straight hole"):
        drill(circles([(5, 5)], diameter=30), cutter, top_mm=0, bottom_mm=-3)


@pytest.mark.parametrize(
    "wrong",
    [
        {"peck_mm": 0.0},
        {"peck_mm": math.nan},
        {"through_mm": -1.0},
        {"stepover": 1.5},
        {"direction": "up"},
        {"points_mm": ((1.0, math.inf),)},
        {"points_mm": ((1.0, 2.0, 3.0),)},
    ],
)
def test_impossible_settings_are_refused(wrong):
    with pytest.raises(SettingError):
        DrillSettings(**wrong)


def test_the_holes_of_a_plate_are_drilled_where_they_are():
    plate = Outline.from_path(
        "M0 0H60V40H0Z M13 10A3 3 0 1 0 7 10A3 3 0 1 0 13 10Z M50 20A10 10 0 1 0 30 20A10 10 0 1 0"
        " 50 20Z",
        y_up=True,
        rule="evenodd",
    )
    cuts = drill(
        openings(plate, widest="6.5 mm"), Cutter(6, shape="drill"), top_mm=0, bottom_mm=-3
    )
    middles = [c.cuts[0].spans[0].points[0, :2].round(4).tolist() for c in cuts.contours]
    assert middles == [[10, 10]]


def test_a_plate_without_holes_has_none():
    with pytest.raises(SettingError, match="has no hole up to 3 mm wide"):
        openings(Outline.from_shapely(shapely.box(0, 0, 9, 9)), widest=3)


@given(plates())
def test_no_plate_is_taken_for_a_hole(plate):
    holes, findings = round_holes(shapely.MultiPolygon([plate]), within_mm=T / 2)
    assert not holes
    assert len(findings) == 1


@given(
    x=st.floats(-200, 200), y=st.floats(-200, 200), r=st.floats(0.2, 20), seed=st.integers(0, 99)
)
def test_a_circle_of_uneven_chords_is_found_where_it_is(x, y, r, seed):
    t = np.sort(np.random.default_rng(seed).uniform(0, 2 * math.pi, 900))
    ring = np.column_stack((x + r * np.cos(t), y + r * np.sin(t)))
    (hole,), _ = round_holes(shapely.MultiPolygon([shapely.Polygon(ring)]), within_mm=T)
    # least squares on points of a circle is exact but for float noise
    assert hole.at_mm == pytest.approx((x, y), abs=1e-7)
    assert hole.radius_mm == pytest.approx(r, abs=1e-7)


@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize(("width", "diameter"), [(3.1, 3), (5, 3), (8, 3.175), (30, 6)])
def test_a_bored_hole_is_as_wide_as_drawn_and_never_wider(width, diameter, direction):
    settings = DrillSettings(direction=direction, finish_allowance_mm=0.1)
    hole = Hole((7.0, 5.0), width / 2, width / 2)
    cuts = bore_cuts(hole, Cutter(diameter), settings=settings, top_mm=0, floor_mm=-3)
    points = np.vstack([span.points for cut in cuts for span in cut.spans])
    reach = np.hypot(*(points[:, :2] - (7, 5)).T).max() + diameter / 2
    assert width / 2 - T <= reach <= width / 2


@given(wide=st.floats(1.02, 12), diameter=st.floats(0.5, 12), stepover=st.floats(0.05, 1.0))
def test_the_rings_of_a_bore_leave_neither_post_nor_ridge(wide, diameter, stepover):
    settings = DrillSettings(stepover=stepover)
    radius = wide * diameter / 2 + 2 * T
    rough, _ = bore_radii(Hole((0, 0), radius, radius), Cutter(diameter), settings=settings)
    assert rough[0] < diameter / 2
    assert np.all(np.diff(rough) <= stepover * diameter + 1e-9)  # float noise of a linspace


@pytest.mark.parametrize(("direction", "sense"), [("climb", 1), ("conventional", -1)])
def test_climb_goes_counter_clockwise_round_a_hole(direction, sense):
    # sources: climb with a clockwise spindle keeps the wall on the cutter's right
    settings = DrillSettings(direction=direction)
    (cut,) = bore_cuts(Hole((0, 0), 4, 4), Cutter(6), settings=settings, top_mm=0, floor_mm=-3)
    once = next(span for span in cut.spans if span.role == "cut").points[:, :2]
    assert np.sign(shapely.Polygon(once).exterior.is_ccw - 0.5) == sense


@pytest.mark.parametrize("ring_mm", [0.06, 0.5, 5.0])
def test_a_turn_goes_no_deeper_than_a_pass(ring_mm):
    settings = DrillSettings(depth_per_pass_mm=0.8, ramp_angle_deg=20, stepover=1.0)
    hole = Hole((0, 0), 3 + ring_mm, 3 + ring_mm)
    cut = bore_cuts(hole, Cutter(6), settings=settings, top_mm=0, floor_mm=-4)[-1]
    turns = [span.points for span in cut.spans if span.role == "ramp"]
    falls = [turn[0, 2] - turn[-1, 2] for turn in turns]
    assert max(falls) <= 0.8 + 1e-9  # float noise of an interpolation
    assert sum(falls) == pytest.approx(4)
    assert all(np.array_equal(turn[0, :2], turn[-1, :2]) for turn in turns)


@pytest.mark.parametrize(
    ("cutter", "width", "settings"),
    [
        (DRILL, 3.0, DrillSettings()),
        (Cutter(3), 3.0, DrillSettings(peck_mm=1.5)),
        (Cutter(3), 5.0, DrillSettings()),
        (Cutter(3.175), 12.0, DrillSettings(finish_allowance_mm=0.2)),
    ],
)
def test_the_written_program_makes_the_holes_and_nothing_else(cutter, width, settings):
    outline = circles(GRID, diameter=width)
    cuts = drill(outline, cutter, settings=settings, top_mm=0.0, bottom_mm=-6.0)
    feature = Feature(
        kind="hole", region_fine=outline, bottom_mm=-6.0, through_mm=settings.through_mm
    )
    assert faults(judged(cuts, [feature], cutter)) == []
