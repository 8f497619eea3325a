"""What a replay takes away, against shapely's buffers, closed forms and a naive height field."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from outline2path.proof.body import Body
from outline2path.proof.replay import replay
from outline2path.proof.sweep import sweep_at
from outline2path.rs274.reader import read_program
from outline2path.shop.cutter import Cutter
from tests.strategies import numbers

HEAD = "G21 G17 G90 G94\nM3 S9000\nG0 X0 Y0 Z5\n"
FLAT = Cutter(3.0)
MICROMETRE = 0.001
SQUARE = 0.5


def swept(body: str, cutter: Cutter, z: float):
    run = replay(read_program(f"{HEAD}{body}\nG0 Z5\nM30"), top_mm=0.0)
    return sweep_at(z, [(run.feeds, Body(cutter))])


POINT = st.tuples(st.integers(-300, 300), st.integers(-300, 300)).map(
    lambda p: (p[0] / 16, p[1] / 16)
)


@st.composite
def programs(draw):
    """Straight cuts and half circles in any order at one depth, and their lines by school."""
    at, words, lines = (0.0, 0.0), ["G1 Z-1 F300"], []
    for to in draw(st.lists(POINT, min_size=1, max_size=8)):
        way = draw(st.sampled_from((1, 2, 3)))
        if to == at:
            continue
        if way == 1:
            words.append(f"G1 X{to[0]} Y{to[1]}")
            lines.append(shapely.LineString([at, to]))
        else:
            i, j = (to[0] - at[0]) / 2, (to[1] - at[1]) / 2
            words.append(f"G{way} X{to[0]} Y{to[1]} I{i} J{j}")
            a = np.arctan2(-j, -i) + np.linspace(0, np.pi, 361) * (1 if way == 3 else -1)
            r = np.hypot(i, j)
            lines.append(
                shapely.LineString(
                    np.column_stack([at[0] + i + r * np.cos(a), at[1] + j + r * np.sin(a)])
                )
            )
        at = to
    return "\n".join(words), lines


def _stretches(region) -> np.ndarray:
    """The edges of a region, one by one."""
    rings = [shapely.get_coordinates(r) for r in shapely.get_rings(region)]
    return shapely.linestrings(np.concatenate([np.stack([r[:-1], r[1:]], axis=1) for r in rings]))


@given(programs())
@settings(max_examples=15, deadline=None)
def test_the_ground_taken_is_shapelys_buffer_of_the_path_within_a_micrometre(program):
    """Hausdorff's distance, both ways, from every corner and points between.

    Chords of shapely's round ends (r 1.5, 64 to a quarter) lie 0.11 micrometre inside, those of
    the half circles (r up to 27, 360 of them) 0.26, and the replay's own 0.1.
    """
    text, lines = program
    assume(lines)
    taken = swept(text, FLAT, -1.0)
    buffered = shapely.union_all(shapely.buffer(np.array(lines), 1.5, quad_segs=64))
    rim = shapely.get_coordinates(shapely.segmentize(buffered.boundary, 0.5))
    assert np.abs(taken.short(rim)).max() <= MICROMETRE
    ground = taken.ground(within_mm=0.00001, quad_segs=64)
    edge = shapely.points(shapely.get_coordinates(shapely.segmentize(ground.boundary, 0.5)))
    tree = shapely.STRtree(_stretches(buffered))
    far = tree.query_nearest(edge, return_distance=True, all_matches=False)[1]
    assert far.max() <= MICROMETRE


@given(programs(), st.lists(POINT, min_size=1, max_size=30))
@settings(max_examples=15, deadline=None)
def test_how_far_any_point_is_from_the_ground_taken_is_shapelys_distance(program, points):
    text, lines = program
    assume(lines)
    true = shapely.distance(shapely.MultiLineString(lines), shapely.points(points)) - 1.5
    assert swept(text, FLAT, -1.0).short(np.array(points)) == pytest.approx(true, abs=MICROMETRE)


# Volumes: areas at many heights, added up (Simpson's rule), against school geometry.


def volume(body: str, cutter: Cutter, deep: float, steps: int = 20) -> float:
    z = np.linspace(-deep, 0, 2 * steps + 1)
    areas = [
        s.ground(within_mm=0.00001, quad_segs=128).area if (s := swept(body, cutter, h)).parts
        else 0.0
        for h in z
    ]  # fmt: skip
    weight = np.tile([2.0, 4.0], steps + 1)[: 2 * steps + 1]
    weight[[0, -1]] = 1
    return float((np.array(areas) * weight).sum() * deep / (6 * steps))


@pytest.mark.parametrize(("length", "deep"), [(0.5, 1.0), (20.0, 2.0), (50.0, 0.762)])
def test_a_slot_is_a_capsule_times_its_depth(length, deep):
    """(2 r L + pi r^2) h: a disc's sweep along a straight line."""
    body = f"G1 Z-{deep} F300\nG1 X{length}"
    expected = (2 * 1.5 * length + np.pi * 1.5**2) * deep
    # round ends of 512 chords lack (2 pi / 512)^2 / 6 of their area
    assert volume(body, FLAT, deep, steps=2) == pytest.approx(expected, rel=3e-5)


@pytest.mark.parametrize("turns", [1, 2])
def test_a_ring_is_its_length_times_the_width(turns):
    """2 r P along a closed smooth curve with no bend tighter than r: Pappus."""
    body = "G1 X8 F300\nG1 Z-2\n" + "\n".join(["G3 X8 Y0 I-8 J0"] * turns)
    ring = 2 * 1.5 * 2 * np.pi * 8

    assert volume(body, FLAT, 2.0, steps=2) == pytest.approx(2 * ring, rel=1e-5)


def test_around_a_square_the_corners_are_counted_once():
    """8 a r + (pi - 4) r^2, a 10, r 2: 156.566371 by the closed form."""
    body = "G1 Z-1 F300\nG1 X10\nG1 Y10\nG1 X0\nG1 Y0"
    assert volume(body, Cutter(4.0), 1.0, steps=2) == pytest.approx(156.566371, rel=1e-5)


def test_a_helix_ends_as_a_bore():
    body = "G1 X1 F300\nG1 Z0\nG3 X1 Y0 Z-1 I-1 J0\nG3 X1 Y0 I-1 J0"
    taken = swept(body, FLAT, -1.0)
    area = taken.ground(within_mm=0.00001, quad_segs=256).area
    assert area == pytest.approx(np.pi * 2.5**2, rel=1e-4)


@pytest.mark.parametrize("deep", [0.5, 1.5, 2.9])
def test_a_cone_plunged_takes_a_cone(deep):
    """pi h^3 / 3 for a right angle; Simpson's rule is exact for squares of the height."""
    cone = Cutter(6.0, shape="v", angle=90)
    assert volume(f"G1 Z-{deep} F300", cone, deep) == pytest.approx(np.pi * deep**3 / 3, rel=1e-3)


def test_a_cone_drawn_along_takes_a_prism_and_a_cone():
    cone, deep, length = Cutter(6.0, shape="v", angle=90), 2.0, 15.0
    expected = deep**2 * length + np.pi * deep**3 / 3
    assert volume(f"G1 Z-{deep} F300\nG1 X{length}", cone, deep) == pytest.approx(
        expected, rel=1e-3
    )


@pytest.mark.parametrize("deep", [0.4, 1.0, 1.5])
def test_a_ball_plunged_takes_a_cap(deep):
    """pi h^2 (3 r - h) / 3, a sphere's cap."""
    expected = np.pi * deep**2 * (3 * 1.5 - deep) / 3
    assert volume(f"G1 Z-{deep} F300", Cutter(3.0, shape="ball"), deep) == pytest.approx(
        expected, rel=1e-3
    )


def test_a_drill_takes_a_cylinder_and_its_point():
    drill, deep = Cutter(4.0, shape="drill"), 5.0
    point = 2.0 / np.tan(np.radians(59))
    expected = np.pi * 4 * (deep - point) + np.pi * 4 * point / 3
    # the rim where cone and cylinder meet lies between two heights of the rule
    assert volume(f"G1 Z-{deep} F300", drill, deep) == pytest.approx(expected, rel=5e-3)


# A naive height field: every cell lowered by every place of the cutter.

STEP = 0.05

CUTTERS = {
    "flat": FLAT,
    "ball": Cutter(3.0, shape="ball"),
    "V": Cutter(6.0, shape="v", angle=90),
    "drill": Cutter(4.0, shape="drill"),
    "blunt": Cutter(6.0, shape="chamfer", angle=60, tip=0.4),
}
DEEP = st.integers(1, 20).map(lambda z: -z / 10)


def field(points: np.ndarray, cutter: Cutter, cells: np.ndarray) -> np.ndarray:
    """Height left at cells, of three heights, by places close together along the path."""
    ground = np.ones(len(cells))
    for a, b in pairwise(points):
        count = int(np.hypot(*(b - a)[:2]) / STEP) + 2
        for x, y, z in np.linspace(a, b, count):
            away = np.hypot(cells[:, 0] - x, cells[:, 1] - y)
            for height in (0.0, -z / 2, -z):
                inside = away <= cutter.radius_at_mm(height)
                ground[inside] = np.minimum(ground[inside], z + height)
    return ground


@given(
    st.sampled_from(sorted(CUTTERS)),
    st.lists(st.tuples(numbers(-3, 3), numbers(-3, 3)), min_size=1, max_size=3),
    DEEP,
)
@settings(max_examples=10, deadline=None)
def test_a_naive_height_field_agrees_at_every_cell(name, points, deep):
    """Where the field says cut at a height, the sweep does, but for a cell's breadth at rims."""
    cutter = CUTTERS[name]
    xy = [f"G1 X{x:.4f} Y{y:.4f}" for x, y in points]
    body = "\n".join([f"G1 Z{deep} F300", *xy])
    path = np.array([(0.0, 0.0, deep), *((round(x, 4), round(y, 4), deep) for x, y in points)])
    side = np.arange(-6, 6.01, SQUARE)
    cells = np.array([(x, y) for x in side for y in side])
    left = field(path, cutter, cells)
    for z in (deep, deep / 2, 0.0):
        if cutter.radius_at_mm(z - deep) == 0:
            continue  # a point takes no ground
        short = swept(body, cutter, z).short(cells) if deep <= z else np.full(len(cells), np.inf)
        gone = left <= z + MICROMETRE
        sure = np.abs(short) > 0.005  # a step's sagitta: 0.05 ** 2 / (8 x 0.2) = 0.0016 mm
        assert (gone == (short <= 0))[sure].all()
