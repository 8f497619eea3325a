"""The plan view draws every meaning once, readable, bounded in artists, and nothing overlaps."""

from __future__ import annotations

import time
from itertools import combinations

import numpy as np
import pytest
import shapely

from outline2path.path.toolpath import LINE, MOVE, ROLES, Section, Toolpath
from outline2path.picture.plan_view import draw_outline, draw_plan, draw_reach
from outline2path.shop.cutter import Cutter
from tests.picture import stand_ins
from tests.picture.stand_ins import plan_of_leaf

EVERY = [
    "stock",
    "waste",
    "part",
    "edge",
    "kerf",
    "tab",
    "lost",
    "pass",
    "lead-in",
    "lead-out",
    "rapid",
    "start",
    "direction",
    "scale",
    "zero",
    "badge",
    "leader",
]


@pytest.fixture(scope="module")
def leaf_plan():
    """The leaf's plan with everything on it, drawn once."""
    return draw_plan(**plan_of_leaf())


def boxes(artists):
    """Bounding boxes in pixels."""
    return [a.get_window_extent() for a in artists]


def overlaps(one, other) -> bool:
    """Whether two boxes share more than half a pixel."""
    wide = min(one.x1, other.x1) - max(one.x0, other.x0)
    high = min(one.y1, other.y1) - max(one.y0, other.y0)
    return wide > 0.5 and high > 0.5


def filled(drawn, point) -> bool:
    """Whether the part's fill covers a point: inside an odd number of its rings."""
    rings = drawn.artists["part"][0].get_path().to_polygons()
    return sum(shapely.Polygon(r).contains(shapely.Point(point)) for r in rings) % 2 == 1


@pytest.mark.parametrize("meaning", EVERY)
def test_a_plan_holds_an_artist_for_each_meaning(leaf_plan, meaning):
    assert leaf_plan.artists[meaning]


@pytest.mark.parametrize("meaning", ["pass", "rapid", "lead-in", "lead-out", "kerf", "edge"])
def test_a_meaning_is_one_artist_however_many_moves(leaf_plan, meaning):
    assert len(leaf_plan.artists[meaning]) == 1


@pytest.mark.parametrize(
    "words", ["156.6 \u00d7 73.9 mm", "cutter 3.175 mm", "4 passes", "4 tabs", "6 min 20 s"]
)
def test_a_plan_says_its_numbers(leaf_plan, words):
    assert words in leaf_plan.facts


def test_deeper_passes_are_drawn_narrower_on_top_of_shallower_ones(leaf_plan):
    (stripes,) = leaf_plan.artists["pass"]
    widths = stripes.get_linewidths()
    assert list(widths) == sorted(widths, reverse=True)
    assert len({tuple(c) for c in stripes.get_colors()}) == 4


def test_the_deepest_pass_is_broken_at_each_tab(leaf_plan):
    (stripes,) = leaf_plan.artists["pass"]
    # three rings: whole in the three upper depths, the two longest broken by two tabs below
    assert len(stripes.get_segments()) > 4 * 3


@pytest.mark.parametrize(
    ("absent", "options"),
    [
        ("tab", {"tabs": ()}),
        ("lost", {"reach": None}),
        ("stock", {"stock_box_mm": None}),
        ("waste", {"stock_box_mm": None}),
        ("badge", {"reach": None}),
        ("more", {}),
    ],
)
def test_what_is_not_there_is_an_empty_tuple(absent, options):
    assert draw_plan(**plan_of_leaf(**options)).artists[absent] == ()


def test_the_key_names_only_what_is_drawn():
    keyed = {r.sign for r in draw_plan(**plan_of_leaf(tabs=(), reach=None)).blocks[0].rows}
    assert "edge" in keyed
    assert not keyed & {"tab", "lost", "ramp"}


@pytest.mark.parametrize("count", [3, 12, 60])
def test_badges_never_overlap_and_stay_on_the_plot(count):
    places = np.random.default_rng(count).uniform((20, 20), (180, 90), (count, 2))
    findings = stand_ins.findings_at(places)
    drawn = draw_plan(**plan_of_leaf(reach=None, findings=findings))
    found = boxes(drawn.artists["badge"][::2])
    frame = drawn.ax.get_window_extent()
    assert len(found) == min(count, 12)
    assert not any(overlaps(a, b) for a, b in combinations(found, 2))
    assert all(frame.contains(b.x0, b.y0) and frame.contains(b.x1, b.y1) for b in found)


def test_sixty_findings_end_in_and_48_more():
    places = np.random.default_rng(1).uniform((20, 20), (180, 90), (60, 2))
    drawn = draw_plan(**plan_of_leaf(reach=None, findings=stand_ins.findings_at(places)))
    assert drawn.words[-1].startswith("and 48 more")
    assert len(drawn.artists["more"][0].get_offsets()) == 48


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("shape", [stand_ins.leaf(), stand_ins.coaster(), stand_ins.many_parts()])
def test_no_words_overlap_or_leave_the_page(shape, units):
    path, tabs = stand_ins.profile_path(shape, cutter_mm=2.0)
    findings = stand_ins.findings_at(np.array([(20.0, 20.0), (21.0, 20.0)]))
    drawn = draw_plan(
        outline=stand_ins.outline(shape, "a_name.svg"),
        toolpath=path,
        tabs=tabs,
        findings=findings,
        units=units,
        title="A long title " * 12,
    )
    drawn.figure.canvas.draw()
    words = [t for ax in drawn.figure.axes for t in ax.texts if t.get_text()]
    found, page = boxes(words), drawn.figure.bbox
    assert all(page.x0 <= b.x0 and b.x1 <= page.x1 for b in found)
    assert all(page.y0 <= b.y0 and b.y1 <= page.y1 for b in found)
    clashes = [
        (a.get_text(), b.get_text())
        for (a, one), (b, other) in combinations(zip(words, found, strict=True), 2)
        if overlaps(one, other)
    ]
    assert clashes == []


def test_a_hundred_thousand_moves_are_drawn_in_seconds_by_few_artists():
    count = 100_000
    turn = np.linspace(0, 2 * np.pi * 60, count)
    radius = 20 + np.linspace(0, 60, count)
    rows = np.zeros(count, dtype=MOVE)
    rows["kind"], rows["role"], rows["z"] = LINE, ROLES.index("cut"), -1.5
    rows["x"], rows["y"] = 100 + radius * np.cos(turn), 100 + radius * np.sin(turn)
    section = Section(operation="pocket", contour=0, cutter=Cutter(3), z_mm=-1.5)
    path = Toolpath(moves=rows, sections=(section,), start=(0, 0, 5), clearance_mm=5)
    begin = time.perf_counter()
    drawn = draw_plan(outline=stand_ins.outline(shapely.box(0, 0, 200, 200)), toolpath=path)
    drawn.figure.canvas.draw()
    # a bound against a line a move, which takes minutes; 1 s alone on the machine
    assert time.perf_counter() - begin < 20
    assert len(drawn.ax.get_children()) < 60


def test_an_outline_of_a_hundred_thousand_points_is_drawn_in_seconds():
    turn = np.linspace(0, 2 * np.pi, 100_000, endpoint=False)
    radius = 90 * (1 + 0.12 * np.sin(7 * turn) + 0.01 * np.sin(301 * turn))
    points = np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])
    drawn_from = stand_ins.outline(shapely.Polygon(points))
    begin = time.perf_counter()
    draw_outline(drawn_from).figure.canvas.draw()
    # 0.3 s alone on the machine; walking the path for data limits took 4 s and more
    assert time.perf_counter() - begin < 4


def test_a_program_without_moves_still_draws_its_outline():
    empty = Toolpath(moves=np.empty(0, MOVE), sections=(), start=(0, 0, 5), clearance_mm=5)
    drawn = draw_plan(outline=stand_ins.outline(stand_ins.leaf()), toolpath=empty)
    assert drawn.artists["edge"]
    assert drawn.artists["pass"] == ()


def test_an_inside_cut_fills_the_stock_round_the_drawing():
    drawn = draw_plan(**plan_of_leaf(side="inside"))
    assert filled(drawn, (5, 5))
    assert not filled(drawn, (60, 52))


def test_an_outline_without_findings_has_no_words_beside_it():
    assert draw_outline(stand_ins.outline(stand_ins.leaf())).blocks == ()


def test_an_outline_shows_its_holes_unfilled():
    drawn = draw_outline(stand_ins.outline(stand_ins.leaf()))
    assert filled(drawn, (100, 70))
    assert not filled(drawn, (100, 52))
    assert "2 holes" in drawn.facts


def test_a_reach_counts_its_spots_and_enlarges_them():
    reach = plan_of_leaf()["reach"]
    drawn = draw_reach(reach)
    assert f"{len(reach.spots)} narrow spots" in drawn.facts
    assert drawn.artists["lost"]
    assert len(drawn.figure.axes) == 2 + min(len(reach.spots), 4)


def test_a_reach_without_spots_says_so():
    outline = stand_ins.outline(shapely.box(0, 0, 30, 20))
    drawn = draw_reach(stand_ins.StandInReach(outline=outline, cutter_mm=3.0))
    assert "no narrow spot" in drawn.facts
    assert drawn.artists["lost"] == ()


def test_thin_walls_are_marked_by_diamonds():
    outline = stand_ins.outline(shapely.box(0, 0, 30, 0.5))
    reach = stand_ins.StandInReach(outline=outline, cutter_mm=3.0)
    wall = stand_ins.StandInWall(at_mm=(15.0, 0.25), thickness_mm=0.5)
    drawn = draw_reach(reach, walls=(wall,))
    assert drawn.artists["badge"][0].get_marker() == "D"
    assert "0.50 mm thick" in drawn.words[-1]


def test_thin_walls_that_know_their_area_are_filled_and_crossed():
    wall = stand_ins.StandInWall(
        at_mm=(60.0, 52.0), thickness_mm=0.5, area=shapely.box(55, 51.75, 65, 52.25)
    )
    drawn = draw_plan(**plan_of_leaf(walls=iter([wall])))
    fill, ruling = drawn.artists["thin"]
    # 10 x 0.5 mm of box, back as the path of the fill
    assert shapely.Polygon(fill.get_path().to_polygons()[0]).area == pytest.approx(5.0)
    assert ruling.get_segments()
    assert "wall too thin" in " ".join(drawn.words)
