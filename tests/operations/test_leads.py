from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.operations.leads import chord_angles, find_lead
from outline2path.operations.rings import rings_of
from outline2path.tolerance import Budget
from tests import specimens
from tests.operations.laws import cuts_of, planned
from tests.strategies import cutter_diameters, numbers, regions, sheets


@pytest.mark.parametrize(
    ("radius", "within", "chords"),
    [(10, 0.01, 71), (10, 0.001, 223), (1, 0.01, 23), (100, 0.01, 223), (3.175, 0.005, 56)],
)
def test_a_circle_takes_the_chords_the_sagitta_formula_says(radius, within, chords):
    assert len(chord_angles(radius, 2 * math.pi, within)) - 1 == chords  # sources W8


@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize("direction", ["climb", "conventional"])
def test_an_arc_lead_is_a_quarter_circle_tangent_to_the_ring(side, direction):
    plan = planned(specimens.square(50), 4.0, side=side, direction=direction)
    for cut in cuts_of(plan):
        lead, ring = (next(s.points for s in cut.spans if s.role == r) for r in ("lead-in", "cut"))
        size = shapely.LineString(lead[:, :2]).length
        assert size == pytest.approx(2 * math.pi / 2, rel=1e-3)  # chords of a quarter of radius 2
        ahead = ring[1, :2] - ring[0, :2]
        tangent = lead[-1, :2] - lead[-2, :2]
        cosine = np.dot(ahead, tangent) / np.linalg.norm(ahead) / np.linalg.norm(tangent)
        assert math.degrees(math.acos(min(1.0, cosine))) < 5  # half a chord
        assert abs(np.dot(lead[0, :2] - lead[-1, :2], ahead / np.linalg.norm(ahead))) == (
            pytest.approx(2.0)
        )


def test_the_ends_of_an_arcs_chords_lie_on_its_circle():
    cut = cuts_of(planned(specimens.square(50), 4.0))[0]
    lead = next(s.points for s in cut.spans if s.role == "lead-in")[:, :2]
    ahead = cut.spans[2].points[1, :2] - cut.spans[2].points[0, :2]
    left = np.array([-ahead[1], ahead[0]]) / np.hypot(*ahead)
    centre = lead[-1] + 2.0 * left
    assert np.hypot(*(lead - centre).T) == pytest.approx(2.0)


@settings(max_examples=40, deadline=None)
@given(
    st.one_of(regions(), sheets()),
    cutter_diameters(),
    st.sampled_from(["outside", "inside"]),
    st.sampled_from(["arc", "line"]),
    numbers(0.3, 8),
)
def test_leads_come_from_the_waste_side_and_stay_out_of_the_way(region, cutter, side, lead, size):
    """The area the cutter's centre may not enter is what the rings of all cuts bound."""
    part = region if side == "outside" else shapely.box(-99, -99, 250, 150).difference(region)
    plan = planned(part, cutter, lead=lead, lead_mm=size, entry="helix")
    keep = part.buffer(cutter / 2, quad_segs=64)
    for cut in cuts_of(plan):
        for span in cut.spans:
            if span.role in ("lead-in", "lead-out", "ramp"):
                line = shapely.LineString(span.points[:, :2])
                assert line.distance(part) >= cutter / 2
                assert not shapely.Point(span.points[0, :2]).within(keep)


@pytest.mark.parametrize(
    ("hole", "kind", "size"),
    [(9.0, "arc", 2.0), (3.7, "arc", 1.0), (2.6, "arc", 0.5), (2.05, "none", 0.0)],
)
def test_a_lead_shrinks_with_its_hole_and_gives_up_last(hole, kind, size):
    plate = specimens.square(40).difference(specimens.disc(20, 20, hole))
    area = shapely.MultiPolygon([plate.buffer(2.0, quad_segs=256)])
    ring = rings_of(area, side="outside", direction="climb")[1]
    lead = find_lead(ring, kind="arc", size_mm=2.0, cutter_mm=4.0, chords_mm=0.001, forbidden=area)
    assert (lead.kind, lead.size_mm) == (kind, size)


def test_a_ring_is_begun_on_a_straight_place_away_from_corners():
    area = shapely.MultiPolygon([specimens.pentagram(30)])
    (ring,) = rings_of(area, side="outside", direction="climb")
    lead = find_lead(ring, kind="arc", size_mm=1.5, cutter_mm=3.0, chords_mm=0.001, forbidden=area)
    corners = shapely.MultiPoint(ring.loop.points)
    assert corners.distance(shapely.Point(ring.loop.at(lead.start_mm))) > 6


def test_leads_without_room_are_told_once_for_all_rings():
    plate = specimens.square(60)
    for x in (15, 30, 45):
        plate = plate.difference(specimens.disc(x, 30, 1.56))
    found = [f for f in planned(plate, 3.0).findings if f.code == "lead-replaced"]
    assert sum(int(f.value) for f in found) == 3
    assert all(f.severity == "info" for f in found)


def test_no_lead_means_the_ring_alone():
    for cut in cuts_of(planned(specimens.square(50), lead="none")):
        assert [s.role for s in cut.spans] == ["plunge", "cut"]


def test_chords_of_leads_keep_to_their_share_of_the_budget():
    t = chord_angles(2.0, math.pi / 2, Budget().chords_mm)
    assert 2.0 * (1 - math.cos((t[1] - t[0]) / 2)) <= Budget().chords_mm
