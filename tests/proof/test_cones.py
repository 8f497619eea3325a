"""Cones, balls and floors at several heights, against shapely's distances and closed forms."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.proof.body import Body
from outline2path.proof.claims import claims_of
from outline2path.proof.feature import Feature
from outline2path.proof.ground import Ground
from outline2path.proof.judge import judge
from outline2path.proof.sweep import sweep_at
from outline2path.proof.taken import taken
from outline2path.proof.tracks import Pieces
from outline2path.shop.cutter import Cutter
from tests.proof import works
from tests.strategies import numbers

CUTTERS = {
    "V": Cutter(6.0, shape="v", angle=90),
    "V with a flat tip": Cutter(6.0, shape="v", angle=60, tip=0.5),
    "ball": Cutter(3.0, shape="ball"),
    "drill": Cutter(4.0, shape="drill"),
    "flat": Cutter(3.0),
}
POCKET = shapely.box(0, 0, 30, 20)
STEP = shapely.box(10, 5, 20, 15)


def run(*points) -> Pieces:
    xyz = np.array(points, dtype=float)
    return Pieces(xyz[:-1], xyz[1:], np.arange(len(xyz) - 1))


def ground(cutter: Cutter, *features: Feature) -> Ground:
    body = Body(cutter)
    return Ground(claims_of(features, body), [], top_mm=0.0, body=body)


def pocket(region, bottom: float, **more) -> Feature:
    return Feature(kind="pocket", region_fine=region, bottom_mm=bottom, **more)


@pytest.mark.parametrize("name", CUTTERS)
@pytest.mark.parametrize(("z", "x"), [(-1.0, 2.0), (-3.0, 2.0), (-0.4, 0.3)])
def test_a_body_goes_as_deep_into_a_wall_as_it_is_wide_at_the_top(name, z, x):
    """Along a flat wall: the radius at the stock's top, less the distance."""
    cutter = CUTTERS[name]
    found = taken(run((x, 5, z), (x, 15, z)), ground(cutter, pocket(POCKET, -3.0)))
    assert found.gouge.value == pytest.approx(max(cutter.radius_at_mm(-z) - x, 0), abs=1e-9)
    assert found.too_deep.value == 0


@pytest.mark.parametrize("name", CUTTERS)
def test_in_a_step_a_body_is_judged_at_every_floor_it_rises_through(name):
    """The inner pocket's wall ends at z -2, the outer one's at the top."""
    cutter = CUTTERS[name]
    both = ground(cutter, pocket(POCKET, -2.0), pocket(STEP, -5.0, top_mm=-2.0))
    found = taken(run((10.4, 10, -5), (10.4, 12, -5)), both)
    inner = cutter.radius_at_mm(3.0) - 0.4
    assert found.gouge.value == pytest.approx(max(inner, 0), abs=1e-9)
    assert found.too_deep.value == 0


HEIGHT = st.integers(-40, -1).map(lambda z: z / 10)


@given(
    st.sampled_from(sorted(CUTTERS)),
    st.tuples(numbers(1, 29), numbers(1, 19), HEIGHT),
    st.tuples(numbers(1, 29), numbers(1, 19), HEIGHT),
)
@settings(max_examples=60, deadline=None)
def test_a_slope_goes_as_deep_as_its_worst_point(name, a, b):
    """Independent: shapely's distance to the wall at a thousand points of the slope."""
    cutter = CUTTERS[name]
    found = taken(run(a, b), ground(cutter, pocket(POCKET, -4.0)))
    at = np.linspace(a, b, 1001)
    wall = shapely.distance(POCKET.exterior, shapely.points(at[:, :2]))
    wide = np.array([cutter.radius_at_mm(float(-z)) for z in at[:, 2]])
    expected = max(float((wide - wall).max()), 0.0)
    # the points lie up to 0.034 mm apart; a slope is divided into steps 0.0003 mm high
    assert expected - 0.001 <= found.gouge.value <= expected + 0.035
    if expected == 0:
        assert found.gouge.value <= 0.001


@given(numbers(-3.9, -0.1), numbers(0.2, 2.8))
@settings(max_examples=40, deadline=None)
def test_the_ground_a_cone_sweeps_is_as_wide_as_the_cone_there(z, height):
    cutter = CUTTERS["V"]
    swept = sweep_at(z + height, [(run((0, 0, z), (9, 0, z)), Body(cutter))])
    spots = np.array([[4.0, 2.0], [12.0, 4.0], [0.0, 0.0]])
    line = shapely.LineString([(0, 0), (9, 0)])
    expected = shapely.distance(line, shapely.points(spots)) - cutter.radius_at_mm(height)
    assert swept.short(spots) == pytest.approx(expected, abs=1e-9)


@given(numbers(-3.9, -0.1), numbers(-3.9, -0.1))
@settings(max_examples=40, deadline=None)
def test_of_a_slope_no_more_counts_as_swept_than_was(a, b):
    body = Body(CUTTERS["V"])
    swept = sweep_at(0.0, [(run((0, 0, a), (9, 0, b)), body)])
    x = np.linspace(0, 9, 19)
    wide = body.radius_at(-(a + (b - a) * x / 9))
    rim = np.column_stack([x, wide])
    assert swept.short(rim).min() >= -1e-9 - abs(b - a) / 2
    assert (swept.short(np.column_stack([x, wide * 1.5 + 0.01])) > 0).all()


# Floors beside one another.


@pytest.mark.parametrize("gap", [0.0, 1e-7, 0.0005])
@pytest.mark.parametrize("depths", [(-2.0, -2.0), (-2.0, -3.0)])
def test_a_cut_from_one_pocket_into_the_next_meets_no_wall_at_their_seam(gap, depths):
    """Drawn edges that should coincide may lie a little apart."""
    left, right = shapely.box(0, 0, 10, 20), shapely.box(10 + gap, 0, 30, 20)
    both = ground(CUTTERS["flat"], pocket(left, depths[0]), pocket(right, depths[1]))
    through = taken(run((4, 10, -2), (25, 10, -2)), both)
    assert (through.gouge.value, through.too_deep.value) == (0.0, 0.0)


def test_a_cut_at_the_deeper_floor_is_too_deep_in_the_other_pocket():
    left, right = shapely.box(0, 0, 10, 20), shapely.box(10, 0, 30, 20)
    both = ground(CUTTERS["flat"], pocket(left, -2.0), pocket(right, -3.0))
    found = taken(run((25, 10, -3), (8, 10, -3)), both)
    assert found.too_deep.value == pytest.approx(1.0, abs=1e-9)
    assert found.gouge.value == 0


def test_two_parts_on_one_blank_protect_each_other():
    """Around each part is waste, but not where the other stands."""
    parts = [shapely.box(0, 0, 20, 20), shapely.box(30, 0, 50, 20)]
    deep = [
        Feature(kind="profile", region_fine=p, bottom_mm=-b)
        for p, b in zip(parts, (4, 6), strict=True)
    ]
    both = ground(CUTTERS["flat"], *deep)
    assert taken(run((21.6, 0, -4), (28.4, 20, -4)), both).gouge.value == 0
    for x, z in ((21.0, -6.0), (21.0, -4.0), (29.0, -4.0)):
        found = taken(run((x, 0, z), (x, 20, z)), both)
        assert found.gouge.value == pytest.approx(0.5, abs=1e-9)


FLOORS = {-2.0: works.WELL, -3.0: works.TANK, -4.0: works.SUMP}


def stands(z: float) -> shapely.Geometry:
    """Independent: the plate less every pocket whose floor is at or below a height."""
    gone = [region for floor, region in FLOORS.items() if floor <= z]
    bored = shapely.Point(36, 33).buffer(2.5, quad_segs=64)
    return works.PLATE.difference(shapely.union_all([*gone, bored]))


@given(st.integers(0, 10**6), numbers(-0.6, 0.6), numbers(-0.6, 0.6))
@settings(max_examples=15, deadline=None)
def test_in_a_plate_with_many_floors_a_gouge_is_what_shapelys_distances_say(pick, dx, dy):
    """One corner is moved; at each level the path is held against what stands there."""
    body = list(works.base().body)
    corners = [n for n, line in enumerate(body) if line.startswith("G1 X")]
    n = corners[pick % len(corners)]
    x, y = (float(word[1:]) for word in body[n].split()[1:3])
    body[n] = f"G1 X{x + dx:.4f} Y{y + dy:.4f} F600"
    z, at, runs = 0.0, (0.0, 0.0), {}
    for line in body:
        words = {w[0]: float(w[1:]) for w in line.split("(")[0].split() if w[0] in "XYZ"}
        z, to = words.get("Z", z), (words.get("X", at[0]), words.get("Y", at[1]))
        runs.setdefault(z, []).append((at, to))
        at = to
    left = [
        shapely.distance(shapely.MultiLineString(r), stands(z)) for z, r in runs.items() if z < 0
    ]
    worst = max(0.0, works.FLAT.radius_mm - min(left))
    work = replace(works.base(), body=tuple(body))
    proof = judge(work.text, work.expected)
    assert proof.gouge_mm == pytest.approx(worst, abs=0.0002), "0.05 um of thinning, and noise"
