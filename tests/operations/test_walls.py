"""Finishing passes along walls: depths, leads, and where the cutter stays down."""

from __future__ import annotations

import itertools

import numpy as np
import shapely

from outline2path.operations.cut import Cut
from outline2path.operations.walls import finish_walls
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import GOUGE_LIMIT_MM, Budget
from tests import specimens

DEPTHS = (-1.0, -2.0)


def finished(part: shapely.Polygon, cleared: list[shapely.Polygon]) -> list[Cut]:
    return finish_walls(
        part,
        cleared,
        at=None,
        depths=DEPTHS,
        top_mm=0.0,
        cutter=Cutter(3),
        direction="climb",
        budget=Budget(),
    )


def rings_cut(cut: Cut) -> int:
    return sum(span.role == "cut" for span in cut.spans)


def test_all_walls_are_cut_at_each_depth_before_the_next():
    part = specimens.ring()
    cuts = finished(part, [part.buffer(-0.2)])
    assert [(cut.z_mm, rings_cut(cut)) for cut in cuts] == [(-1.0, 2), (-2.0, 2)]


def test_every_move_stays_in_the_area():
    part = specimens.ALL["hourglass hole"]
    for cut in finished(part, [part.buffer(-0.2)]):
        for span in cut.spans[1:]:
            line = shapely.LineString(span.points[:, :2])
            assert line.difference(part.buffer(GOUGE_LIMIT_MM)).is_empty


def test_spans_join_end_to_end_from_depth_to_depth():
    part = specimens.ring()
    cuts = finished(part, [part.buffer(-0.2)])
    spans = [span for cut in cuts for span in cut.spans]
    for before, after in itertools.pairwise(spans):
        assert np.allclose(before.points[-1, :2], after.points[0, :2], atol=1e-5, rtol=0)


def test_walls_in_separate_clearings_are_reached_by_a_lift():
    part = shapely.union_all(
        [shapely.box(0, 0, 9, 9), shapely.box(8, 4, 31, 4.2), shapely.box(30, 0, 39, 9)]
    )
    part = part.difference(shapely.box(4, 4, 5, 5)).difference(shapely.box(34, 4, 35, 5))
    halves = [shapely.box(0.2, 0.2, 8.8, 8.8), shapely.box(30.2, 0.2, 38.8, 8.8)]
    cleared = [half.difference(part.boundary.buffer(0.2)) for half in halves]
    cuts = finished(part, cleared)
    assert [cut.z_mm for cut in cuts] in (
        [-1.0, -2.0] * 2,  # the outer wall shares a clearing with an island
        [-1.0, -2.0] * 3,
    )


def test_in_ground_nothing_has_cleared_each_pass_goes_down_from_the_one_before():
    cuts = finished(shapely.box(0, 0, 20, 0.5), [])
    heights = [cut.spans[0].points[:, 2].tolist() for cut in cuts]
    assert heights == [[0.0, -1.0], [-1.0, -2.0]]
