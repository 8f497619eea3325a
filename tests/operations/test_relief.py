"""A square mate seats in a relieved corner, and the notch bites no more than it must.

Figures: sources.md 3.5 and W6b (elementary geometry): a dog-bone in a square corner bites
0.292893 r into each wall, 0.464968 mm for r = 1.5875; the rim reaches 0.657564 mm farther.
"""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.operations.relief import relieve
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import Budget
from tests.strategies import numbers

T = 0.02
FINE = 256  # chords to a quarter turn: sagitta under 0.03 um for every cutter used here
CUTTER = Cutter("1/8 in")
SLOT = shapely.box(0, 0, 30, 10)


def cleared(opening, cutter):
    """What a cutter takes out that is kept off the walls by the planner's whole margin."""
    centres = opening.buffer(-(cutter.radius_mm + Budget(T).margin_mm), quad_segs=FINE)
    return centres.buffer(cutter.radius_mm, quad_segs=FINE)


def corner(angle_deg: float, turn: float = 0.0) -> shapely.Polygon:
    """An opening with one corner of that angle at the origin, 40 mm deep."""
    angles = np.radians(turn + np.array([0, angle_deg / 2, angle_deg]))
    ends = 40 * np.column_stack((np.cos(angles), np.sin(angles)))
    return shapely.Polygon([(0, 0), *ends.tolist()])


@pytest.mark.parametrize("style", ["dog-bone", "t-bone"])
@pytest.mark.parametrize("into", ["shorter", "longer"])
def test_a_square_mate_seats_in_a_relieved_slot(style, into):
    opening = relieve(Outline.from_shapely(SLOT), CUTTER, style=style, into=into, side="inside")
    mate = SLOT.buffer(-T, join_style="mitre")
    assert mate.difference(cleared(opening.region, CUTTER)).area == 0


def test_without_relief_the_mate_does_not_seat():
    mate = SLOT.buffer(-T, join_style="mitre")
    assert mate.difference(cleared(SLOT, CUTTER)).area > 1


def test_a_dog_bone_reaches_the_very_corner():
    opening = relieve(Outline.from_shapely(SLOT), CUTTER, side="inside").region
    reached = cleared(opening, CUTTER)
    corners = shapely.points([(0, 0), (30, 0), (30, 10), (0, 10)])
    assert shapely.contains_properly(reached, corners).all()


@pytest.mark.parametrize("diameter", [1.0, 3.175, 6.35])
def test_a_dog_bone_bites_each_wall_by_the_published_share(diameter):
    wide = shapely.box(0, 0, 60, 40)
    opening = relieve(Outline.from_shapely(wide), Cutter(diameter), side="inside").region
    bite = -np.array(opening.bounds[:2])
    least = (1 - math.sqrt(0.5)) * diameter / 2
    assert (bite >= least).all()
    assert (bite <= least + 3 * T).all()


def test_the_worked_dog_bone_of_an_eighth_inch_cutter():
    """W6b: 0.464968 mm sideways; the area within T of it is all that is taken from the wood."""
    notches = relieve(Outline.from_shapely(SLOT), CUTTER, side="inside").region.difference(SLOT)
    bite = -notches.bounds[1]
    assert 0.464968 <= bite <= 0.464968 + 3 * T
    assert len(notches.geoms) == 4 * 1


@pytest.mark.parametrize(("into", "bitten"), [("shorter", 0), ("longer", 1)])
def test_a_t_bone_bites_one_wall_by_a_radius_and_the_other_not_at_all(into, bitten):
    outline = Outline.from_shapely(SLOT)
    opening = relieve(outline, CUTTER, style="t-bone", into=into, side="inside").region
    bite = -np.array(opening.bounds[:2])
    assert bite[bitten] == pytest.approx(CUTTER.radius_mm, abs=2 * T)
    assert bite[1 - bitten] == 0


@settings(max_examples=30)
@given(numbers(25, 134), numbers(0, 360), numbers(1, 6.35))
def test_a_dog_bone_takes_no_more_than_the_cutter_going_to_the_point(angle, turn, diameter):
    """Law: the notch lies within T of the cutter's sweep along the bisector to the point."""
    opening, cutter = corner(angle, turn), Cutter(diameter)
    notched = relieve(
        Outline.from_shapely(opening), cutter, side="inside", widest=angle + 0.01
    ).region
    half = math.radians(turn + angle / 2)
    away = np.array([math.cos(half), math.sin(half)])
    r = diameter / 2
    sweep = shapely.LineString([r * away, 3 * r / math.sin(math.radians(angle / 2)) * away])
    near = shapely.Point(0, 0).buffer(1.5 * r)
    taken = notched.difference(opening).intersection(near)
    allowed = shapely.union(sweep.buffer(r, quad_segs=FINE), opening).buffer(3 * T)
    assert taken.difference(allowed).area == 0
    assert cleared(notched, cutter).distance(shapely.Point(0, 0)) == 0


def test_a_part_is_relieved_in_its_holes_and_notches_only():
    """The outer corners of a part are convex; those of a hole and a notch are not."""
    part = shapely.box(0, 0, 80, 50).difference(SLOT.union(shapely.box(40, 20, 60, 51)))
    part = part.difference(shapely.box(10, 20, 30, 40))
    made = relieve(Outline.from_shapely(part), CUTTER).region
    notches = part.difference(made)
    places = sorted((round(p.centroid.x), round(p.centroid.y)) for p in notches.geoms)
    assert len(places) == 4 + 2 + 1
    assert made.bounds == part.bounds


def test_a_smooth_outline_stays_as_it_is():
    disc = Outline.from_shapely(shapely.Point(0, 0).buffer(20, quad_segs=32))
    assert relieve(disc, CUTTER, side="inside") is disc


def test_a_slot_too_narrow_for_the_cutter_is_told_of():
    outline = Outline.from_shapely(shapely.box(0, 0, 30, 3))
    made = relieve(outline, CUTTER, side="inside")
    assert [f.code for f in made.findings] == ["corner-not-relieved"] * 4
    assert made.region.equals(outline.region)


def test_a_notch_that_would_break_through_is_an_error_with_its_place():
    part = shapely.box(0, 0, 40, 30).difference(shapely.box(0.3, 5, 20, 25))
    with pytest.raises(SettingError, match="break through") as caught:
        relieve(Outline.from_shapely(part), CUTTER)
    assert caught.value.at_mm[0] < 2


@pytest.mark.parametrize(
    "options",
    [
        {"style": "round"},
        {"side": "on"},
        {"into": "both"},
        {"tolerance": 5},
    ],
)
def test_an_unknown_choice_is_refused(options):
    with pytest.raises(SettingError):
        relieve(Outline.from_shapely(SLOT), CUTTER, **options)


def test_only_a_flat_cutter_relieves():
    with pytest.raises(SettingError, match="shape"):
        relieve(Outline.from_shapely(SLOT), Cutter(6, shape="v", angle=60))
