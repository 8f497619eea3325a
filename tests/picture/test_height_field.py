"""What is left of a blank, against closed forms.

Areas and volumes: sources of elementary geometry (disc sweep 2 r L + pi r2, sweep of a square's
boundary 8 a r + (pi - 4) r2, Pappus 2 r P for a smooth closed curve; cone, sphere cap, circular
segment from any handbook). A cell counts when its centre is cut, so an area is wrong by no more
than its edge times half a cell's diagonal.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.errors import SettingError
from outline2path.picture.height_field import Cutting, carve
from outline2path.shop.cutter import Cutter
from tests.picture.blocks import program, run

CELL = 0.05


def left(*cuttings: Cutting, box=(0, 0, 40, 30), bottom_mm=-6.0, **options):
    options = {"cell_mm": CELL, **options}
    return carve(cuttings, stock_box_mm=box, top_mm=0.0, bottom_mm=bottom_mm, **options)


def off(edge_mm: float, deep_mm: float, cell_mm: float = CELL) -> float:
    """Most that a volume may be wrong by."""
    return edge_mm * cell_mm * math.sqrt(2) / 2 * deep_mm


def test_a_slot_is_a_capsule():
    # r 1.5875 mm, L 50 mm: 166.667304 mm2 (worked example W15)
    cut = Cutting(text=run((5, 5), (55, 5), z=-2), cutter=Cutter(3.175))
    edge = 2 * 50 + math.pi * 3.175
    expected = pytest.approx(166.667304 * 2, abs=off(edge, 2))
    assert left(cut, box=(0, 0, 60, 10)).removed_mm3 == expected


def test_round_a_square_the_sweep_has_round_corners():
    # a 10 mm, r 2 mm: 156.566371 mm2 (worked example W5)
    ring = run((10, 10), (20, 10), (20, 20), (10, 20), (10, 10), z=-1)
    edge = 40 + 4 * math.pi + 24
    expected = pytest.approx(156.566371, abs=off(edge, 1))
    assert left(Cutting(text=ring, cutter=Cutter(4))).removed_mm3 == expected


@pytest.mark.parametrize("word", ["G2", "G3"])
def test_a_full_circle_sweeps_a_ring(word):
    text = program("G0 X10 Y15", "G1 Z-1", f"{word} X10 Y15 I8 J0")
    expected = pytest.approx(2 * 1.5 * 2 * math.pi * 8, abs=off(4 * math.pi * 8, 1))
    assert left(Cutting(text=text, cutter=Cutter(3))).removed_mm3 == expected


def test_a_drill_leaves_a_cone():
    # point length of 118 degrees: 0.300430 d (worked from (d/2)/tan(59 deg))
    drill = Cutter(6, shape="drill", angle=118)
    deep = 0.300430 * 6
    field = left(Cutting(text=run((20, 15), z=-deep), cutter=drill))
    expected = math.pi * 3**2 * deep / 3
    assert field.removed_mm3 == pytest.approx(expected, abs=off(6 * math.pi, CELL))


@pytest.mark.parametrize(("angle", "deep"), [(60, 2.598076), (90, 1.5), (120, 0.866025)])
def test_a_v_groove_3_mm_wide_has_a_known_depth(angle, deep):
    # worked example W7b: depths of a groove 3 mm wide, tip without a flat
    cutter = Cutter(12, shape="v", angle=angle)
    field = left(Cutting(text=run((10, 15), (30, 15), z=-deep), cutter=cutter), cell_mm=0.02)
    groove = 3 * deep / 2 * 20 + math.pi * 1.5**2 * deep / 3
    # heights are exact at centres, so only the strip at the rim counts, and it is shallow there
    assert field.removed_mm3 == pytest.approx(groove, rel=0.002)
    assert (field.z < 0).sum() * 0.02**2 == pytest.approx(
        60 + math.pi * 1.5**2, abs=off(40 + 3 * math.pi, 1, 0.02)
    )


def test_a_ball_leaves_a_round_groove():
    ball, deep, radius = Cutter(6, shape="ball"), 2.0, 3.0
    field = left(Cutting(text=run((10, 15), (30, 15), z=-deep), cutter=ball))
    angle = 2 * math.acos((radius - deep) / radius)
    segment = radius**2 / 2 * (angle - math.sin(angle))
    cap = math.pi * deep**2 * (3 * radius - deep) / 3
    assert field.removed_mm3 == pytest.approx(segment * 20 + cap, rel=0.002)


def test_on_a_slope_the_cutter_leaves_its_lowest_edge():
    # a flat end mill going down a slope clears each place as deep as it is half a cutter further
    text = program("G0 X10 Y15", "G1 Z0", "G1 X30 Z-2")
    field = left(Cutting(text=text, cutter=Cutter(4)))
    x = field.grid.x0 + CELL * np.arange(field.grid.wide)
    row = round((15 - field.grid.y0) / CELL)
    middle = (x > 10) & (x < 27.9)
    slope = -(x + 2 - 10) / 10
    assert np.abs(field.z[row] - slope)[middle].max() <= field.height_error_mm + 0.1 * CELL


def test_a_raised_stretch_leaves_a_tab_shorter_by_the_cutter():
    text = program("G0 X5 Y15", "G1 Z-6", "G1 X15", "G1 Z-4", "G1 X25", "G1 Z-6", "G1 X35")
    field = left(Cutting(text=text, cutter=Cutter(4)))
    row = field.z[round((15 - field.grid.y0) / CELL)]
    standing = (row == np.float32(-4)).sum() * CELL
    # raised for T + D leaves T (elementary); two edges, half a cell each
    assert standing == pytest.approx(10 - 4, abs=CELL)


def test_a_cut_through_leaves_nothing_and_stops_at_the_underside():
    field = left(Cutting(text=run((10, 15), (30, 15), z=-6.3), cutter=Cutter(4)))
    assert field.z.min() == -6
    sweep = 2 * 2 * 20 + math.pi * 4
    assert field.through_mm2 == pytest.approx(sweep, abs=off(40 + 4 * math.pi, 1))


def test_pockets_from_both_sides_meet():
    mirror = (-1.0, 0.0, 0.0, 1.0, 40.0, 0.0)
    below = Cutting(text=run((30, 15), z=-4), cutter=Cutter(6), matrix=mirror, from_below=True)
    above = Cutting(text=run((10, 15), z=-3), cutter=Cutter(4))
    assert left(below).through_mm2 == 0
    field = left(below, above)
    assert field.through_mm2 == pytest.approx(4 * math.pi, abs=off(4 * math.pi, 1))


def test_facing_leaves_no_uncut_speck():
    lines = [((-2, y), (42, y)) if k % 2 else ((42, y), (-2, y)) for k, y in enumerate((2, 7, 12))]
    points = [p for pair in lines for p in pair]
    field = left(Cutting(text=run(*points, z=-0.5), cutter=Cutter(6)), box=(0, 0, 40, 14))
    assert np.unique(field.z).tolist() == [-0.5]
    assert np.isfinite(field.marks_mm).all()


def test_a_rapid_through_the_blank_is_shown_too():
    field = left(Cutting(text=program("G0 X10 Y15", "G0 Z-1", "G0 X30"), cutter=Cutter(4)))
    assert field.removed_mm3 > 80


@settings(max_examples=25, deadline=None)
@given(
    turn=st.floats(0, 360),
    ends=st.tuples(*[st.floats(4, 26)] * 4),
    wide=st.floats(1.0, 5.0),
)
def test_the_view_does_not_change_the_volume(turn, ends, wide):
    cut = Cutting(text=run(ends[:2], ends[2:], z=-1), cutter=Cutter(round(wide, 3)))
    edge = 2 * math.dist(ends[:2], ends[2:]) + math.pi * wide
    area = math.dist(ends[:2], ends[2:]) * wide + math.pi * wide**2 / 4
    field = left(cut, turn_deg=turn, margin_mm=(1.0, 1.0, 1.0, 1.0), cell_mm=0.1)
    assert field.removed_mm3 == pytest.approx(area, abs=off(edge, 1, 0.1) + 0.01)


@settings(max_examples=20, deadline=None)
@given(
    ends=st.lists(st.tuples(st.floats(2, 38), st.floats(2, 28)), min_size=2, max_size=5),
    angle=st.sampled_from([None, 60, 90]),
)
def test_running_a_program_again_takes_nothing_more(ends, angle):
    cutter = Cutter(4) if angle is None else Cutter(4, shape="v", angle=angle)
    cut = Cutting(text=run(*ends, z=-1), cutter=cutter)
    once, twice = left(cut, cell_mm=0.2), left(cut, cut, cell_mm=0.2)
    assert np.array_equal(once.z, twice.z)
    assert once.z.max() <= 0


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"bottom_mm": 0.0}, "is empty"),
        ({"cell_mm": 0.0}, "is empty"),
        ({"cell_mm": 0.001}, "many"),
    ],
)
def test_impossible_grids_are_refused(options, words):
    with pytest.raises(SettingError, match=words):
        left(**options)


def test_every_cutter_leaves_its_own_width():
    """Two slots of length 20, 1 mm deep: 4 mm wide by cutter 1, 2 mm by cutter 2: w L + pi r2."""
    text = "\n".join(
        (
            "G21 G90 G17 G0 X10 Y10 Z5 T1 M6",
            "G1 Z-1 F300",
            "X30",
            "G0 Z5",
            "T2 M6",
            "G0 X10 Y20",
            "G1 Z-1",
            "X30",
            "G0 Z5",
            "M30",
        )
    )
    cutting = Cutting(text=text, cutter=Cutter(9), cutters={1: Cutter(4), 2: Cutter(2)})
    field = carve([cutting], stock_box_mm=(0, 0, 40, 30), top_mm=0.0, bottom_mm=-3.0, cell_mm=0.05)
    volume = (4 * 20 + math.pi * 4) + (2 * 20 + math.pi)
    assert field.removed_mm3 == pytest.approx(volume, rel=0.005), "cells of 0.05 mm"
