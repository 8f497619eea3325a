"""Whole jobs by chance: what each kind of step leaves, measured on a grid by a second opinion.

Faced, pocketed, drilled, chamfered and cut out; then each place of the stock is looked at that is
farther from every edge than the grid is coarse, and has to have the height that was asked for.
Depths are those of the drawing: a formula of the test's own, not the package's.
"""

import math

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import outline2path as o2p
from tests import naive
from tests.strategies import numbers, polygons

THIN, WIDE = 3.0, 12.0
CONE, ANGLE = 8.0, 90.0
EDGE = 0.6  # grid of 0.4 mm, steps of 0.2 mm: nothing is claimed nearer to an edge
FINE = 0.01  # programs round to a thousandth; the grid is exact in height on level ground


@st.composite
def tasks(draw):
    """A part with a pocket and a hole, and depths for each step."""
    part = draw(polygons().filter(lambda p: not p.buffer(-9).is_empty))
    inner = max(shapely.get_parts(part.buffer(-9)).tolist(), key=shapely.area)
    x, y = inner.representative_point().coords[0]
    small = draw(st.booleans()) or inner.buffer(-2).is_empty
    pocket = shapely.box(x - 4, y - 3, x + 4, y + 3) if small else inner
    return {
        "part": part,
        "pocket": pocket.intersection(part.buffer(-6)),
        "faced": draw(st.sampled_from([0.0, 0.5])),
        "deep": draw(numbers(0.5, 4.0)),
        "chamfer": draw(st.sampled_from([0.0, 1.5])),
        "thick": draw(numbers(6, 9)),
        "units": draw(st.sampled_from(["mm", "in"])),
    }


def planned(task):
    """Plan a task; work zero is the stock's lower left corner, z 0 its rough top."""
    box = shapely.box(*task["part"].bounds).buffer(10, join_style="mitre").bounds
    part, pocket = (
        o2p.Outline.from_shapely(task[name]).move(-box[0], -box[1]) for name in ("part", "pocket")
    )
    stock = o2p.Stock(f"{box[2] - box[0]!r} x {box[3] - box[1]!r} x {task['thick']!r} mm")
    job = o2p.Job(stock=stock, zero="stock-corner", placed="as-drawn", units=task["units"])
    if task["faced"]:
        job.face(o2p.Cutter(WIDE), depth=task["faced"])
    job.pocket(pocket, o2p.Cutter(THIN), depth=task["deep"])
    if task["chamfer"]:
        job.chamfer(part, o2p.Cutter(CONE, shape="v", angle=ANGLE), width=task["chamfer"])
    return job.profile(part, o2p.Cutter(THIN), tabs=3).plan(), part.region, pocket.region


def cut(plan, box):
    """Cut all programs into one stock."""
    stock = naive.Stock(box, top=0)
    for program in plan.programs:
        wide = program.cutter.diameter_mm
        cone = program.cutter.shape == "v"
        stock.cut(program.program.text, naive.cone(wide, ANGLE) if cone else naive.flat(wide))
    return stock


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
@given(tasks())
def test_every_step_leaves_the_heights_that_were_drawn(task):
    plan, part, pocket = planned(task)
    assert plan.is_sound, plan.summary()
    box = plan.programs[0].placement.stock_box_mm
    stock = cut(plan, box)
    spots = shapely.points(*np.meshgrid(stock.x, stock.y))
    top, bottom = -task["faced"], -task["thick"]
    inward = np.where(shapely.contains(part, spots), 1, -1) * shapely.distance(
        part.boundary, spots
    )
    in_pocket = shapely.contains(pocket, spots)
    off_pocket = shapely.distance(pocket.boundary, spots) > EDGE

    land = (inward > task["chamfer"] + EDGE) & ~in_pocket & off_pocket
    assert land.any()
    assert stock.z[land] == pytest.approx(top, abs=FINE)

    room = pocket.buffer(-THIN / 2 - 0.02).buffer(THIN / 2 - EDGE)  # where the cutter comes
    floor = shapely.contains(room, spots)
    assert floor.any() or room.area < 4
    assert stock.z[floor] == pytest.approx(top - task["deep"], abs=FINE)

    tabs = shapely.MultiPoint([tab.at_mm for tab in plan.programs[-1].tabs])
    clear = shapely.distance(tabs, spots) > 8
    gap = (inward < -EDGE) & (inward > EDGE - THIN) & clear
    assert gap.any()
    assert (stock.z[gap] <= bottom + FINE).all()

    if task["chamfer"]:
        slope = (inward > EDGE) & (inward < task["chamfer"] - EDGE) & off_pocket & ~in_pocket
        rolled = part.buffer(CONE / 2).buffer(-CONE / 2)  # no cone comes into an inner corner
        slope &= abs(shapely.distance(rolled.boundary, spots) - inward) < FINE
        drop = (task["chamfer"] - inward[slope]) / math.tan(math.radians(ANGLE / 2))
        assert stock.z[slope] == pytest.approx(top - drop, abs=0.1)  # the grid steps on slopes


def test_the_second_opinion_notices_a_pocket_too_deep_and_a_part_cut_into():
    square = shapely.box(0, 0, 40, 30)
    task = {
        "part": square,
        "pocket": shapely.box(15, 10, 25, 20),
        "faced": 0.0,
        "deep": 2.0,
        "chamfer": 0.0,
        "thick": 6.0,
        "units": "mm",
    }
    plan, _, pocket = planned(task)
    text = plan.only.program.text
    box = plan.only.placement.stock_box_mm
    deeper, aside = naive.Stock(box, top=0), naive.Stock(box, top=0)
    deeper.cut(text.replace("Z-2", "Z-2.5"), naive.flat(THIN))
    aside.cut(text, naive.flat(THIN + 2))
    spots = shapely.points(*np.meshgrid(deeper.x, deeper.y))
    floor = shapely.contains(pocket.buffer(-EDGE - 0.1), spots)
    assert deeper.z[floor].min() == pytest.approx(-2.5, abs=FINE)
    near = shapely.distance(pocket, spots)
    assert aside.z[(near > 0.1) & (near < 0.8)].min() < -1
