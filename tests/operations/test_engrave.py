"""Engraving: the tip on the line, at the depth asked for, in the fewest passes."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.outline import Outline
from outline2path.drawing.single_line import single_line
from outline2path.errors import OutlinePathError, SettingError
from outline2path.operations.engrave import EngraveSettings, engrave
from outline2path.proof.feature import Feature
from outline2path.shop.cutter import Cutter
from tests.operations.replaying import faults, judged
from tests.strategies import regions

T = 0.02
V60 = Cutter(6, shape="v", angle=60)


def planned(outline, cutter=V60, *, top=0.0, bottom=-0.3, **asked):
    told = EngraveSettings(**asked)
    return engrave(outline, cutter, settings=told, top_mm=top, bottom_mm=bottom)


def followed(cuts):
    """Where the tip goes on its last passes, seen from above."""
    last = [contour.cuts[-1].spans[-1].points for contour in cuts.contours]
    return shapely.union_all([shapely.LineString(points[:, :2]) for points in last])


@pytest.mark.parametrize("text", ["Heron 7", "B8%&", "quay"])
def test_every_stroke_is_followed_and_nothing_else(text):
    outline = single_line(text, height=10)
    wanted = shapely.union_all([outline.lines, outline.region.boundary])
    found = followed(planned(outline))
    assert shapely.hausdorff_distance(found, wanted) <= T


@given(regions())
@settings(max_examples=25)
def test_all_edges_of_filled_shapes_are_followed(shape):
    outline = Outline.from_shapely(shape)
    found = followed(planned(outline))
    assert shapely.hausdorff_distance(found, outline.region.boundary) <= T


def test_letters_in_a_font_are_engraved_round_their_edges():
    outline = Outline.from_text("Ab", height="15 mm")
    found = followed(planned(outline))
    assert shapely.hausdorff_distance(found, outline.region.boundary) <= T


@pytest.mark.parametrize(
    ("deep", "per_pass", "count"), [(0.3, 0.5, 1), (0.5, 0.5, 1), (0.6, 0.25, 3), (2.0, 0.5, 4)]
)
def test_passes_are_even_and_no_deeper_than_asked(deep, per_pass, count):
    cuts = planned(
        single_line("L", height=10), bottom=-9, depth_mm=deep, depth_per_pass_mm=per_pass
    )
    depths = [cut.z_mm for cut in cuts.contours[0].cuts]
    assert depths == pytest.approx([-deep * k / count for k in range(1, count + 1)])


def test_an_open_line_is_followed_forth_and_back_without_lifting():
    cuts = planned(single_line("S", height=10), bottom=-1.0).contours[0].cuts
    ends = [cut.spans[-1].points[-1] for cut in cuts]
    begins = [cut.spans[0].points[0] for cut in cuts[1:]]
    assert len(begins) == 1
    assert np.array_equal(ends[0], begins[0])


def test_a_closed_line_is_closed_at_full_depth():
    ring = planned(single_line("O", height=10), bottom=-1.0).contours[0].cuts[-1].spans[-1].points
    length = single_line("O", height=10).region.length
    run = np.hypot(*np.diff(ring[:, :2], axis=0).T).sum()
    assert run == pytest.approx(length + 0.5, abs=0.05)  # chords of two flattenings


def test_lines_that_meet_are_followed_in_one_go():
    outline = Outline.from_shapely(shapely.box(0, 0, 1, 1))
    assert len(planned(outline).contours) == 1
    assert len(planned(single_line("N", height=10)).contours) == 1


# sources.md W7b: a groove of width W is (W/2 - rt) / tan(A/2) deep
@pytest.mark.parametrize(("angle", "deep"), [(60, 2.598076), (90, 1.5), (120, 0.866025)])
def test_the_width_of_the_groove_is_told(angle, deep):
    cuts = planned(single_line("I", height=10), Cutter(6, shape="v", angle=angle), bottom=-deep)
    (found,) = [f for f in cuts.findings if f.code == "groove-width"]
    assert found.value == pytest.approx(3.0, abs=1e-5)  # six digits of depth given


@pytest.mark.parametrize(
    ("cutter", "asked"),
    [
        (Cutter(3, shape="drill"), {}),
        (Cutter(25, shape="facing"), {}),
        (V60, {"depth_mm": 3.0}),
        (V60, {"depth_mm": -1.0}),
        (V60, {"depth_per_pass_mm": 0.0}),
        (V60, {"tolerance_mm": math.nan}),
    ],
)
def test_what_cannot_be_engraved_is_refused(cutter, asked):
    with pytest.raises(SettingError):
        planned(single_line("I", height=10), cutter, **asked)


@given(top=st.floats(-50, 50), deep=st.floats(0.05, 3))
def test_depths_are_measured_from_the_surface(top, deep):
    cuts = planned(single_line("I", height=10), top=top, bottom=top - deep)
    # float noise of a difference of numbers up to 50
    assert cuts.contours[0].cuts[-1].z_mm == pytest.approx(top - deep, abs=1e-9)


def test_a_floor_above_the_surface_is_refused():
    with pytest.raises(OutlinePathError):
        planned(single_line("I", height=10), bottom=0.5)


@pytest.mark.parametrize("cutter", [V60, Cutter(1, shape="ball"), Cutter(1)])
def test_the_written_program_follows_the_lines_and_nothing_else(cutter):
    outline = single_line("Heron 7 & co.", height=12)
    lines = shapely.MultiLineString(
        [
            *outline.lines.geoms,
            *shapely.get_rings(shapely.get_parts(outline.region_within(T / 40))),
        ]
    )
    feature = Feature(kind="line", region_fine=lines, bottom_mm=-0.6)
    cuts = planned(outline, cutter, bottom=-0.6)
    assert faults(judged(cuts, [feature], cutter)) == []
