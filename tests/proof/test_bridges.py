"""Tabs on bends: where a wall has a tip or a hollow corner, judged by elementary geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from outline2path.proof.expected import Expected, ExpectedTab
from outline2path.proof.judge import judge
from tests.proof.programs import BOTTOM, CLEAR, HEAD, TAIL, THROUGH, TOP, ring_pass

CUTTER = 3.0
AWAY = CUTTER / 2 + 0.005
"""From part to path: the tolerance's margin beyond the radius."""
TAB = ExpectedTab(at_mm=(0.0, 0.0), length_mm=5.0, height_mm=1.0)


def ring_of(part: shapely.Polygon) -> np.ndarray:
    """Clockwise round the outside, beginning far from every place used here."""
    ring = shapely.get_coordinates(part.buffer(AWAY, quad_segs=64).exterior)[:-1]
    if shapely.LinearRing(ring).is_ccw:
        ring = ring[::-1]
    begin = int(np.argmin(ring[:, 1]))
    return np.vstack((ring[begin:], ring[: begin + 1]))


def checked(part: shapely.Polygon, span: tuple[float, float], at: tuple[float, float]):
    """The word on one tab, raised over a stretch of the ring, and that on what is left."""
    tab = ExpectedTab(at_mm=at, length_mm=TAB.length_mm, height_mm=TAB.height_mm)
    expected = Expected(
        region_fine=part,
        side="outside",
        cutter_mm=CUTTER,
        top_mm=TOP,
        bottom_mm=BOTTOM,
        through_mm=THROUGH,
        clearance_mm=CLEAR,
        tabs=(tab,),
    )
    ring = ring_of(part)
    lines = [*HEAD, f"G0 X{ring[0, 0]:.4f} Y{ring[0, 1]:.4f}"]
    for z in (-2.15, BOTTOM - THROUGH):
        lines += ring_pass(ring, z, spans=[span], raised=BOTTOM + tab.height_mm)
    proof = judge("\n".join([*lines, *TAIL]) + "\n", expected)
    return {check.name: check for check in proof.checks}


def along(part: shapely.Polygon, place: tuple[float, float]) -> float:
    """Distance along the ring of its point nearest to a place."""
    return shapely.LineString(ring_of(part)).project(shapely.Point(place))


@pytest.mark.parametrize("off", [-1.2, -0.6, 0.0, 0.6, 1.2])
def test_round_a_tip_every_place_of_the_path_is_beside_the_tab(off):
    """The path round a sharp tip is an arc about it: all of it is as far from the tip."""
    spear = shapely.Polygon([(-15, -40), (15, -40), (0, 0)])
    middle = along(spear, (0.0, AWAY)) + off
    half = (TAB.length_mm + CUTTER) / 2
    found = checked(spear, (middle - half, middle + half), (0.0, 0.0))
    assert found["tabs"].ok, found["tabs"].detail


@pytest.mark.parametrize("off", [4.0, 6.0])
def test_a_tab_that_lies_down_the_side_of_a_tip_is_off_its_place(off):
    """The arc is (pi - 41 degrees) AWAY long; beyond it the path leaves the tip."""
    spear = shapely.Polygon([(-15, -40), (15, -40), (0, 0)])
    arc = (math.pi - 2 * math.atan(15 / 40)) * AWAY
    middle = along(spear, (0.0, AWAY)) + arc / 2 + off
    half = (TAB.length_mm + CUTTER) / 2
    found = checked(spear, (middle - half, middle + half), (0.0, 0.0))
    assert not found["tabs"].ok
    assert "off its place" in found["tabs"].detail or "cut away" in found["tabs"].detail


ANGLE = shapely.Polygon([(-40, -40), (0, -40), (0, 0), (40, 0), (40, 20), (-40, 20)])
"""A hollow corner at the origin: the path comes in along y -AWAY and leaves along x AWAY."""


@pytest.mark.parametrize("before", [0.4, 0.8, 1.1])
def test_beyond_a_hollow_corner_a_low_path_may_not_come_back_to_the_tab(before):
    """Pythagoras: from an end that far before the corner, the far leg is a radius away at
    sqrt(r^2 - before^2) beyond it; a straight tab's stretch ends nearer."""
    corner = along(ANGLE, (AWAY, -AWAY))
    middle = corner - before - TAB.length_mm / 2
    at = (AWAY + before + TAB.length_mm / 2, 0.0)
    leg = math.sqrt((CUTTER / 2) ** 2 - before**2)
    half = TAB.length_mm / 2
    wide = checked(ANGLE, (middle - half - CUTTER / 2, corner + leg), at)
    plain = checked(ANGLE, (middle - half - CUTTER / 2, middle + half + CUTTER / 2), at)
    assert wide["tabs"].ok, wide["tabs"].detail
    assert wide["leftover"].ok, wide["leftover"].detail
    gap = math.hypot(before, CUTTER / 2 - before)
    assert plain["tabs"].ok == (gap > 0.9 * CUTTER / 2 - 0.05)


def test_what_stays_beyond_the_raised_path_is_not_the_tabs():
    """A path raised far beyond a corner leaves an edge that no tab accounts for."""
    corner = along(ANGLE, (AWAY, -AWAY))
    middle = corner - 1.0 - TAB.length_mm / 2
    half = TAB.length_mm / 2 + CUTTER / 2
    at = (AWAY + 1.0 + TAB.length_mm / 2, 0.0)
    assert not checked(ANGLE, (middle - half, middle + half + 6.0), at)["leftover"].ok
