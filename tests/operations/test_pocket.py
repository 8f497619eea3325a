"""Pockets, replayed with plain shapely: everything cleared, nothing cut into."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.outline import Outline
from outline2path.errors import RefusedError, SettingError
from outline2path.operations.cut import Cuts
from outline2path.operations.pocket import PocketSettings, pocket
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, GOUGE_LIMIT_MM
from tests import specimens, strategies
from tests.operations.swept import (
    cuts_of,
    nearest_to_edge,
    reachable,
    segments_at,
    speck_width,
    swept,
)

FLOOR = -3.0
STEPOVERS = (0.15, 0.4, 0.5, 0.55, 0.7, 0.85, 1.0)
SHARP = {
    name: specimens.ALL[name] for name in ("square", "triangle", "pentagram", "hourglass hole")
} | {"ring": shapely.Point(0, 0).buffer(20).difference(shapely.Point(0, 0).buffer(8))}


def planned(region: shapely.Geometry, cutter_mm: float = 3.0, **options: object) -> Cuts:
    """Plan a pocket 3 mm deep from z 0."""
    return pocket(
        Outline.from_shapely(region),
        Cutter(cutter_mm),
        settings=PocketSettings(**{"depth_per_pass_mm": 5.0, **options}),
        top_mm=0.0,
        bottom_mm=FLOOR,
    )


def uncut_mm(plan: Cuts, region: shapely.Geometry, cutter_mm: float, z: float = FLOOR) -> float:
    """Width of the widest speck that the cutter could reach, T short of the wall, but did not."""
    wanted = reachable(region, cutter_mm / 2, DEFAULT_TOLERANCE_MM)
    return speck_width(wanted.difference(swept(plan, cutter_mm / 2, z)))


def lifts(plan: Cuts) -> int:
    """How often a cut begins elsewhere than the one before ended."""
    cuts = cuts_of(plan)
    pairs = itertools.pairwise(cuts)
    return sum(
        not np.allclose(a.spans[-1].points[-1, :2], b.spans[0].points[0, :2]) for a, b in pairs
    )


@pytest.mark.parametrize("stepover", STEPOVERS)
@pytest.mark.parametrize("name", SHARP)
def test_sharp_corners_and_ridges_are_cleared_at_every_stepover(name, stepover):
    plan = planned(SHARP[name], stepover=stepover)
    assert uncut_mm(plan, SHARP[name], 3.0) <= DEFAULT_TOLERANCE_MM
    assert nearest_to_edge(plan, SHARP[name]) >= 1.5 - GOUGE_LIMIT_MM


@settings(max_examples=50)
@given(
    region=strategies.regions(),
    cutter_mm=strategies.cutter_diameters(),
    stepover=st.sampled_from(STEPOVERS[1:]),
    finish=st.sampled_from([0.0, 0.0, 0.2]),
    direction=st.sampled_from(["climb", "conventional"]),
)
def test_any_region_with_islands_is_cleared_and_never_cut_into(
    region, cutter_mm, stepover, finish, direction
):
    try:
        plan = planned(
            region,
            cutter_mm,
            stepover=stepover,
            finish_allowance_mm=finish,
            direction=direction,
        )
    except RefusedError:
        widest = 2 * shapely.length(shapely.maximum_inscribed_circle(region, 1e-3))
        assert widest <= cutter_mm + 2 * DEFAULT_TOLERANCE_MM
        return
    assert uncut_mm(plan, region, cutter_mm) <= DEFAULT_TOLERANCE_MM
    assert nearest_to_edge(plan, region) >= cutter_mm / 2 - GOUGE_LIMIT_MM


@settings(max_examples=10)
@given(strategies.sheets())
def test_each_of_several_openings_is_cleared(sheet):
    plan = planned(sheet, 2.0)
    assert uncut_mm(plan, sheet, 2.0) <= DEFAULT_TOLERANCE_MM


def test_without_detours_the_replay_would_find_specks(monkeypatch):
    """The replay can fail: a square's ring corners at 0.9 of the cutter leave specks."""
    monkeypatch.setattr(
        "outline2path.operations.pocket_cuts.with_detours",
        lambda _levels, rings, **_: [list(mine) for mine in rings],
    )
    plan = planned(SHARP["square"], stepover=0.9)
    assert uncut_mm(plan, SHARP["square"], 3.0) > 10 * DEFAULT_TOLERANCE_MM


def test_every_depth_is_cleared_and_the_last_is_the_floor():
    plan = planned(SHARP["pentagram"], depth_per_pass_mm=1.0)
    depths = [cut.z_mm for cut in cuts_of(plan)]
    assert depths == [-1.0, -2.0, -3.0]
    for z in depths:
        assert uncut_mm(plan, SHARP["pentagram"], 3.0, z) <= DEFAULT_TOLERANCE_MM


def test_all_depths_of_one_opening_are_cleared_without_a_lift():
    plan = planned(specimens.ALL["hourglass hole"], depth_per_pass_mm=0.5)
    assert len(cuts_of(plan)) == 6
    assert lifts(plan) == 0


def test_walls_are_finished_without_a_lift_where_clearing_made_room():
    plan = planned(specimens.ALL["ring"], depth_per_pass_mm=1.5, finish_allowance_mm=0.3)
    assert lifts(plan) == 0
    assert {s.role for cut in cuts_of(plan)[2:] for s in cut.spans} == {
        "plunge",
        "lead-in",
        "cut",
        "lead-out",
        "link",
    }


def test_clearing_stays_a_finish_allowance_off_the_walls():
    plan = planned(SHARP["square"], finish_allowance_mm=0.4)
    rough, walls = cuts_of(plan)
    edge = SHARP["square"].boundary
    gaps = [
        min(edge.distance(shapely.LineString(s.points)) for s in cut.spans if s.role == "cut")
        for cut in (rough, walls)
    ]
    margin = DEFAULT_TOLERANCE_MM / 2  # half the tolerance at most, beyond the radius
    assert gaps[0] == pytest.approx(1.9, abs=margin)
    assert gaps[1] == pytest.approx(1.5, abs=margin)


def test_the_floor_is_cut_once_more_for_a_floor_allowance():
    plan = planned(SHARP["square"], depth_per_pass_mm=1.4, floor_allowance_mm=0.2)
    assert [round(cut.z_mm, 9) for cut in cuts_of(plan)] == [-1.4, -2.8, -3.0]
    assert uncut_mm(plan, SHARP["square"], 3.0) <= DEFAULT_TOLERANCE_MM


def test_a_pocket_goes_through_by_what_is_asked():
    assert cuts_of(planned(SHARP["square"], through_mm=0.3))[-1].z_mm == pytest.approx(-3.3)


@pytest.mark.parametrize(("direction", "sign"), [("climb", 1), ("conventional", -1)])
def test_rings_turn_as_asked(direction, sign):
    """Climb keeps the wall on the right: an outer wall counter-clockwise, an island clockwise."""
    plan = planned(specimens.ALL["ring"], direction=direction)
    rings = [
        shapely.Polygon(s.points[:, :2])
        for cut in cuts_of(plan)
        for s in cut.spans
        if len(s.points) > 20 and np.array_equal(s.points[0], s.points[-1])
    ]
    about = {round(math.sqrt(p.area / math.pi), 1): p.exterior.is_ccw for p in rings}
    outer, island = max(about), min(about)
    assert (outer, island) == (18.5, 9.5)
    assert about[outer] == (sign > 0)
    assert about[island] == (sign < 0)


def test_a_level_link_runs_over_cleared_ground_only():
    region = specimens.ALL["hourglass hole"]
    plan = planned(region, stepover=0.4)
    (cut,) = cuts_of(plan)
    done = shapely.Polygon()
    for span in cut.spans:
        line = shapely.LineString(span.points[:, :2])
        if span.role == "link":
            fresh = line.buffer(1.5 * 0.995).difference(done)
            assert speck_width(fresh) <= DEFAULT_TOLERANCE_MM
        done = done.union(line.buffer(1.5))


@pytest.mark.parametrize(
    ("region", "asked", "got"),
    [
        (shapely.box(0, 0, 20, 20), "auto", "helix"),
        (shapely.box(0, 0, 20, 3.4), "auto", "ramp"),
        (shapely.box(0, 0, 3.3, 3.3), "auto", "plunge"),
        (shapely.box(0, 0, 20, 20), "ramp", "ramp"),
        (shapely.box(0, 0, 20, 20), "plunge", "plunge"),
        (shapely.box(0, 0, 20, 3.4), "helix", "ramp"),
    ],
)
def test_the_way_down_is_chosen_by_room(region, asked, got):
    plan = planned(region, entry=asked)
    first = cuts_of(plan)[0].spans[0]
    winds = first.role == "ramp" and len(first.points) > 40
    assert ("helix" if winds else first.role) == got
    told = [f.code for f in plan.findings if f.code == "entry-replaced"]
    assert bool(told) == (got == "plunge" != asked or (asked, got) == ("helix", "ramp"))


def test_a_helix_leaves_no_post_and_is_no_steeper_than_asked():
    """sources 3.4: a path radius of 0.5 to 0.9 of the cutter's leaves no post."""
    plan = planned(shapely.box(0, 0, 20, 20), ramp_angle_deg=2.0)
    helix = cuts_of(plan)[0].spans[0].points
    middle = (helix[:, :2].max(axis=0) + helix[:, :2].min(axis=0)) / 2
    radius = np.hypot(*(helix[:, :2] - middle).T)
    assert radius.min() - 0.01 >= 0.5 * 1.5  # middle of chords
    assert radius.max() <= 0.9 * 1.5
    step = np.diff(helix, axis=0)
    slope = np.degrees(np.arctan2(-step[:, 2], np.hypot(step[:, 0], step[:, 1])))
    assert slope.max() <= 2.0 + 1e-6


def test_a_branch_too_narrow_is_told_of_with_its_width():
    spoon = shapely.box(0, 0, 20, 20).union(shapely.box(19, 9, 40, 11))
    (found,) = [f for f in planned(spoon).findings if f.code == "opening-uncut"]
    assert found.value == pytest.approx(2.0, abs=0.02)  # the slot is 2 mm wide
    assert 20 < found.at_mm[0] < 40
    assert "below 2.00 mm" in found.remedy


def test_a_neck_too_narrow_leaves_two_pieces_each_cleared():
    bell = shapely.union_all(
        [shapely.box(0, 0, 15, 15), shapely.box(14, 6, 31, 8), shapely.box(30, 0, 45, 15)]
    )
    plan = planned(bell)
    assert len(plan.contours) == 2
    assert [f.code for f in plan.findings] == ["opening-uncut"]
    assert uncut_mm(plan, bell, 3.0) <= DEFAULT_TOLERANCE_MM


def test_a_pocket_no_cutter_enters_is_refused_with_the_widest_that_fits():
    with pytest.raises(RefusedError) as caught:
        planned(shapely.box(0, 0, 30, 2.5))
    assert caught.value.limit == pytest.approx(2.5, abs=0.01)


@pytest.mark.parametrize(
    ("options", "word"),
    [
        ({"stepover": 0.0}, "stepover"),
        ({"stepover": 1.01}, "stepover"),
        ({"finish_allowance_mm": 1.6}, "finish allowance"),
        ({"floor_allowance_mm": 3.0}, "floor allowance"),
        ({"entry": "screw"}, "entry"),
        ({"rest_of_mm": 3.0}, "leaves nothing"),
        ({"depth_per_pass_mm": math.nan}, "depth per pass"),
    ],
)
def test_impossible_settings_are_refused_by_name(options, word):
    with pytest.raises(SettingError, match=word):
        planned(SHARP["square"], **options)


def test_feeds_stay_as_they_are_unless_asked():
    plan = planned(SHARP["ring"], stepover=0.1)
    assert {s.feed_factor for cut in cuts_of(plan) for s in cut.spans} == {1.0}


def test_thin_chips_raise_the_feed_of_rings_with_cleared_ground_beside():
    """sources 3.1: a stepover of 0.1 thins the chip to 0.6, factor 1.666667."""
    plan = planned(SHARP["square"], stepover=0.1, raise_thin_chips=True)
    spans = [s for cut in cuts_of(plan) for s in cut.spans if s.role == "cut"]
    assert {round(s.feed_factor, 6) for s in spans} == {1.0, 1.666667}
    assert spans[1].feed_factor == 1.0  # the first ring is a slot
    assert [f.code for f in plan.findings] == ["feed-raised"]


def test_inside_arcs_lower_the_feed():
    """sources W17: wall radius 5, cutter radius 1.5875, factor 0.6825; told to twentieths."""
    plan = planned(specimens.disc(0, 0, 5.0), 3.175, slow_inside_arcs=True, stepover=0.5)
    last = [s for cut in cuts_of(plan) for s in cut.spans][-2]  # then over its start, and away
    assert last.feed_factor == pytest.approx(0.65)
    assert [f.code for f in plan.findings] == ["feed-lowered"]


def test_the_finishing_pass_is_lowered_on_inside_arcs_as_well():
    hole = specimens.disc(0, 0, 5.0)
    plan = planned(hole, 3.175, slow_inside_arcs=True, finish_allowance_mm=0.3)
    walls = [s for s in cuts_of(plan)[-1].spans if s.role == "cut"]
    assert {round(s.feed_factor, 9) for s in walls} == {0.65}  # sources W17: 0.6825, in twentieths


def test_eased_feeds_cut_the_same_ground():
    plain = planned(SHARP["pentagram"])
    eased = planned(SHARP["pentagram"], slow_inside_arcs=True, raise_thin_chips=True)
    both = [shapely.MultiLineString(list(segments_at(p))).length for p in (plain, eased)]
    assert both[0] == pytest.approx(both[1], abs=1e-6)
    assert uncut_mm(eased, SHARP["pentagram"], 3.0) <= DEFAULT_TOLERANCE_MM


def wall_leads(plan: Cuts, region: shapely.Geometry, cutter_mm: float) -> list[np.ndarray]:
    """Every span that comes to the wall's ring from more than a tenth of a millimetre off it."""
    wall = region.buffer(-cutter_mm / 2, join_style="mitre").boundary
    return [
        span.points[:, :2]
        for cut in cuts_of(plan)
        for span in cut.spans
        if span.role == "cut"
        and wall.distance(shapely.Point(span.points[0, :2])) > 0.1
        and wall.distance(shapely.Point(span.points[-1, :2])) < 0.02
    ]


@pytest.mark.parametrize("stepover", [0.2, 0.4, 0.5])
@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("name", ["square", "ring"])
def test_walls_left_by_clearing_are_touched_along_a_tangent(name, direction, stepover):
    """A quarter turn in steps of up to 11 degrees, the last of them along the wall."""
    plan = planned(SHARP[name], direction=direction, stepover=stepover)
    found = wall_leads(plan, SHARP[name], 3.0)
    assert len(found) >= len(shapely.get_rings(SHARP[name]))
    wall = SHARP[name].buffer(-1.5, join_style="mitre").boundary
    for line in found:
        before, last = line[-2:]
        angle = math.asin(min(1.0, wall.distance(shapely.Point(before)) / math.dist(before, last)))
        assert len(line) > 3
        assert math.degrees(angle) < 11
        turned = np.unwrap(np.arctan2(*np.diff(line, axis=0).T[::-1]))
        assert math.degrees(abs(turned[-1] - turned[0])) == pytest.approx(90, abs=20)


@pytest.mark.parametrize("stepover", [0.2, 0.4])
def test_a_wall_is_cut_past_its_seam_and_left_over_cleared_ground(stepover):
    square = specimens.square(40)
    plan = planned(square, stepover=stepover)
    (into,) = wall_leads(plan, square, 3.0)
    every = [span.points[:, :2] for cut in cuts_of(plan) for span in cut.spans]
    here = next(k for k, line in enumerate(every) if np.array_equal(line, into))
    once, out = shapely.LineString(every[here + 1]), every[here + 2]
    seam = once.project(shapely.Point(out[1])), once.length
    assert once.is_closed
    assert 0.1 < max(once.project(shapely.Point(p)) % once.length for p in out[:2]) <= 0.75
    assert seam[0] < 0.75
    inner = square.buffer(-1.5 - min(stepover * 3.0, 1.5) + 0.02)
    assert inner.covers(shapely.Point(out[-1]))
    assert inner.covers(shapely.Point(into[0]))
