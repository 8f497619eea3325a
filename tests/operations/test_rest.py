"""Two cutters for one outline: together they cut what the small one alone would."""

from __future__ import annotations

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
from outline2path.operations.profile import ProfileSettings, profile
from outline2path.operations.rest import default_overlap_mm, rest_region
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, GOUGE_LIMIT_MM
from tests import specimens, strategies
from tests.operations.swept import (
    capsules,
    cuts_of,
    nearest_to_edge,
    reachable,
    segments_at,
    speck_width,
)

LARGE, SMALL = 6.0, 2.0
SHRINK = GOUGE_LIMIT_MM * 2
"""The small cutter's own sweep is asked for a little narrower: capsules are chords."""


def pocketed(region: shapely.Geometry, cutter_mm: float, **options: object) -> Cuts | None:
    chosen = PocketSettings(depth_per_pass_mm=5.0, **options)
    try:
        return pocket(
            Outline.from_shapely(region),
            Cutter(cutter_mm),
            settings=chosen,
            top_mm=0,
            bottom_mm=-1,
        )
    except RefusedError:
        return None


def profiled(region: shapely.Geometry, cutter_mm: float, **options: object) -> Cuts | None:
    chosen = ProfileSettings(**{"depth_per_pass_mm": 9.0, "lead": "none", **options})
    try:
        return profile(
            Outline.from_shapely(region),
            Cutter(cutter_mm),
            settings=chosen,
            top_mm=0,
            bottom_mm=-4,
        )
    except RefusedError:
        return None


def sweep(*plans: tuple[Cuts | None, float]) -> shapely.Geometry:
    """What several plans sweep together on their lowest level, each with its radius."""
    parts = [shapely.Polygon()]
    for plan, radius in plans:
        if plan is not None and plan.contours:
            low = min(cut.z_mm for cut in cuts_of(plan))
            parts.append(capsules(segments_at(plan, low), radius))
    return shapely.union_all(parts)


def length(plan: Cuts) -> float:
    return float(np.hypot(*np.diff(segments_at(plan), axis=1)[:, 0].T).sum())


def test_corners_of_a_square_are_what_is_left_of_it():
    """Four fillets of radius R less four of r: (4 - pi)(R^2 - r^2), elementary geometry."""
    square = Outline.from_shapely(specimens.square(30))
    left = rest_region(square, Cutter(LARGE), Cutter(SMALL), overlap_mm=0.0)
    assert len(left.geoms) == 4
    # ends thinner than the few micrometres that count as swept are left out
    assert left.area == pytest.approx((4 - math.pi) * (9 - 1), abs=0.1)


def test_a_slot_only_the_small_cutter_enters_is_left_whole():
    spoon = shapely.box(0, 0, 20, 20).union(shapely.box(19, 9, 40, 12))
    left = rest_region(Outline.from_shapely(spoon), Cutter(LARGE), Cutter(SMALL))
    assert shapely.box(21, 9.05, 38.9, 11.95).within(left)


def test_a_profile_leaves_the_gap_it_cannot_enter():
    discs = Outline.from_shapely(specimens.two_discs())  # a gap of 3.000
    left = rest_region(discs, Cutter(LARGE), Cutter(SMALL), side="outside", overlap_mm=0.0)
    assert left.intersects(shapely.Point(10.5, 0.4))
    assert abs(shapely.get_coordinates(left)[:, 1]).max() < 6


def test_the_overlap_grows_over_cleared_ground_never_over_walls():
    square = Outline.from_shapely(specimens.square(30))
    bare = rest_region(square, Cutter(LARGE), Cutter(SMALL), overlap_mm=0.0)
    wide = rest_region(square, Cutter(LARGE), Cutter(SMALL), overlap_mm=1.0)
    assert wide.buffer(1e-6).contains(bare)
    assert specimens.square(30).contains(wide)
    assert wide.area > bare.area + 4


def test_the_overlap_is_never_shorter_than_the_thin_ends_of_a_fillet():
    assert default_overlap_mm(Cutter(25), Cutter(0.5)) > 0.25 / 4


def test_the_larger_cutter_must_be_larger():
    square = Outline.from_shapely(specimens.square(30))
    with pytest.raises(SettingError, match="leaves nothing"):
        rest_region(square, Cutter(SMALL), Cutter(LARGE))


@settings(max_examples=25)
@given(
    region=strategies.regions(),
    sizes=st.sampled_from([(6.0, 2.0), (3.175, 1.0), (6.35, 3.175), (12.0, 3.0)]),
    stepover=st.sampled_from([0.4, 0.8]),
    finish=st.sampled_from([0.0, 0.2]),
)
def test_pockets_of_both_cutters_leave_what_the_small_one_alone_would(
    region, sizes, stepover, finish
):
    large, small = sizes
    rest = pocketed(region, small, rest_of_mm=large, stepover=stepover, finish_allowance_mm=finish)
    both = sweep((pocketed(region, large), large / 2), (rest, small / 2))
    wanted = reachable(region, small / 2, DEFAULT_TOLERANCE_MM)
    assert speck_width(wanted.difference(both)) <= DEFAULT_TOLERANCE_MM
    if rest is not None:
        assert nearest_to_edge(rest, region) >= small / 2 - GOUGE_LIMIT_MM


@settings(max_examples=25)
@given(
    region=st.one_of(strategies.regions(), strategies.sheets()),
    sizes=st.sampled_from([(6.0, 2.0), (3.175, 1.0), (12.0, 3.0)]),
    side=st.sampled_from(["outside", "inside"]),
)
def test_profiles_of_both_cutters_leave_what_the_small_one_alone_would(region, sizes, side):
    large, small = sizes
    rest = profiled(region, small, rest_of_mm=large, side=side)
    alone = sweep((profiled(region, small, side=side), small / 2 - SHRINK))
    both = sweep((profiled(region, large, side=side), large / 2), (rest, small / 2))
    assert speck_width(alone.difference(both)) <= DEFAULT_TOLERANCE_MM


def test_the_small_cutter_cuts_little_where_little_is_left():
    rest = pocketed(specimens.square(60), SMALL, rest_of_mm=LARGE)
    full = pocketed(specimens.square(60), SMALL)
    assert length(rest) < length(full) / 20


def test_the_small_cutter_comes_down_in_the_open():
    rest = pocketed(specimens.square(60), SMALL, rest_of_mm=LARGE)
    left = rest_region(
        Outline.from_shapely(specimens.square(60)), Cutter(LARGE), Cutter(SMALL), overlap_mm=0.0
    )
    for cut in cuts_of(rest):
        assert cut.spans[0].role == "plunge"
        assert left.distance(shapely.Point(cut.spans[0].points[0, :2])) >= SMALL / 2


@pytest.mark.parametrize(
    ("operation", "chosen"),
    [
        (pocket, PocketSettings(rest_of_mm=LARGE)),
        (profile, ProfileSettings(rest_of_mm=LARGE, side="inside")),
    ],
    ids=["pocket", "profile"],
)
def test_where_nothing_is_left_the_step_is_refused(operation, chosen):
    disc = Outline.from_shapely(specimens.disc(0, 0, 20))
    with pytest.raises(RefusedError, match="leave this step out"):
        operation(disc, Cutter(SMALL), settings=chosen, top_mm=0.0, bottom_mm=-1.0)


def test_tabs_left_by_the_larger_cutter_are_climbed_over():
    """A tab in a concave corner: the small cutter must not cut below its top there."""
    star = specimens.ALL["pentagram"]
    before = profiled(star, LARGE, tabs=5, tab_height_mm=1.0)
    rest = profiled(star, SMALL, tabs=5, tab_height_mm=1.0, rest_of_mm=LARGE)
    low = segments_at(rest, -4.3)
    cut = capsules(low, SMALL / 2)
    for contour in before.contours:
        for tab in contour.tabs:
            assert cut.distance(shapely.Point(tab.at_mm)) > 0.2 * tab.length_mm


@pytest.mark.parametrize("tab", [6.0, 10.0, 14.0])
def test_on_no_pass_does_the_small_cutter_come_down_into_a_tab(tab):
    """Crowded tabs reach into the hollow corners: every low place is clear of half the tab's
    length and the radius, the last one of each stretch too."""
    cross = shapely.union(shapely.box(0, 20, 60, 40), shapely.box(20, 0, 40, 60))
    chosen = {"tabs": 8, "tab_length_mm": tab, "tab_height_mm": 1.0, "depth_per_pass_mm": 1.0}
    before = profiled(cross, LARGE, **chosen)
    rest = profiled(cross, SMALL, rest_of_mm=LARGE, **chosen)
    low = [span.points for cut in cuts_of(rest) for span in cut.spans]
    low = shapely.MultiPoint(np.concatenate([p[p[:, 2] < -3.0 - 1e-9] for p in low])[:, :2])
    spots = [tab.at_mm for contour in before.contours for tab in contour.tabs]
    gaps = shapely.distance(shapely.points(spots), low)
    assert len(spots) >= 6
    assert gaps.min() >= tab / 2 + SMALL / 2 - 0.01  # the arc of the search has chords


def test_on_the_line_there_is_no_rest():
    with pytest.raises(SettingError, match="leaves nothing"):
        ProfileSettings(side="on", rest_of_mm=6.0)
