"""Remedies must work: the cutter that would fit does fit, the scale that would do does."""

import pytest
import shapely

from outline2path.drawing.outline import Outline
from outline2path.reach.remedies import cutter_for_loss, fitting_cutter, fitting_scale
from outline2path.reach.spots import narrow_spots
from tests import specimens

SLOTTED = Outline.from_shapely(shapely.box(0, 0, 40, 30) - shapely.box(10, 10, 12.137, 30))


def codes(reach):
    return [f.code for f in reach.findings]


def test_the_cutter_that_would_fit_fits():
    spot = narrow_spots(SLOTTED, 3.0).spots[0]
    assert "narrow-gap" not in codes(narrow_spots(SLOTTED, fitting_cutter(spot.gap_mm)))


@pytest.mark.parametrize("allowance", [0.0, 0.2, -0.1])
def test_at_the_scale_that_would_fit_the_cutter_fits(allowance):
    gap = narrow_spots(SLOTTED, 3.0, allowance_mm=allowance).spots[0].gap_mm
    scale = fitting_scale(gap, 3.0, allowance_mm=allowance)
    larger = narrow_spots(SLOTTED.scale(scale), 3.0, allowance_mm=allowance)
    assert "narrow-gap" not in codes(larger)
    smaller = narrow_spots(SLOTTED.scale(scale - 0.01), 3.0, allowance_mm=allowance)
    assert "narrow-gap" in codes(smaller)


def test_no_scale_helps_a_gap_of_nothing():
    assert fitting_scale(0.0, 3.0) is None


@pytest.mark.parametrize("angle", [60, 90, 120])
def test_the_smaller_cutter_loses_no_more_than_accepted(angle):
    notch = Outline.from_shapely(specimens.wedge_notch(angle))
    lost = narrow_spots(notch, 6.0).spots[0].lost_depth_mm
    smaller = cutter_for_loss(lost, 6.0, accepted_mm=0.1)
    (corner,) = narrow_spots(notch, smaller).spots
    assert 0.09 < corner.lost_depth_mm <= 0.1 + 0.001


@pytest.mark.parametrize(
    ("region", "cutter", "side", "expected"),
    [
        (shapely.box(0, 0, 9, 9) - shapely.box(2, 2, 4, 4), 3.0, "outside", "unreachable-hole"),
        (specimens.two_discs(), 4.0, "outside", "narrow-gap"),
        (specimens.hourglass(), 8.2, "inside", "sharp-waist"),
        (specimens.wedge_notch(90), 3.0, "outside", "rounded-corner"),
        (specimens.square(2), 3.0, "inside", "nothing-reachable"),
        (specimens.keyhole(3.0), 3.0, "outside", "tight-gap"),
    ],
    ids=["hole", "gap", "waist", "corner", "nothing", "tight"],
)
def test_each_kind_has_its_finding_with_a_remedy(region, cutter, side, expected):
    reach = narrow_spots(Outline.from_shapely(region), cutter, side=side)
    finding = next(f for f in reach.findings if f.code == expected)
    assert finding.remedy
    assert finding.severity == {
        "nothing-reachable": "error",
        "sharp-waist": "info",
        "rounded-corner": "info",
    }.get(expected, "warning")


def test_openings_of_which_one_is_reached_are_no_error():
    pair = shapely.MultiPolygon([shapely.box(0, 0, 2, 2), shapely.box(9, 0, 20, 9)])
    found = codes(narrow_spots(Outline.from_shapely(pair), 3.0, side="inside"))
    assert "unreachable-hole" in found
    assert "nothing-reachable" not in found


def test_an_allowance_that_eats_the_opening_leaves_nothing_to_reach():
    reach = narrow_spots(
        Outline.from_shapely(specimens.square(2)), 1.0, side="inside", allowance_mm=1.5
    )
    assert codes(reach) == ["nothing-reachable"]
    assert reach.unreached_area_mm2 == pytest.approx(4.0)


def test_errors_come_before_warnings_and_warnings_before_hints():
    plate = specimens.comb() - shapely.box(1, 1, 2, 2)
    severities = [f.severity for f in narrow_spots(Outline.from_shapely(plate), 3.0).findings]
    assert severities == sorted(severities, key=["error", "warning", "info"].index)


def test_many_gaps_share_one_finding_in_the_end():
    reach = narrow_spots(Outline.from_shapely(specimens.comb((1.0,) * 30)), 3.0)
    assert codes(reach).count("narrow-gap") == 21
    assert "10 more" in reach.findings[20].message
