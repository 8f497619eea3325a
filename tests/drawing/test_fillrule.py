"""Fill rules: the exact area of any rings."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from outline2path.drawing import fillrule
from outline2path.drawing.faces import winding_numbers
from outline2path.drawing.fillrule import filled_area, filled_areas, sound_area
from outline2path.drawing.loops import loops_of, rings_table
from outline2path.drawing.outline import Outline
from outline2path.errors import DrawingError
from tests.strategies import numbers, polygons


def ring(*points):
    return np.array(points, dtype=float)


def square(x, y, a, *, clockwise=False):
    corners = [(x, y), (x + a, y), (x + a, y + a), (x, y + a)]
    return ring(*(corners[::-1] if clockwise else corners))


PENTAGRAM = ring(*[(math.cos(math.pi / 2 + 4 * math.pi * k / 5),
                    math.sin(math.pi / 2 + 4 * math.pi * k / 5)) for k in range(5)])  # fmt: skip
INNER = 0.381966011250105
PENTAGON = 2.5 * INNER**2 * math.sin(2 * math.pi / 5)

# (rings, nonzero area, evenodd area): SVG 2 section 13.4 and elementary geometry;
# the pentagram of circumradius 1 has area 1.122570 (sources.md section 4), its core is a
# pentagon of circumradius 0.381966.
AREAS = [
    ([square(0, 0, 10), square(3, 3, 4)], 100, 84),
    ([square(0, 0, 10), square(3, 3, 4, clockwise=True)], 84, 84),
    ([square(0, 0, 10), square(3, 3, 4), square(4, 4, 2)], 100, 88),
    ([square(0, 0, 10), square(3, 3, 4, clockwise=True), square(4, 4, 2)], 88, 88),
    ([square(0, 0, 2), square(1, 1, 2)], 7, 6),
    ([square(0, 0, 2), square(1, 1, 2, clockwise=True)], 6, 6),
    ([square(0, 0, 2), square(0, 0, 2)], 4, 0),
    ([square(0, 0, 2), square(0, 0, 2, clockwise=True)], 0, 0),
    ([square(0, 0, 2), square(2, 0, 2)], 8, 8),
    ([PENTAGRAM], 1.1225699414489634, 1.1225699414489634 - PENTAGON),
    ([ring((0, 0), (2, 2), (2, 0), (0, 2))], 2, 2),
    ([ring((0, 0), (4, 0), (4, 2), (6, 2), (4, 2), (4, 4), (0, 4))], 16, 16),
    ([ring((0, 0), (5, 0), (0, 0))], 0, 0),
    ([ring((1, 1), (1, 1), (1, 1), (1, 1))], 0, 0),
    ([], 0, 0),
    ([np.concatenate([square(0, 0, 3), square(0, 0, 3)])], 9, 0),
]


@pytest.mark.parametrize(("rings", "nonzero", "evenodd"), AREAS)
def test_rings_fill_the_area_the_rule_says(rings, nonzero, evenodd):
    areas = [filled_area(rings, rule) for rule in ("nonzero", "evenodd")]
    assert [a.area for a in areas] == pytest.approx([nonzero, evenodd], abs=1e-12)
    assert all(a.is_valid for a in areas)


@pytest.mark.parametrize(
    ("rings", "sound"),
    [
        ([square(0, 0, 9), square(3, 3, 3)], True),
        ([square(0, 0, 2), square(1, 1, 2)], False),
        ([PENTAGRAM], False),
        ([square(0, 0, 2), square(0, 0, 2)], False),
    ],
)
def test_rings_that_meet_are_told(rings, sound):
    _, crossed = filled_areas(rings_table(rings), ["nonzero"])
    assert (not crossed) is sound
    assert (sound_area(rings, "nonzero") is not None) is sound


@given(st.lists(polygons(), min_size=1, max_size=4), st.sampled_from(["nonzero", "evenodd"]))
def test_the_area_agrees_with_set_operations(parts, rule):
    """Rings of one direction: the nonzero area is the union, the evenodd one the exclusive or."""
    parts = [shapely.affinity.translate(p, 7 * k, 3 * k) for k, p in enumerate(parts)]
    parts = [shapely.orient_polygons(p) for p in parts]
    wanted = parts[0]
    for part in parts[1:]:
        wanted = wanted.union(part) if rule == "nonzero" else wanted.symmetric_difference(part)
    ours = filled_area([shapely.get_coordinates(p) for p in parts], rule)
    assert ours.symmetric_difference(wanted).area < 1e-6  # square mm, of thousands


@given(st.lists(st.tuples(numbers(0, 50), numbers(0, 50)), min_size=3, max_size=12))
def test_any_scribble_gives_valid_area_with_the_winding_it_should_have(points):
    scribble = ring(*points)
    area = filled_area([scribble], "nonzero")
    assert area.is_valid
    grid = np.random.default_rng(1).uniform(-1, 51, (200, 2))
    closed = np.concatenate([scribble, scribble[:1]])
    winding = winding_numbers(np.hstack([closed[:-1], closed[1:]]), grid)
    inside = shapely.contains_xy(area, *grid.T)
    near = shapely.distance(shapely.LineString(closed), shapely.points(grid)) < 1e-6
    assert (inside == (winding != 0))[~near].all()


def test_a_sliver_thinner_than_rounding_is_no_reason_to_fail():
    """Two arcs of one circle, there and back: faces so thin that rounding makes them overlap."""
    sliver = Outline.from_path(
        "M36 8a28 28 0 0 1 4.69 .4 28 28 0 0 0-4.69-.4z m-.1-.1a28 28 0 0 0-20 48V60h40z"
    )
    assert sliver.region.is_valid
    assert sliver.region.area > 100


def test_a_tangle_is_refused_at_once():
    tangle = np.random.default_rng(2).uniform(0, 100, (3000, 2))
    with pytest.raises(DrawingError, match="crosses itself about"):
        filled_area([tangle], "nonzero")


rings_about = st.lists(
    st.tuples(numbers(0, 30), numbers(0, 30), numbers(0.5, 12), st.booleans()),
    min_size=1,
    max_size=7,
).map(lambda parts: [square(x, y, a, clockwise=c) for x, y, a, c in parts])


@given(rings_about, st.sampled_from(["nonzero", "evenodd"]))
def test_a_tree_of_rings_gives_the_area_that_every_pair_gives(rings, rule):
    every = sound_area(rings, rule)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(fillrule, "_MANY", 0)
        by_tree = sound_area(rings, rule)
    assert (every is None) == (by_tree is None)
    assert every is None or every.equals(by_tree)


@given(st.lists(rings_about, min_size=1, max_size=4), st.sampled_from(["nonzero", "evenodd"]))
def test_the_figures_of_a_drawing_are_filled_each_for_itself(figures, rule):
    owner = np.arange(len(figures)).repeat([len(rings) for rings in figures])
    every = [r for rings in figures for r in rings]
    loops = loops_of(np.concatenate(every), np.cumsum([0, *map(len, every)]), owner)
    areas, crossed = filled_areas(loops, [rule] * len(figures))
    for k, rings in enumerate(figures):
        assert areas[k].equals(filled_area(rings, rule))
        assert (k in crossed) == (sound_area(rings, rule) is None)


@pytest.mark.parametrize("signs", ["+++++", "-----", "+-+-+", "++--+", "+----", "-++-+", "+-+++"])
def test_rings_in_rings_make_shells_and_holes_by_their_windings(signs):
    """Five nested squares; walls between them are filled where the sum of signs is not zero."""
    rings = [square(k, k, 20 - 2 * k, clockwise=s == "-") for k, s in enumerate(signs)]
    size = [(20 - 2 * k) ** 2 for k in range(5)] + [0]
    sums = np.cumsum([1 if s == "+" else -1 for s in signs])
    walls = [size[k] - size[k + 1] for k in range(5)]
    wanted = sum(wall for wall, total in zip(walls, sums, strict=True) if total)
    area = filled_area(rings, "nonzero")
    assert area.area == wanted
    assert filled_area(rings, "evenodd").area == sum(walls[::2])
    assert area.is_valid
