"""What the stock falls into, what order follows from it, and that tabs tie all of it together."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from outline2path.drawing.outline import Outline
from outline2path.drawing.reader import read_outline
from outline2path.job.job import Job
from outline2path.operations.lawful import lawful_order
from outline2path.operations.linking import Row, link, loose_groups
from outline2path.operations.pieces import pieces_of
from outline2path.operations.rings import rings_of
from outline2path.shop.cutter import Cutter
from outline2path.shop.holding import LARGE_PIECE_MM2
from outline2path.shop.stock import Stock
from tests import specimens
from tests.operations.laws import BOTTOM, plane_lines, planned, spans_of
from tests.strategies import cutter_diameters, sheets

DEMO_ART = Path(__file__).parents[2] / "demo_art"


def jaws(gap: float) -> shapely.Polygon:
    """A plate with a bay of 30 x 24 that opens to the right by a gap: closed once it is cut."""
    bay = shapely.box(10, 8, 40, 32)
    mouth = shapely.box(40, 20 - gap / 2, 51, 20 + gap / 2)
    return shapely.box(0, 0, 50, 40).difference(bay).difference(mouth)


def found(region, cutter_mm: float, *, side: str = "outside"):
    """The rings of a region and what they cut the stock into."""
    away = cutter_mm / 2 if side == "outside" else -cutter_mm / 2
    grown = shapely.get_parts(region.buffer(away, join_style="mitre"))
    rings = rings_of(shapely.MultiPolygon(list(grown)), side=side, direction="climb")
    return rings, pieces_of(rings, cutter_mm=cutter_mm)


# a gap up to two cutters wide is cut away whole from both sides, and frees the bay
@pytest.mark.parametrize(("gap", "pieces"), [(2.5, 2), (3.9, 2), (4.5, 1), (12.0, 1)])
def test_a_bay_comes_loose_when_its_gap_is_cut_away_whole(gap, pieces):
    assert len(found(jaws(gap), 2.0)[1].shapes) == pieces


def test_a_bay_is_as_large_as_what_the_cutter_leaves_of_it():
    _, pieces = found(jaws(2.5), 2.0)
    bay = min(shape.area for shape in pieces.shapes)
    assert bay == pytest.approx((30 - 4) * (24 - 4), rel=0.02)  # less a scallop at the gap


@pytest.mark.parametrize("gap", [0.05, 0.2, 3.0])
def test_a_neck_a_hair_thin_holds_nothing(gap):
    """Two squares cut side by side: with a radius of 1, a tenth of it holds nothing."""
    bridge = shapely.box(9, 9, 21, 9 + gap)
    pair = shapely.unary_union([shapely.box(0, 0, 10, 20), shapely.box(20, 0, 30, 20), bridge])
    assert len(found(pair, 2.0)[1].shapes) == (1 if gap > 0.1 else 2)


def test_pieces_know_what_lies_within_them_and_how_deep_each_ring_is_cut():
    nest = specimens.square(60).difference(shapely.box(5, 5, 55, 55))
    nest = shapely.union(nest, shapely.box(15, 15, 45, 45).difference(shapely.box(20, 20, 40, 40)))
    rings, pieces = found(nest, 2.0)
    deep = {round(abs(ring.loop.area_mm2)): pieces.depth(k) for k, ring in enumerate(rings)}
    assert [deep[area] for area in sorted(deep, reverse=True)] == [0, 1, 2, 3]
    assert sorted(len(within) for within in pieces.nested) == [0, 1, 2, 3]


def test_what_is_cut_in_a_piece_comes_before_the_rings_that_free_it():
    """The small part in the bay is in no ring; once the jaws are cut round, its stock is loose."""
    part = shapely.box(20, 15, 30, 25)
    both = shapely.MultiPolygon([jaws(2.5), part])
    rings, pieces = found(both, 2.0)
    order, after = lawful_order(rings, pieces)
    areas = [abs(rings[k].loop.area_mm2) for k in order]
    small = int(np.argmin(areas))
    assert small < int(np.argmax(areas))
    assert small in after[int(np.argmax(areas))]


@settings(max_examples=25, deadline=None)
@given(sheets(), cutter_diameters())
def test_the_order_is_lawful_and_nothing_waits_for_itself(region, cutter):
    rings, pieces = found(region, cutter)
    order, after = lawful_order(rings, pieces)
    assert sorted(order) == list(range(len(rings)))
    assert all(before < n for n, some in enumerate(after) for before in some)


@pytest.mark.parametrize("tabs", [1, 2, 4])
def test_nothing_large_comes_loose_where_tabs_are_asked_for(tabs):
    job = Job(stock=Stock(thickness=5))
    plan = job.profile(Outline.from_shapely(jaws(2.5)), Cutter(2), tabs=tabs).plan()
    in_bay = [t for t in plan.tabs if 9 < t.at_mm[0] < 41 and 7 < t.at_mm[1] < 33]
    assert len(in_bay) == min(tabs, 2)
    assert plan.prove().failed == ()


def test_a_part_nested_in_a_bay_is_cut_before_the_bay_is_loose():
    both = shapely.MultiPolygon([jaws(2.5), shapely.box(20, 15, 30, 25)])
    plan = Job(stock=Stock(thickness=5)).profile(Outline.from_shapely(both), Cutter(2)).plan()
    assert plan.prove().failed == ()


def test_pieces_that_hold_only_one_another_are_tied_to_the_stock():
    """The island's tabs lead to the moat's waste; both together must hang on the stock."""
    region = shapely.box(0, 0, 40, 40).difference(shapely.box(13, 13, 27, 27))
    rings, pieces = found(region, 2.0, side="inside")
    rows = []
    for ring in rings:
        along = np.arange(0.0, ring.loop.length_mm, 0.5)
        middles = [] if not ring.keeps_inside else [along[10], along[60]]
        rows.append(Row(ring.loop, along, np.zeros(len(along)), 10.0, list(middles)))
    before = np.concatenate([row.loop.at(np.array(row.middles)) for row in rows])
    (group,) = loose_groups(pieces, before, large_mm2=LARGE_PIECE_MM2)
    assert len(group) == 2
    after = link(pieces, rows, number=2, large_mm2=LARGE_PIECE_MM2)
    spots = np.concatenate([r.loop.at(np.array(m)) for r, m in zip(rows, after, strict=True)])
    assert loose_groups(pieces, spots, large_mm2=LARGE_PIECE_MM2) == []


def test_where_no_tab_has_room_pieces_stay_loose_and_are_told():
    rings, pieces = found(specimens.square(40), 3.0)
    along = np.arange(0.0, rings[0].loop.length_mm, 1.0)
    full = Row(rings[0].loop, along, np.full(len(along), np.inf), 9.0, [])
    assert link(pieces, [full], number=2, large_mm2=LARGE_PIECE_MM2) == [[]]
    assert loose_groups(pieces, np.empty((0, 2)), large_mm2=LARGE_PIECE_MM2) == [{0}]


@settings(max_examples=25, deadline=None)
@given(sheets(), cutter_diameters())
def test_no_large_piece_is_loose_unless_a_finding_says_so(region, cutter):
    """By shapely's own buffer of what is cut at the lowest level, tabs left standing."""
    plan = planned(region, cutter, tabs=3, tab_length_mm=3.0, depth_per_pass_mm=9.0)
    low = [p for p in spans_of(plan, "cut", "lead-in", "lead-out") if p[0, 2] < BOTTOM]
    swept = shapely.buffer(plane_lines(low), cutter / 2 * 0.999, quad_segs=32)
    holes = [shapely.Polygon(h).area for p in shapely.get_parts(swept) for h in p.interiors]
    if not any(f.code.startswith("tabs") for f in plan.findings):
        assert max(holes, default=0.0) <= LARGE_PIECE_MM2


@pytest.mark.parametrize(
    ("name", "width", "cutter", "side", "tabs", "entry", "finish"),
    [
        ("oak_leaf", 70, 1.0, "inside", 2, "helix", 0.0),  # veins tied to one another alone
        ("reading_owl", 58, 2.0, "inside", 4, "helix", 0.0),  # feathers tied to loose waste
        ("reading_owl", 29, 2.0, "inside", 6, "plunge", 0.0),  # cut in what was loose already
        ("shelf_set", 81, 6.0, "outside", 2, "plunge", 0.0),
        ("heron", 120, 2.0, "inside", 3, "ramp", 0.3),  # freed by the roughing passes
        ("hedgehog", 84, 3.175, "inside", 4, "plunge", 0.3),  # a roughing pass round a corner
    ],
)
def test_what_art_falls_into_is_held_or_cut_in_time(
    name, width, cutter, side, tabs, entry, finish
):
    drawn = read_outline(DEMO_ART / f"{name}.svg").fit(width=f"{width} mm")
    job = Job(stock=Stock(thickness="3 mm"))
    options = {"side": side, "tabs": tabs, "entry": entry, "finish_allowance": finish}
    plan = job.profile(drawn, Cutter(cutter), depth_per_pass=2, **options).plan()
    assert [check.detail for check in plan.prove().failed] == []
