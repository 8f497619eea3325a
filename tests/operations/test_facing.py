"""Facing, replayed with plain shapely: the whole region swept at every depth."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.operations.cut import Cuts
from outline2path.operations.facing import FaceSettings, face
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import DEFAULT_TOLERANCE_MM
from tests import specimens, strategies
from tests.operations.swept import cuts_of, speck_width, swept

PATTERNS = ("zigzag", "one-way", "spiral-in")
PLATE = shapely.box(0, 0, 100, 60)


def planned(region: shapely.Geometry, cutter_mm: float = 6.0, **options: object) -> Cuts:
    """Plan facing from z 0 to -1."""
    return face(
        Outline.from_shapely(region),
        Cutter(cutter_mm),
        settings=FaceSettings(**{"depth_per_pass_mm": 1.0, **options}),
        top_mm=0.0,
        bottom_mm=-1.0,
    )


def lines_of(plan: Cuts) -> np.ndarray:
    """Heights of all long level strokes along x."""
    paths = [s.points for cut in cuts_of(plan) for s in cut.spans if s.role == "cut"]
    strokes = np.concatenate([np.stack((p[:-1], p[1:]), axis=1) for p in paths])
    flat = np.abs(strokes[:, 0, 1] - strokes[:, 1, 1]) < 1e-9
    return np.unique(np.round(strokes[flat, 0, 1], 9))


@pytest.mark.parametrize("pattern", ["zigzag", "one-way"])
def test_the_number_of_lines_is_that_of_the_source(pattern):
    """sources W15: width 60, cutter 6, stepover 2.4 make 24 passes from edge to edge."""
    plan = planned(PLATE, stepover=0.4, overlap_mm=0.0, pattern=pattern)
    heights = lines_of(plan)
    assert len(heights) == 24
    assert (heights[0], heights[-1]) == (3.0, 57.0)
    assert np.diff(heights).max() <= 2.4


@settings(max_examples=40)
@given(
    region=strategies.regions(),
    cutter_mm=st.sampled_from([3.0, 6.0, 20.0]),
    pattern=st.sampled_from(PATTERNS),
    stepover=st.sampled_from([0.3, 0.5, 0.7, 0.98]),
    overlap_mm=st.sampled_from([0.0, 1.0]),
    along=st.sampled_from(["auto", "x", "y"]),
)
def test_any_region_is_swept_whole(region, cutter_mm, pattern, stepover, overlap_mm, along):
    plan = planned(
        region,
        cutter_mm,
        pattern=pattern,
        stepover=stepover,
        overlap_mm=overlap_mm,
        along=along,
    )
    left = region.difference(swept(plan, cutter_mm / 2, -1.0))
    assert speck_width(left) <= DEFAULT_TOLERANCE_MM


@pytest.mark.parametrize("pattern", PATTERNS)
def test_every_depth_is_swept_and_the_last_is_the_one_asked(pattern):
    plan = planned(PLATE, pattern=pattern, depth_per_pass_mm=0.4, stepover=0.6)
    depths = sorted({cut.z_mm for cut in cuts_of(plan)}, reverse=True)
    assert depths == pytest.approx([-1 / 3, -2 / 3, -1.0])
    for z in depths:
        assert speck_width(PLATE.difference(swept(plan, 3.0, z))) <= DEFAULT_TOLERANCE_MM


@pytest.mark.parametrize("pattern", PATTERNS)
def test_the_sweep_reaches_beyond_the_edges_by_the_overlap(pattern):
    plan = planned(PLATE, pattern=pattern, overlap_mm=2.0)
    x0, y0, x1, y1 = swept(plan, 3.0, -1.0).bounds
    slack = 2 * DEFAULT_TOLERANCE_MM  # rings lie a tolerance inside, capsules are chords
    assert x0 <= -2 + slack
    assert y0 <= -2 + slack
    assert x1 >= 102 - slack
    assert y1 >= 62 - slack


@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("region", [PLATE, specimens.disc(0, 0, 30)], ids=["plate", "disc"])
def test_the_cutter_comes_down_beside_the_region(pattern, region):
    for cut in cuts_of(planned(region, pattern=pattern)):
        assert cut.spans[0].role == "plunge"
        assert region.distance(shapely.Point(cut.spans[0].points[0, :2])) >= 3.0


def test_a_plate_is_faced_to_and_fro_without_a_lift():
    assert len(cuts_of(planned(PLATE))) == 1


def test_rings_are_faced_without_a_lift():
    assert len(cuts_of(planned(PLATE, pattern="spiral-in"))) == 1


def test_one_way_lines_all_run_the_same_way_and_lift_in_between():
    plan = planned(PLATE, pattern="one-way")
    ways = [np.sign(np.diff(cut.spans[-1].points[:, 0])[0]) for cut in cuts_of(plan)]
    assert len(ways) == len(lines_of(plan))
    assert set(ways) == {-1.0}  # uncut stock at higher y, on the right of a cutter going left


def test_conventional_lines_run_the_other_way():
    (first, *_) = cuts_of(planned(PLATE, pattern="one-way", direction="conventional"))
    assert np.diff(first.spans[-1].points[:, 0])[0] > 0


@pytest.mark.parametrize(("direction", "left"), [("climb", False), ("conventional", True)])
def test_rings_from_outside_in_keep_the_stock_on_the_side_asked(direction, left):
    (cut,) = cuts_of(planned(PLATE, pattern="spiral-in", direction=direction))
    outer = shapely.LinearRing(cut.spans[-1].points[:5, :2])
    assert outer.is_ccw == left


def test_lines_run_along_the_longer_side_unless_told():
    assert len(lines_of(planned(PLATE, overlap_mm=0.0))) == 24
    wide = planned(PLATE, along="y", overlap_mm=0.0, pattern="one-way")
    assert len(cuts_of(wide)) == 41  # ceil((100 - 6) / 2.4) + 1


def test_a_gap_wider_than_the_cutter_is_not_cut_across():
    pads = shapely.MultiPolygon([shapely.box(0, 0, 20, 20), shapely.box(40, 0, 60, 20)])
    plan = planned(pads)
    assert len(cuts_of(plan)) == 2
    assert swept(plan, 3.0, -1.0).intersection(shapely.box(32.5, 0, 35, 20)).is_empty


def test_a_strip_narrower_than_the_cutter_takes_one_line():
    strip = shapely.box(0, 0, 50, 4)
    plan = planned(strip, overlap_mm=0.0)
    assert lines_of(plan).tolist() == [2.0]
    assert speck_width(strip.difference(swept(plan, 3.0, -1.0))) <= DEFAULT_TOLERANCE_MM


@pytest.mark.parametrize(
    ("options", "word"),
    [
        ({"pattern": "circles"}, "pattern"),
        ({"stepover": 1.0}, "stepover"),
        ({"overlap_mm": -1.0}, "overlap"),
        ({"along": "z"}, "along"),
    ],
)
def test_impossible_settings_are_refused_by_name(options, word):
    with pytest.raises(SettingError, match=word):
        FaceSettings(**options)
