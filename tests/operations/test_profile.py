"""The one-sided promise and the laws of order, direction and depth, over random outlines."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.outline import Outline
from outline2path.errors import OutlinePathError, RefusedError, SettingError
from outline2path.operations.cut import Cuts
from outline2path.operations.profile import ProfileSettings, profile
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import Budget
from tests import specimens
from tests.operations.laws import (
    BOTTOM,
    TOP,
    along,
    closed,
    cuts_of,
    plane_lines,
    planned,
    segments_below,
    spans_of,
    stage_bound,
)
from tests.strategies import cutter_diameters, numbers, regions, sheets

T = 0.02
MARGIN = Budget(T).margin_mm
OUTLINES = st.one_of(regions(), sheets())
WAYS = st.fixed_dictionaries(
    {
        "entry": st.sampled_from(["plunge", "ramp", "helix"]),
        "lead": st.sampled_from(["arc", "line", "none"]),
        "direction": st.sampled_from(["climb", "conventional"]),
        "tabs": st.integers(0, 6),
        "finish_allowance_mm": st.sampled_from([0.0, 0.2]),
    }
)


def planned_or_none(region: shapely.Geometry, cutter: float, **options: object) -> Cuts | None:
    try:
        return planned(region, cutter, **options)
    except RefusedError:
        return None


@settings(max_examples=40, deadline=None)
@given(OUTLINES, cutter_diameters(), WAYS, st.sampled_from([0.0, 0.3]))
def test_no_move_comes_nearer_the_part_than_the_cutters_radius(region, cutter, ways, allowance):
    plan = planned(region, cutter, side="outside", allowance_mm=allowance, **ways)
    nearest = plane_lines(spans_of(plan)).distance(region)
    assert nearest >= cutter / 2 + allowance + MARGIN - stage_bound()


@settings(max_examples=40, deadline=None)
@given(OUTLINES, cutter_diameters(), WAYS, st.sampled_from([0.0, 0.3]))
def test_no_move_inside_comes_nearer_the_stock_that_stays(region, cutter, ways, allowance):
    plan = planned_or_none(region, cutter, side="inside", allowance_mm=allowance, **ways)
    if plan is None:
        return
    path = plane_lines(spans_of(plan))
    assert region.covers(path)
    assert path.distance(region.boundary) >= cutter / 2 + allowance + MARGIN - stage_bound()


@settings(max_examples=15, deadline=None)
@given(OUTLINES, cutter_diameters())
def test_nothing_is_left_above_the_tolerance_where_the_cutter_reaches(region, cutter):
    r = cutter / 2
    limit = closed(region, r + T).buffer(T, quad_segs=32)
    path = plane_lines(spans_of(planned(region, cutter), "cut"))
    assert np.max(shapely.distance(along(limit), path)) <= r


@settings(max_examples=15, deadline=None)
@given(regions(), cutter_diameters())
def test_inside_nothing_is_left_above_the_tolerance_either(region, cutter):
    plan = planned_or_none(region, cutter, side="inside")
    if plan is None:
        return
    r = cutter / 2
    x0, y0, x1, y1 = region.bounds
    sheet = shapely.box(x0 - 20, y0 - 20, x1 + 20, y1 + 20)
    limit = closed(sheet.difference(region), r + T).buffer(T, quad_segs=32)
    wall = along(sheet.difference(limit))
    path = plane_lines(spans_of(plan, "cut"))
    assert not len(wall) or np.max(shapely.distance(wall, path)) <= r


@pytest.mark.parametrize("name", specimens.ALL)
@pytest.mark.parametrize("side", ["outside", "inside"])
def test_every_specimen_keeps_the_promise_on_the_near_side(name, side):
    region = specimens.ALL[name]
    plan = planned(region, 2.0, side=side, tabs=3, finish_allowance_mm=0.15)
    near = plane_lines(spans_of(plan)).distance(region.boundary)
    assert near >= 1.0 + MARGIN - stage_bound()


@pytest.mark.parametrize(
    ("region", "length"),
    [
        (specimens.square(10), 40 + 2 * math.pi * (2 + MARGIN)),  # Steiner
        (specimens.triangle_345(), 12 + 2 * math.pi * (2 + MARGIN)),
        (specimens.rounded_rectangle(), 111.415927 + 2 * math.pi * (2 + MARGIN)),
        (specimens.ellipse(), 158.654396 + 2 * math.pi * (2 + MARGIN)),
    ],
)
def test_once_round_a_convex_part_is_as_long_as_steiner_says(region, length):
    plan = planned(region, 4.0, lead="none", depth_per_pass_mm=10)
    (cut,) = spans_of(plan, "cut")
    over = 0.5  # the start is passed by half a millimetre
    walked = shapely.LineString(cut[:, :2]).length - over
    assert walked == pytest.approx(length, abs=20 * stage_bound())  # 2 pi per unit of distance


def test_a_cut_on_the_line_follows_the_line():
    plan = planned(specimens.square(30), side="on", tabs=2)
    assert plane_lines(spans_of(plan)).hausdorff_distance(specimens.square(30).boundary) < 1e-9
    assert [f.code for f in plan.findings] == ["lead-left-out"]


@settings(max_examples=40, deadline=None)
@given(OUTLINES, cutter_diameters(), WAYS, st.sampled_from(["outside", "inside", "on"]))
def test_spans_are_joined_end_to_end_and_plunges_are_vertical(region, cutter, ways, side):
    plan = planned_or_none(region, cutter, side=side, **ways)
    for cut in cuts_of(plan) if plan else ():
        ends = [span.points[-1] for span in cut.spans[:-1]]
        starts = [span.points[0] for span in cut.spans[1:]]
        assert np.allclose(ends, starts, rtol=0, atol=1e-9)  # float noise
        for span in cut.spans:
            vertical = np.ptp(span.points[:, :2], axis=0).max() < 1e-9
            assert (span.role == "plunge") == vertical
            assert np.all(np.any(np.abs(np.diff(span.points, axis=0)) > 0, axis=1))


@settings(max_examples=40, deadline=None)
@given(OUTLINES, cutter_diameters(), WAYS)
def test_the_cutter_only_climbs_over_tabs(region, cutter, ways):
    plan = planned(region, cutter, **ways)
    for cut in cuts_of(plan):
        for span in cut.spans:
            climb = np.max(np.diff(span.points[:, 2]))
            assert climb <= 1e-9 or span.role == "tab"


@settings(max_examples=40, deadline=None)
@given(OUTLINES, cutter_diameters(), WAYS)
def test_each_cut_begins_no_lower_than_the_one_before_it_ended(region, cutter, ways):
    plan = planned(region, cutter, **ways)
    for contour in plan.contours:
        floor = TOP
        for cut in contour.cuts:
            floor = TOP if cut.z_mm > floor or cut.z_mm == contour.cuts[0].z_mm else floor
            assert cut.spans[0].points[0, 2] >= floor - 1e-9
            assert min(float(s.points[:, 2].min()) for s in cut.spans) == cut.z_mm
            floor = cut.z_mm
        assert floor == pytest.approx(BOTTOM - 0.3)


@settings(max_examples=40, deadline=None)
@given(OUTLINES, cutter_diameters(), st.sampled_from(["outside", "inside", "on"]))
def test_what_is_inside_a_ring_is_cut_before_it(region, cutter, side):
    plan = planned_or_none(region, cutter, side=side, finish_allowance_mm=0.2)
    rings = {c.number: shapely.Polygon(_ring(c)) for c in plan.contours} if plan else {}
    first = _all_before({c.number: set(c.after) for c in plan.contours} if plan else {})
    for outer, area in rings.items():
        assert outer not in first[outer]
        inner = {n for n, ring in rings.items() if n != outer and area.contains(ring)}
        assert inner <= first[outer]
        assert all(n < outer for n in first[outer])


def _ring(contour) -> np.ndarray:
    """The last cut's ring, once round."""
    return np.vstack([s.points[:, :2] for s in contour.cuts[-1].spans if s.role == "cut"])


def _all_before(after: dict[int, set[int]]) -> dict[int, set[int]]:
    every: dict[int, set[int]] = {}
    for n in sorted(after):
        every[n] = after[n].union(*(every.get(k, set()) for k in after[n]))
    return every


def test_nested_rings_go_from_the_inside_out():
    sizes = [abs(shapely.Polygon(_ring(c)).area) for c in planned(specimens.nested()).contours]
    assert sizes == sorted(sizes)


@pytest.mark.parametrize(("direction", "clockwise"), [("climb", True), ("conventional", False)])
@pytest.mark.parametrize("finish", [0.0, 0.2])
def test_outer_edges_and_holes_turn_opposite_ways(direction, clockwise, finish):
    plan = planned(specimens.ring(), direction=direction, finish_allowance_mm=finish)
    hole, outer = plan.contours
    for contour, cw in ((hole, not clockwise), (outer, clockwise)):
        for cut in contour.cuts:
            ring = np.vstack([s.points[:, :2] for s in cut.spans if s.role == "cut"])
            assert shapely.LinearRing(ring).is_ccw != cw


def test_roughing_at_all_depths_comes_before_finishing_at_all_depths():
    plan = planned(specimens.square(30), finish_allowance_mm=0.25, depth_per_pass_mm=3.2)
    (contour,) = plan.contours
    far = [
        plane_lines([s.points for s in cut.spans if s.role == "cut"]).distance(
            specimens.square(30)
        )
        for cut in contour.cuts
    ]
    final = 1.5 + MARGIN
    assert far == pytest.approx([final + 0.25] * 2 + [final] * 2, abs=stage_bound())
    assert [cut.z_mm for cut in contour.cuts] == pytest.approx([-3.15, -6.3] * 2)


def test_a_hole_only_the_finishing_pass_fits_is_cut_all_the_same():
    plate = specimens.square(30).difference(specimens.disc(15, 15, 1.6))
    hole, outer = planned(plate, 3.0, finish_allowance_mm=0.3).contours
    assert (len(hole.cuts), len(outer.cuts)) == (5, 10)


def test_the_start_is_passed_so_that_no_mark_stays():
    (cut,) = spans_of(planned(specimens.square(30), depth_per_pass_mm=10), "cut")
    first_part = shapely.LineString(cut[:2, :2])
    assert first_part.distance(shapely.Point(cut[-1, :2])) < 1e-9
    assert np.hypot(*(cut[-1, :2] - cut[0, :2])) == pytest.approx(0.5)


def test_a_hole_too_small_is_told_with_the_cutter_that_fits():
    plate = specimens.square(30).difference(specimens.disc(10, 12, 1.0))
    (finding,) = planned(plate, 3.0).findings
    assert (finding.code, finding.value) == ("hole-uncut", pytest.approx(2.0, abs=0.01))
    assert finding.at_mm == pytest.approx((10, 12), abs=0.01)


def test_two_parts_too_near_to_part_are_told():
    (finding,) = planned(specimens.two_discs(), 3.175).findings  # gap 3.000: sources W16
    assert (finding.code, finding.value) == ("parts-joined", pytest.approx(3.0, abs=1e-3))
    assert finding.at_mm == pytest.approx((10.5, 0), abs=0.01)


def test_a_cutter_too_wide_for_every_opening_is_refused_with_the_widest_that_fits():
    with pytest.raises(RefusedError, match=r"below 8\.00 mm") as refusal:
        planned(shapely.affinity.scale(specimens.triangle_345(), 4, 4), 9.0, side="inside")
    assert refusal.value.limit == pytest.approx(8.0, abs=0.01)  # incircle of 12-16-20


@pytest.mark.parametrize(
    "options",
    [
        {"tabs": 3, "tab_height_mm": 6.0},
        {"tabs": 3, "tab_height_mm": 7.0},
        {"finish_allowance_mm": 1.6},
        {"allowance_mm": -1.5},
    ],
)
def test_settings_that_contradict_stock_or_cutter_are_refused(options):
    with pytest.raises(SettingError, match=r"\d"):
        planned(specimens.square(30), 3.0, **options)


@settings(max_examples=25, deadline=None)
@given(regions(), numbers(0.2, 60), st.sampled_from(["outside", "inside", "on"]))
def test_any_cutter_gives_a_plan_or_one_clear_error(region, cutter, side):
    try:
        answer: object = planned(region, cutter, side=side, tabs=4, entry="helix")
    except OutlinePathError as error:
        answer = error
    assert answer.contours if isinstance(answer, Cuts) else answer.remedy


def test_each_contour_ends_below_the_stock():
    plan = planned(specimens.nested(), through_mm=0.5)
    low = segments_below(plan, BOTTOM - 0.499)
    assert shapely.get_num_geometries(low) > 3


@settings(max_examples=15, deadline=None)
@given(OUTLINES, cutter_diameters())
@pytest.mark.parametrize("tolerance", [0.002, 0.2, 1.0])
def test_the_promise_holds_at_every_tolerance(tolerance, region, cutter):
    plan = planned(region, cutter, tolerance_mm=tolerance, entry="helix")
    path = plane_lines(spans_of(plan))
    assert path.distance(region) >= cutter / 2
    ring = shapely.points(np.vstack([p[:, :2] for p in spans_of(plan, "cut")]))
    assert np.max(shapely.distance(ring, region)) <= cutter / 2 + tolerance


@pytest.mark.parametrize(
    ("region", "area"),
    [
        (specimens.square(10), 8 * 10 * 2 + (math.pi - 4) * 4),  # W5: 156.566371
        (specimens.rounded_rectangle(), 2 * 2 * 111.415927),  # smooth: 2 r P
        (specimens.ellipse(), 2 * 2 * 158.654396),
    ],
)
def test_a_cut_on_the_line_sweeps_the_textbook_area(region, area):
    path = plane_lines(spans_of(planned(region, 4.0, side="on"), "cut"))
    assert path.buffer(2.0, quad_segs=64).area == pytest.approx(area, rel=5e-4)  # GEOS's hollows


@pytest.mark.parametrize(("cutter", "entered"), [(0.9, 7), (1.9, 5), (2.9, 3), (3.9, 1)])
def test_only_slots_wider_than_the_cutter_are_entered(cutter, entered):
    """A comb of gaps 0.5, 1.0, ... 4.0 mm, 12 mm deep: the ring reaches to the bottom or not."""
    path = plane_lines(spans_of(planned(specimens.comb(), cutter), "cut"))
    bottoms = path.intersection(shapely.box(-5, 8, 70, 8 + cutter / 2 + 0.1))
    inner = [p for p in shapely.get_parts(shapely.line_merge(bottoms)) if p.bounds[0] > 1]
    inner = [p for p in inner if p.bounds[2] < 53]
    assert len(inner) == entered


@pytest.mark.parametrize(("cutter", "parts"), [(2.0, 2), (2.97, 2), (3.0, 1), (4.0, 1)])
def test_discs_three_millimetres_apart_are_parted_by_thinner_cutters(cutter, parts):
    assert len(planned(specimens.two_discs(), cutter).contours) == parts  # gap 3.000: W16


def test_depths_follow_work_zero_on_the_stocks_bottom():
    plan = profile(
        Outline.from_shapely(specimens.square(30)), Cutter(3.0), top_mm=6.0, bottom_mm=0.0
    )
    (contour,) = plan.contours
    assert contour.cuts[0].spans[0].points[0, 2] == 6.0
    assert contour.cuts[-1].z_mm == pytest.approx(-0.3)


@settings(max_examples=20, deadline=None)
@given(regions(), cutter_diameters(), WAYS)
def test_the_same_request_gives_the_same_plan(region, cutter, ways):
    one, two = planned(region, cutter, **ways), planned(region, cutter, **ways)
    assert one.findings == two.findings
    assert all(np.array_equal(a, b) for a, b in zip(spans_of(one), spans_of(two), strict=True))


@settings(max_examples=25, deadline=None)
@given(OUTLINES, cutter_diameters(), numbers(-0.3, 1.0))
def test_an_allowance_moves_every_ring_by_itself(region, cutter, allowance):
    plan = planned(region, cutter, allowance_mm=allowance, lead="none")
    places = shapely.points(np.vstack([p[:, :2] for p in spans_of(plan, "cut")]))
    far = shapely.distance(places, region) - cutter / 2 - MARGIN
    assert far == pytest.approx(np.full(len(far), allowance), abs=stage_bound())


def disc_with_tooth(turn: float) -> Outline:
    """A disc, and a tooth on it whose notched foot stays 1.5 micrometres inside its edge.

    Chords of the disc cut off more than that, so coarse ones shut in a speck in the notch.
    """
    c, s = math.cos(turn), math.sin(turn)
    foot = [(14, -2), (14, 2), (9.99, 0.1), (9.9985, 0), (9.99, -0.1)]
    points = [(x * c - y * s, x * s + y * c) for x, y in foot]
    tooth = "L".join(f"{x!r} {y!r}" for x, y in points)
    disc = "M10 0A10 10 0 0 1 -10 0A10 10 0 0 1 10 0Z"
    return Outline.from_path(f"{disc}M{tooth}Z")


@pytest.mark.parametrize("degrees", [5.5, 7.5, 9.75, 11.75])
def test_a_speck_that_chords_alone_shut_in_is_not_followed(degrees):
    outline = disc_with_tooth(math.radians(degrees))
    flattened = [outline.region_within(t) for t in (Budget().flatten_mm, 0.0002)]
    assert [len(r.geoms[0].interiors) for r in flattened] == [1, 0]
    plan = profile(outline, Cutter(2), settings=settings_on(), top_mm=0, bottom_mm=-3)
    assert len(plan.contours) == 1


def test_a_small_hole_that_is_drawn_is_followed():
    ring = specimens.square(30)
    dot = shapely.box(14.99, 14.99, 15.01, 15.01)
    outline = Outline.from_shapely(shapely.difference(ring, dot))
    plan = profile(outline, Cutter(2), settings=settings_on(), top_mm=0, bottom_mm=-3)
    assert len(plan.contours) == 2


def settings_on() -> ProfileSettings:
    return ProfileSettings(side="on", lead="none", tabs=0)
