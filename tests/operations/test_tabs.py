from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from outline2path.operations.rings import rings_of
from outline2path.operations.tabs import place_tabs, tabs_wanted
from outline2path.shop.holding import LARGE_PIECE_MM2
from tests import specimens
from tests.operations.laws import BOTTOM, plane_lines, planned, segments_below, spans_of
from tests.strategies import cutter_diameters, numbers, regions, sheets


def middles(plan, raised_mm: float) -> list[shapely.Point]:
    """The middle of each whole raised stretch of the path."""
    lines = [shapely.LineString(points[:, :2]) for points in spans_of(plan, "tab")]
    return [
        line.interpolate(0.5, normalized=True) for line in lines if line.length > 0.99 * raised_mm
    ]


@pytest.mark.parametrize("length", [3.0, 6.0, 8.0])
@pytest.mark.parametrize("cutter", [1.0, 3.175])
def test_on_straight_edges_the_path_is_raised_for_tab_length_and_cutter(length, cutter):
    """Elementary geometry (sources.md 3.5): a flat cutter sweeps its radius past both ends."""
    plan = planned(specimens.square(60), cutter, tabs=4, tab_length_mm=length)
    for cut in plan.contours[0].cuts[-2:]:
        tabs = [s.points for s in cut.spans if s.role == "tab"]
        long = [float(np.hypot(*np.diff(t[:, :2], axis=0).T).sum()) for t in tabs]
        assert long == pytest.approx([length + cutter] * 4)


@pytest.mark.parametrize("height", [0.5, 1.5, 3.0])
@pytest.mark.parametrize("entry", ["plunge", "ramp", "helix"])
def test_tab_tops_are_measured_from_the_stocks_bottom(height, entry):
    plan = planned(specimens.square(60), tabs=3, tab_height_mm=height, entry=entry)
    tops = [float(points[:, 2].max()) for points in spans_of(plan, "tab")]
    assert tops
    assert tops == pytest.approx([BOTTOM + height] * len(tops))


def test_passes_above_the_tabs_are_not_raised():
    plan = planned(specimens.square(60), tabs=3, tab_height_mm=1.5)
    for cut in plan.contours[0].cuts:
        assert any(s.role == "tab" for s in cut.spans) == (cut.z_mm < BOTTOM + 1.5)


def test_over_a_tab_the_cutter_goes_straight_up_along_and_straight_down():
    (cut,) = planned(specimens.square(60), tabs=1, depth_per_pass_mm=9).contours[0].cuts
    roles = [s.role for s in cut.spans]
    k = roles.index("tab")
    assert roles[k - 1 : k + 3] == ["cut", "tab", "plunge", "cut"]
    assert cut.spans[k].points[:, 2].tolist() == [-6.3, -4.5, -4.5]
    assert cut.spans[k + 1].points[:, 2].tolist() == [-4.5, -6.3]


@settings(max_examples=60, deadline=None)
@given(
    st.one_of(regions(), sheets()),
    cutter_diameters(),
    st.integers(1, 12),
    numbers(1, 12),
    st.sampled_from(["outside", "inside"]),
    st.sampled_from(["plunge", "ramp", "helix"]),
    st.sampled_from([0.0, 0.2]),
)
def test_the_middle_of_a_tab_is_never_cut_below_its_top(
    region, cutter, count, length, side, entry, finish
):
    """Neither by its own ring, nor another, nor a lead, a helix or a roughing pass."""
    sheet = region if side == "outside" else shapely.box(-200, -200, 300, 300)
    options = {"entry": entry, "finish_allowance_mm": finish, "tab_length_mm": length}
    part = region if side == "outside" else sheet.difference(region)
    plan = planned(part, cutter, tabs=count, **options)
    low = segments_below(plan, BOTTOM + 1.5 - 1e-9)
    for middle in middles(plan, length + cutter):
        assert low.distance(middle) >= cutter / 2


@settings(max_examples=60, deadline=None)
@given(regions(), cutter_diameters(), st.integers(1, 20), numbers(1, 15))
def test_raised_stretches_never_overlap(region, cutter, count, length):
    area = shapely.MultiPolygon([shapely.orient_polygons(region)])
    rings = rings_of(area, side="outside", direction="climb")
    plans = place_tabs(rings, [count] * len(rings), length_mm=length, cutter_mm=cutter, leads=[])
    for ring, plan in zip(rings, plans, strict=True):
        assert len(plan.middles_mm) <= count
        round_mm = ring.loop.length_mm
        gaps = np.diff([*plan.middles_mm, *[m + round_mm for m in plan.middles_mm[:1]]])
        assert np.all(gaps >= length + 2 * cutter)


@pytest.mark.parametrize("count", [2, 3, 4, 6])
def test_round_a_disc_tabs_are_spaced_evenly(count):
    rings = rings_of(
        shapely.MultiPolygon([specimens.disc(0, 0, 30)]), side="outside", direction="climb"
    )
    (plan,) = place_tabs(rings, [count], length_mm=6, cutter_mm=3, leads=[])
    pitch = 2 * math.pi * 30 / count
    assert np.diff(plan.middles_mm) == pytest.approx([pitch] * (count - 1), abs=0.8)  # 2 samples


@pytest.mark.parametrize("name", ["square", "rounded rectangle", "pentagram", "comb"])
def test_tabs_keep_off_corners(name):
    plan = planned(specimens.ALL[name], 2.0, tabs=4, tab_length_mm=4.0)
    assert len(plan.contours[0].tabs) == 4
    for points in spans_of(plan, "tab"):
        chord = np.hypot(*(points[-1, :2] - points[0, :2]))
        walked = np.hypot(*np.diff(points[:, :2], axis=0).T).sum()
        assert walked <= chord * 1.01


@settings(max_examples=40, deadline=None)
@given(regions(), cutter_diameters(), st.integers(3, 12), st.sampled_from(["arc", "line", "none"]))
def test_tabs_stay_a_diameter_away_from_leads_and_the_start(region, cutter, count, lead):
    plan = planned(region, cutter, tabs=count, tab_length_mm=2.0, lead=lead, entry="helix")
    assume(not any(f.code == "entry-replaced" for f in plan.findings))  # ramps run over tabs
    ways = plane_lines(spans_of(plan, "lead-in", "lead-out", "ramp"))
    starts = [cut.spans[0].points[-1, :2] for contour in plan.contours for cut in contour.cuts]
    busy = shapely.union(ways, shapely.MultiPoint(starts)) if lead != "none" else ways
    for middle in middles(plan, 2.0 + cutter):
        assert busy.distance(middle) >= cutter


def test_no_tab_stands_where_another_pass_would_cut_it_away():
    """Washer and island 3.5 mm apart, cutter 3 mm: both passes sweep the whole slot."""
    region = shapely.MultiPolygon([specimens.ring(), specimens.disc(0, 0, 4.5)])
    plan = planned(region, tabs=3)
    assert [len(c.tabs) for c in plan.contours] == [0, 0, 3]
    assert {f.code for f in plan.findings} == {"tabs-none"}


@pytest.mark.parametrize(
    ("radius", "held"), [(9.5, True), (math.sqrt(LARGE_PIECE_MM2 / math.pi) + 2.9, False)]
)
def test_slugs_are_held_when_they_are_large(radius, held):
    """The slug of a hole is the hole less a cutter's diameter all round."""
    plate = specimens.square(60).difference(specimens.disc(30, 30, radius))
    hole, _ = planned(plate, 3.0, tabs=4, tab_length_mm=3.0).contours
    assert (len(hole.tabs) >= 2) == held


@pytest.mark.parametrize(("count", "expected"), [(0, [0, 0]), (1, [1, 1]), (4, [4, 2])])
def test_a_slug_gets_its_share_by_length_but_two_at_least(count, expected):
    plate = shapely.box(0, 0, 60, 60).difference(shapely.box(9, 9, 29, 29))
    rings = rings_of(shapely.MultiPolygon([plate]), side="outside", direction="climb")
    assert tabs_wanted(rings, count=count, cutter_mm=3.0) == expected


def test_a_ring_too_short_for_its_tabs_says_so():
    plan = planned(specimens.disc(0, 0, 0.3), 3.0, tabs=4)
    (finding,) = plan.findings
    assert (finding.code, finding.value, finding.limit) == ("tabs-none", 0, 4)
    assert "come loose" in finding.message


def test_more_tabs_than_fit_are_fewer_and_told():
    plan = planned(specimens.square(30), 3.0, tabs=40)
    (finding,) = plan.findings
    assert finding.code == "tabs-fewer"
    assert finding.value == len(plan.contours[0].tabs) > 4


def test_tabs_of_roughing_and_finishing_stand_at_the_same_place():
    plan = planned(specimens.square(60), tabs=3, finish_allowance_mm=0.3)
    spans = [np.round(p[:, :2].mean(axis=0)) for p in spans_of(plan, "tab")]
    places = {tuple(m.tolist()) for m in spans}
    assert len(plan.contours[0].tabs) == 3
    near = [min(math.dist(a, t.at_mm) for t in plan.contours[0].tabs) for a in places]
    assert max(near) < 3.0


def test_the_place_of_a_tab_is_on_the_parts_wall():
    plan = planned(specimens.square(60), tabs=4)
    off = [
        specimens.square(60).exterior.distance(shapely.Point(t.at_mm))
        for t in plan.contours[0].tabs
    ]
    assert off == pytest.approx([0] * 4, abs=0.003)  # the offset's own error
