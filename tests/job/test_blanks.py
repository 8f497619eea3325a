"""What programs leave of a blank that is turned over, and how a plan tells its sheet."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import pytest
import shapely

from outline2path.drawing.outline import Outline
from outline2path.job.blanks import box_of, cuttings_of, parts_of
from outline2path.job.job import Job
from outline2path.job.plan import Plan
from outline2path.job.sheet import set_up_sheet, sheet_content
from outline2path.picture.height_field import carve
from outline2path.shop.cutter import Cutter
from outline2path.shop.holding import Clamp, Holding
from outline2path.shop.machine import Machine
from outline2path.shop.stock import Stock

PLATE = shapely.box(10, 10, 70, 50)
FRONT = shapely.box(16, 16, 36, 30)
BACK = shapely.box(26, 20, 60, 40)


@lru_cache
def two_sided(about: str = "y") -> Plan:
    """Faced on both sides, a pocket from each, cut out from the second."""
    flat = Cutter("6 mm", stick_out="20 mm", flute_length="12 mm")
    job = Job(
        stock=Stock("80 x 60 x 10 mm", material="pine"),
        machine=Machine(travel="120 x 90 x 50 mm"),
        zero="stock-corner",
        placed="as-drawn",
        name="dish",
    )
    job.face(flat, depth="0.5 mm")
    job.pocket(Outline.from_shapely(FRONT), flat, depth="5 mm")
    job.turn_over(about=about)
    job.face(flat, depth="0.5 mm")
    job.pocket(Outline.from_shapely(BACK), flat, depth="6 mm")
    job.profile(Outline.from_shapely(PLATE), flat, tabs=2)
    return job.plan()


def left(plan: Plan, number: int):
    set_up = plan.set_ups[number]
    return carve(
        cuttings_of(plan, set_up),
        stock_box_mm=box_of(plan, set_up),
        top_mm=set_up.bench.top_mm,
        bottom_mm=set_up.bench.bottom_mm,
        cell_mm=0.1,
    )


def rounded(region, radius=3.0):
    """What a cutter clears of a region: no sharp inner corner (opening by a disc)."""
    return region.buffer(-radius, quad_segs=64).buffer(radius, quad_segs=64)


def test_the_first_side_is_faced_and_pocketed():
    field = left(two_sided(), 0)
    floor = (field.z < -5).sum() * 0.1**2
    assert np.unique(np.round(field.z[field.z > -5], 4)).tolist() == [-0.5]
    # half a cell's diagonal along the edge, and the tolerance of 0.02 mm
    assert floor == pytest.approx(rounded(FRONT).area, abs=FRONT.length * 0.09)


@pytest.mark.parametrize("about", ["x", "y"])
def test_turned_over_the_first_pocket_opens_below(about):
    plan = two_sided(about)
    field = left(plan, 1)
    mirror = [-1, 0, 0, 1, 80, 0] if about == "y" else [1, 0, 0, -1, 0, 60]
    front, back = (
        shapely.affinity.affine_transform(rounded(region), mirror) for region in (FRONT, BACK)
    )
    x = field.grid.x0 + 0.1 * np.arange(field.grid.wide)
    y = field.grid.y0 + 0.1 * np.arange(field.grid.high)
    inside = shapely.contains_xy(front.buffer(-0.1), *np.meshgrid(x, y))
    # 10 mm less 0.5 faced is 9.5; less 0.5 again and 5 of pocket: its floor is 5 above that side
    assert field.under[inside] == pytest.approx(field.bottom_mm + 5, abs=0.011)
    both = shapely.contains_xy(front.intersection(back).buffer(-0.1), *np.meshgrid(x, y))
    assert both.any()
    assert not field.solid[both].any()  # 5 + 6 mm of 9 mm: they meet


def test_parts_lie_where_the_blank_lies():
    part = parts_of(two_sided(), two_sided().set_ups[1])
    mirrored = shapely.affinity.affine_transform(PLATE, [-1, 0, 0, 1, 80, 0])
    assert part.symmetric_difference(mirrored).area == pytest.approx(0, abs=0.01)
    assert parts_of(two_sided(), two_sided().set_ups[0]) is None


@lru_cache
def content():
    return sheet_content(two_sided())


def test_the_sheet_tells_of_every_set_up_and_program():
    told = content()
    assert [page.turned for page in told.set_ups] == [None, "y"]
    assert [len(page.programs) for page in told.set_ups] == [
        sum(p.set_up is s for p in two_sided().programs) for s in two_sided().set_ups
    ]
    assert told.set_ups[1].size_mm == pytest.approx((80, 60, 9.5))
    assert told.title == "dish"
    assert told.sound


def test_room_to_spare_is_travel_less_the_way_of_the_cutter():
    program, page = two_sided().programs[0], content().programs[0]
    moves = program.toolpath.moves
    room = {one.what: one for one in page.room}
    assert room["travel in x"].spare_mm == pytest.approx(120 - np.ptp(moves["x"]), abs=0.001)
    assert room["travel in z"].spare_mm == pytest.approx(50 - np.ptp(moves["z"]), abs=0.001)
    assert room["stick-out"].there_mm == 20


def test_passes_add_up_to_the_program():
    for program, page in zip(two_sided().programs, content().programs, strict=True):
        assert sum(one.time_s for one in page.passes) <= program.times.total_s * 1.001
        cut = sum(program.times.section_cut_mm)
        assert sum(one.cut_mm for one in page.passes) == pytest.approx(cut)


def test_tabs_are_told_where_they_hold():
    assert "2 tabs hold" in " ".join(content().set_ups[1].holding)
    assert "tab" not in " ".join(content().set_ups[0].holding)


def test_the_cut_through_is_told():
    assert content().set_ups[0].through_mm == 0
    assert content().set_ups[1].through_mm == pytest.approx(0.3)
    assert math.isclose(content().set_ups[1].zero.across, 0)


def test_the_whole_sheet_in_inches():
    page = set_up_sheet(two_sided(), units="in")
    assert "0.374" in page  # 9.5 mm / 25.4
    assert page.count('src="data:image/png') == 2 + 1 + len(two_sided().programs)


def test_clamps_and_height_are_told_where_they_are_known():
    held = Holding(
        "clamps", clamps=[Clamp(at=(0, 20), size=(8, 20), height=14, name="left clamp")]
    )
    job = Job(
        stock=Stock("80 x 60 x 10 mm"),
        machine=Machine(travel="120 x 90 x 50 mm", under_collet="45 mm"),
        zero="stock-corner",
        holding=held,
        waste_board="6 mm",
        clearance="8 mm",
    )
    part = Outline.from_shapely(shapely.box(0, 0, 40, 30))
    plan = job.profile(part, Cutter("3 mm", stick_out="20 mm"), tabs=2).plan()
    page = sheet_content(plan).set_ups[0]
    assert page.clamps_mm == ((0, 20, 8, 40),)
    said = " ".join(page.holding).replace("\u00a0", " ")
    assert "Left clamp: x 0 mm to 8 mm, y 20 mm to 40 mm" in said
    assert "14 mm high" in said
    room = {one.what: one.spare_mm for one in page.programs[0].room}
    # 45 under the collet, less 20 of cutter, 6 of board, 10 of stock and 8 of clearance
    assert room["height under the collet"] == pytest.approx(1)
    # down to 0.3 mm in the board: 45 - 20 - 5.7 is 19.3 of the 50 mm of travel
    assert room["reach downwards"] == pytest.approx(50 - 19.3)
    assert room["waste board"] == pytest.approx(5.7)
    assert page.programs[0].tightest.what == "height under the collet"
