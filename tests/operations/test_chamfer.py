"""Chamfers by the worked numbers, by exact distances, beside neighbours and in replay."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.outline import Outline
from outline2path.drawing.single_line import single_line
from outline2path.errors import OutlinePathError, RefusedError, SettingError
from outline2path.operations.chamfer import ChamferSettings, chamfer
from outline2path.operations.chamfer_settings import cone_for
from outline2path.proof.feature import Feature
from outline2path.rs274.reader import read_program
from outline2path.shop.cutter import Cutter
from tests import specimens
from tests.operations.replaying import faults, judged, written
from tests.strategies import blobs, plates
from tests.test_promise import track

T = 0.02
MICROMETRE = 0.001
FLOAT = 1e-9  # of sums of a dozen lengths below 1000 mm
V90 = Cutter(6, shape="v", angle=90)


def planned(shape, cutter=V90, *, bottom=-20.0, keep=None, **asked):
    """The cuts of a chamfer, 1 mm wide unless told otherwise."""
    asked = {"width_mm": 1.0, **asked} if "depth_mm" not in asked else asked
    outline = shape if isinstance(shape, Outline) else Outline.from_shapely(shape)
    told = ChamferSettings(**asked)
    return chamfer(outline, cutter, settings=told, top_mm=0.0, bottom_mm=bottom, keep=keep)


def tracks(cuts, *, roles=("lead-in", "cut", "lead-out")):
    """Where the tip's centre goes sideways, as lines seen from above."""
    return [
        shapely.LineString(span.points[:, :2])
        for contour in cuts.contours
        for cut in contour.cuts
        for span in cut.spans
        if span.role in roles
    ]


# W7: w 1, rt 0.1, e 0.5 for 60 / 90 / 120 degrees
@pytest.mark.parametrize(
    ("angle", "deep", "aside", "rim"),
    [
        (60, 1.732051, 0.388675, 1.388675),
        (90, 1.0, 0.6, 1.6),
        (120, 0.57735, 0.966025, 1.966025),
    ],
)
def test_depth_and_offset_agree_with_the_worked_chamfer(angle, deep, aside, rim):
    cutter = Cutter(6, shape="chamfer", angle=angle, tip=0.2)
    told = ChamferSettings(width_mm=1, overrun_mm=0.5)
    cone = cone_for(cutter, told)
    found = (cone.depth_mm, cone.edge_radius_mm, cone.top_radius_mm)
    assert found == pytest.approx((deep, aside, rim), abs=1e-6)  # six decimals given
    cuts = planned(shapely.box(0, 0, 40, 30), cutter, overrun_mm=0.5)
    assert cuts.contours[0].cuts[-1].z_mm == pytest.approx(-deep - 0.5, abs=1e-6)


def test_width_and_depth_ask_for_the_same_cone():
    cutter = Cutter(12, shape="v", angle=60)
    wide = cone_for(cutter, ChamferSettings(width_mm=1.0))
    deep = cone_for(cutter, ChamferSettings(depth_mm=math.sqrt(3)))
    assert deep.top_radius_mm == pytest.approx(wide.top_radius_mm, rel=1e-12)


def widest_and_narrowest(shape, cuts, cutter, asked, *, side="outside"):
    """The chamfer's greatest and least width on straight edges, by exact distances."""
    stands = shape if side == "outside" else shapely.box(-500, -500, 500, 500) - shape
    lines = shapely.union_all(tracks(cuts))
    top = cone_for(cutter, asked).top_radius_mm
    corners = shapely.get_coordinates(shape)
    middles = (corners[1:] + corners[:-1]) / 2
    edge = np.append(corners, middles, axis=0)
    far = shapely.distance(shapely.points(edge), lines).max()
    return top - lines.distance(stands), top - far


@pytest.mark.parametrize("angle", [60, 90, 120])
@pytest.mark.parametrize("tip", [0.0, 0.2])
@pytest.mark.parametrize("overrun", [0.0, 0.5])
@pytest.mark.parametrize("side", ["outside", "inside"])
def test_the_width_is_right_to_the_tolerance_and_never_more(angle, tip, overrun, side):
    cutter = Cutter(12, shape="v", angle=angle, tip=tip)
    asked = ChamferSettings(width_mm=1, overrun_mm=overrun, side=side)
    shape = specimens.disc(3, 4, 15)
    cuts = planned(shape, cutter, overrun_mm=overrun, side=side)
    widest, narrowest = widest_and_narrowest(shape, cuts, cutter, asked, side=side)
    assert 1 - T <= narrowest <= widest <= 1 + FLOAT


@given(shape=plates() | blobs(), width=st.floats(0.1, 2.0), overrun=st.floats(0, 1))
@settings(max_examples=30)
def test_no_point_deeper_in_than_the_width_is_ever_touched(shape, width, overrun):
    try:
        cuts = planned(shape, width_mm=width, overrun_mm=overrun)
    except RefusedError:
        return
    lines = shapely.union_all(tracks(cuts))
    cone = cone_for(V90, ChamferSettings(width_mm=width, overrun_mm=overrun))
    core = shape.buffer(-width - MICROMETRE, quad_segs=256)
    assert core.is_empty or lines.distance(core) >= cone.top_radius_mm - FLOAT
    assert lines.distance(shape) >= cone.edge_radius_mm


def test_passes_go_deeper_on_one_and_the_same_path():
    cuts = planned(shapely.box(0, 0, 40, 30), width_mm=2, depth_per_pass_mm=0.8)
    first, *rest = ([s.points[:, :2] for s in c.spans] for c in cuts.contours[0].cuts)
    assert len(rest) == 2
    for cut in rest:
        assert all(np.array_equal(a, b) for a, b in zip(first, cut, strict=True))
    depths = [cut.z_mm for cut in cuts.contours[0].cuts]
    assert np.diff([0, *depths]) == pytest.approx([-2.3 / 3] * 3)


@pytest.mark.parametrize(("direction", "clockwise"), [("climb", True), ("conventional", False)])
def test_climb_goes_clockwise_round_an_outer_edge(direction, clockwise):
    cuts = planned(shapely.box(0, 0, 40, 30), direction=direction)
    (line,) = tracks(cuts, roles=("cut",))[:1]
    assert shapely.Polygon(line).exterior.is_ccw != clockwise


WASHER = specimens.disc(0, 0, 20) - specimens.disc(0, 0, 8)


@pytest.mark.parametrize(
    ("edges", "radii"), [("all", [7.7, 20.3]), ("outer", [20.3]), ("holes", [7.7])]
)
def test_edges_are_chosen(edges, radii):
    cuts = planned(WASHER, edges=edges)
    middle = shapely.Point(0, 0)
    found = sorted(line.distance(middle) for line in tracks(cuts, roles=("cut",)))
    # 0.3 of overrun at 90 degrees keeps the centre 0.3 and the margin from the wall
    assert found[:: len(found) // len(radii)] == pytest.approx(radii, abs=T)


def test_an_edge_that_is_not_chosen_is_never_touched():
    plate = shapely.box(0, 0, 60, 40) - shapely.box(1.6, 10, 20, 30)
    cuts = planned(plate, width_mm=2, edges="outer")
    hole = shapely.box(1.6, 10, 20, 30).exterior
    assert shapely.union_all(tracks(cuts)).distance(hole) >= 2.3  # 2 wide and 0.3 of overrun
    (found,) = [f for f in cuts.findings if f.code == "chamfer-crowded"]
    assert 9 < found.at_mm[1] < 31
    assert abs(found.at_mm[0]) < 0.5
    assert found.value == pytest.approx(1.9, abs=2 * T)  # wall of 1.6 and 0.3 outside it


def test_what_else_is_kept_is_never_touched():
    neighbour = shapely.box(41.5, 10, 60, 20)
    cuts = planned(shapely.box(0, 0, 40, 30), width_mm=2, keep=neighbour)
    assert shapely.union_all(tracks(cuts)).distance(neighbour) >= 2.3
    assert "chamfer-crowded" in [f.code for f in cuts.findings]


def test_pieces_keep_the_sense_of_the_whole():
    plate = shapely.box(0, 0, 60, 40)
    keep = shapely.union_all([shapely.Point(x, 42).buffer(0.5) for x in (20, 40)])
    cuts = planned(plate, width_mm=2, keep=keep, depth_per_pass_mm=5)
    pieces = tracks(cuts, roles=("cut",))
    assert len(pieces) == 2
    around = shapely.LinearRing([(0, 0), (0, 40), (60, 40), (60, 0)])  # clockwise: climb
    for piece in pieces:
        low, high = (around.project(shapely.Point(piece.coords[k])) for k in (0, 1))
        assert (high - low) % around.length < around.length / 2


def test_edges_of_a_gap_too_narrow_for_the_cone_are_told_with_place_and_length():
    # both sides of a neck 0.5 wide, from the hole of radius 6 to the plate's edge at 15; the cone
    # is 0.6 wide at the wall, and half of its width still reaches in from either end
    cuts = planned(specimens.keyhole(neck=0.5))
    found = [f for f in cuts.findings if f.code == "chamfer-narrow"]
    assert [f.value for f in found] == [0.0, 0.0]
    assert all(6 < f.at_mm[1] < 15 and abs(f.at_mm[0]) == 0.25 for f in found)
    assert sum(float(f.message.split()[0]) for f in found) == pytest.approx(2 * 9, abs=2)


@pytest.mark.parametrize("overrun", [0.3, 1.0])
def test_square_inside_corners_are_not_told_while_most_of_the_width_is_there(overrun):
    # the corner loses (sqrt 2 - 1) of the radius at the wall: sources.md 3.5
    plate = shapely.box(0, 0, 40, 30) - shapely.box(10, 10, 20, 20)
    assert planned(plate, overrun_mm=overrun).findings == ()


@pytest.mark.parametrize("thick", [0.7, 1.5, 1.9])
def test_walls_whose_chamfers_meet_are_told_with_their_thickness(thick):
    plate = shapely.box(0, 0, 40, 30) - specimens.disc(20, 10 + thick, 10)
    (found,) = [f for f in planned(plate).findings if f.code == "chamfer-thin"][:1]
    assert found.value == pytest.approx(thick, abs=0.01)  # a place within a step of the thinnest
    assert found.at_mm == pytest.approx((20, thick / 2), abs=0.5)


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_walls_thick_enough_are_not_told(side):
    holes = shapely.union_all([shapely.box(0, 0, 9, 9), shapely.box(11.2, 0, 20, 9)])
    shape = holes if side == "inside" else shapely.box(-2.2, -2.2, 22.2, 11.2) - holes
    assert planned(shape, side=side).findings == ()


def test_walls_between_openings_are_told():
    holes = shapely.union_all([shapely.box(0, 0, 9, 9), shapely.box(10.5, 0, 20, 9)])
    found = planned(holes, side="inside").findings
    assert {f.code for f in found} == {"chamfer-thin"}
    assert found[0].value == pytest.approx(1.5)


def test_lines_without_area_are_refused():
    with pytest.raises(RefusedError, match="no area with an edge"):
        planned(single_line("L", height=10))


def test_a_job_in_which_no_edge_has_room_is_refused():
    with pytest.raises(RefusedError, match="no edge has room"):
        planned(shapely.box(0, 0, 0.5, 30), side="inside")


@pytest.mark.parametrize(
    ("cutter", "asked", "bottom"),
    [
        (Cutter(6), {}, -20),
        (Cutter(6, shape="drill"), {}, -20),
        (V90, {"width_mm": 2.8}, -20),
        (V90, {}, -1.2),
        (Cutter(30, shape="v", angle=170), {}, -20),
        (V90, {"width_mm": None}, -20),
        (V90, {"depth_mm": 1.0, "width_mm": 1.0}, -20),
        (V90, {"width_mm": -1.0}, -20),
        (V90, {"overrun_mm": math.nan}, -20),
        (V90, {"edges": "some"}, -20),
    ],
)
def test_what_cannot_be_cut_is_refused_in_one_clear_sentence(cutter, asked, bottom):
    with pytest.raises(OutlinePathError) as caught:
        planned(shapely.box(0, 0, 40, 30), cutter, bottom=bottom, **asked)
    assert isinstance(caught.value, SettingError)
    assert 10 < len(str(caught.value)) < 250


@pytest.mark.parametrize(
    ("shape", "side"),
    [
        (WASHER, "outside"),
        (WASHER, "inside"),
        (shapely.box(0, 0, 40, 30), "outside"),
        (specimens.disc(0, 0, 9), "inside"),
    ],
)
@pytest.mark.parametrize("angle", [60, 90])
def test_the_written_program_makes_the_chamfer_and_nothing_else(shape, side, angle):
    cutter = Cutter(8, shape="v", angle=angle, tip=0.2)
    cuts = planned(shape, cutter, side=side, overrun_mm=0.4)
    feature = Feature(
        kind="chamfer",
        region_fine=shape,
        side=side,
        bottom_mm=cuts.contours[0].cuts[-1].z_mm,
        width_mm=1.0,
    )
    assert faults(judged(cuts, [feature], cutter)) == []


@pytest.mark.parametrize(
    "shape", [specimens.disc(0, 0, 12), shapely.box(0, 0, 40, 30), specimens.hourglass()]
)
@pytest.mark.parametrize(("angle", "slope"), [(60, math.tan(math.pi / 6)), (90, 1.0)])
def test_the_written_words_keep_the_width_by_exact_distances(shape, angle, slope):
    """Width at the surface = (depth of the tip) tan(A/2) + tip radius - distance to the edge."""
    cutter = Cutter(8, shape="v", angle=angle, tip=0.2)
    table = read_program(written(planned(shape, cutter, overrun_mm=0.4))).table
    level = (table["start"][:, 2] == table["end"][:, 2]) & (table["end"][:, 2] < 0)
    deepest = level & (table["end"][:, 2] == table["end"][level, 2].min())
    lines = shapely.union_all([shapely.LineString(track(row)) for row in table[deepest]])
    top = 0.1 - slope * table["end"][deepest, 2][0]
    widest = top - lines.distance(shape)
    straight = shapely.points(shapely.get_coordinates(shape)[::8])
    near = 0.1 + 0.4 * slope  # the cone's radius at the wall, which stays out of the waist's notch
    far = shapely.distance(straight, shape.buffer(near, quad_segs=256).boundary)
    reached = far < near + MICROMETRE
    narrowest = top - shapely.distance(straight[reached], lines).max()
    assert 1 - T <= narrowest <= widest <= 1 + MICROMETRE
