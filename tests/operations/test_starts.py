"""Where rings and lines may begin as well: clear of tabs, straight or convex, and no worse."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.outline import Outline
from outline2path.drawing.single_line import single_line
from outline2path.errors import SettingError
from outline2path.operations.engrave import EngraveSettings, engrave
from outline2path.operations.profile import profile
from outline2path.operations.profile_settings import ProfileSettings
from outline2path.path.order import order_contours
from outline2path.shop.cutter import Cutter

CUTTER = Cutter(3)
L_SHAPE = shapely.Polygon([(0, 0), (40, 0), (40, 14), (14, 14), (14, 40), (0, 40)])
PARTS = Outline.from_shapely(
    shapely.MultiPolygon(
        [L_SHAPE, shapely.box(60, 0, 90, 30).difference(shapely.Point(75, 15).buffer(6))]
    )
)


def contours(outline=PARTS, **options):
    settings_ = ProfileSettings(**{"tabs": 3, "depth_per_pass_mm": 2, **options})
    return profile(outline, CUTTER, settings=settings_, top_mm=0, bottom_mm=-4).contours


def level(cuts):
    """All that is cut at full depth, seen from above."""
    lines = [s.points for c in cuts for s in c.spans if len(s.points) > 1 and s.role != "plunge"]
    return shapely.MultiLineString([p[:, :2] for p in lines])


@pytest.mark.parametrize("entry", ["plunge", "ramp"])
def test_a_way_begins_and_ends_where_it_says(entry):
    for contour in contours(entry=entry):
        assert contour.others
        for way in contour.others:
            cuts = way.make()
            assert cuts[0].spans[0].points[0, :2] == pytest.approx(way.begin_mm, abs=1e-9)
            assert cuts[-1].spans[-1].points[-1, :2] == pytest.approx(way.end_mm, abs=1e-9)


def tops(cuts):
    """Heights of the raised stretches of the last cut."""
    raised = [s.points[:, 2].max() for s in cuts[-1].spans if s.role == "tab"]
    return sorted(np.round(raised, 6).tolist())


def test_every_way_cuts_the_same_ring_and_leaves_the_same_tabs():
    for contour in contours():
        own = level(contour.cuts).buffer(CUTTER.radius_mm)
        for way in contour.others:
            cuts = way.make()
            ring = level(cuts).buffer(CUTTER.radius_mm)
            # leads lie elsewhere: a quarter turn of the cutter's radius each
            assert ring.symmetric_difference(own).area < 8 * CUTTER.diameter_mm**2
            assert set(tops(cuts)) == set(tops(contour.cuts))


def test_no_way_leads_in_or_out_beside_a_tab():
    found = contours()
    tabs = shapely.MultiPoint([t.at_mm for c in found for t in c.tabs])
    for contour in found:
        for way in contour.others:
            ends = [s for s in way.make()[-1].spans if s.role in ("lead-in", "lead-out")]
            assert len(ends) == 2
            for span in ends:
                # the cutter's middle runs a radius off the wall; half a tab and a diameter more
                near = shapely.LineString(span.points[:, :2]).distance(tabs)
                assert near > CUTTER.diameter_mm


def test_no_way_begins_at_a_corner_or_in_a_bay():
    """The L's inner corner at 14, 14 is concave; nothing begins within a diameter of it."""
    (edge,) = [
        c for c in contours(tabs=0) if len(c.others) and c.cuts[0].spans[-1].points[0, 0] < 50
    ]
    for way in edge.others:
        assert np.hypot(way.begin_mm[0] - 14, way.begin_mm[1] - 14) > CUTTER.diameter_mm


def test_no_way_enters_the_part():
    region = PARTS.region
    for contour in contours():
        for way in contour.others:
            swept = level(way.make()).buffer(CUTTER.radius_mm)
            assert swept.intersection(region).buffer(-0.001).is_empty


def test_a_single_ring_and_rings_after_roughing_begin_where_they_always_did():
    alone = Outline.from_shapely(L_SHAPE)
    assert not contours(alone)[0].others
    assert not any(c.others for c in contours(finish_allowance_mm=0.3))


def test_the_way_that_is_chosen_shortens_the_rapids():
    found = contours()
    plain = [c.cuts for c in order_contours([_without(c) for c in found])]
    chosen = [c.cuts for c in order_contours(found)]
    assert _rapids(chosen) < 0.9 * _rapids(plain)


def _without(contour):
    from dataclasses import replace

    return replace(contour, others=())


def _rapids(cuts):
    begins = [c[0].spans[0].points[0, :2] for c in cuts]
    ends = [c[-1].spans[-1].points[-1, :2] for c in cuts]
    trip = zip([np.zeros(2), *ends], [*begins, np.zeros(2)], strict=True)
    return sum(float(np.hypot(*(b - a))) for a, b in trip)


@pytest.mark.parametrize(
    ("side", "direction"),
    [("front", (0, -1)), ("back", (0, 1)), ("left", (-1, 0)), ("right", (1, 0))],
)
def test_the_cut_begins_and_ends_on_the_side_asked_for(side, direction):
    for contour in contours(begin_on=side):
        ring = level(contour.cuts).envelope.bounds
        most = max(x * direction[0] + y * direction[1] for x in ring[::2] for y in ring[1::2])
        for way in (contour, *contour.others):
            cuts = contour.cuts if way is contour else way.make()
            begin, end = cuts[0].spans[0].points[0, :2], cuts[-1].spans[-1].points[-1, :2]
            for place in (begin, end):
                assert most - place @ direction < 12  # a tenth of 40, the lead, the corner's arc


@pytest.mark.parametrize("side", ["top", "", 3])
def test_a_side_that_is_none_is_refused(side):
    with pytest.raises(SettingError, match="none of front, back, left, right"):
        ProfileSettings(begin_on=side)


@settings(max_examples=15, deadline=None)
@given(depth=st.sampled_from([0.2, 0.4, 0.6]), text=st.text("LTO", min_size=1, max_size=3))
def test_engraved_lines_may_begin_at_either_end_and_cut_the_same(depth, text):
    found = engrave(
        single_line(text, height=6), Cutter(6, shape="v", angle=60),
        settings=EngraveSettings(depth_per_pass_mm=0.2), top_mm=0, bottom_mm=-depth,
    )  # fmt: skip
    for contour in found.contours:
        own = level(contour.cuts)
        for way in contour.others:
            cuts = way.make()
            assert cuts[0].spans[0].points[0, :2] == pytest.approx(way.begin_mm)
            assert cuts[-1].spans[-1].points[-1, :2] == pytest.approx(way.end_mm)
            assert shapely.hausdorff_distance(level(cuts), own) < 0.6  # the overlap at the seam


def test_a_closed_edge_is_engraved_from_any_of_a_few_places_once_round():
    disc = Outline.from_shapely(shapely.Point(9, 9).buffer(8))
    (contour,) = engrave(disc, Cutter(6, shape="v", angle=60), top_mm=0, bottom_mm=-0.3).contours
    assert len(contour.others) == 7
    for way in contour.others:
        (cut,) = way.make()
        line = shapely.LineString(cut.spans[-1].points[:, :2])
        assert line.length == pytest.approx(disc.region.length + 0.5, rel=1e-6)
        assert line.buffer(0.01).covers(disc.region.boundary)
