"""Thin walls of the part: the same question asked of its inside."""

import math

import pytest
import shapely

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.reach.walls import thin_walls, wall_findings
from tests import specimens

WIDTH = 0.002  # see test_narrow_spots


def walls(region, limit):
    return thin_walls(Outline.from_shapely(region), thinner_than_mm=limit)


@pytest.mark.parametrize(
    ("region", "limit", "thickness"),
    [
        (shapely.box(0, 0, 40, 30) - shapely.box(0.6, 2, 38, 28), 1.0, [0.6]),
        (specimens.hourglass(), 8.3, [8.0]),  # W16
        (specimens.ring(), 13, [12.0]),
        (shapely.box(0, 0, 20, 10) - specimens.disc(10, 6, 3.3), 1.0, [0.7]),
        (specimens.comb((3.0, 3.0)), 4.2, [4.0, 4.0, 4.0]),
        (shapely.box(0, 0, 50, 0.8), 1.0, [0.8]),
    ],
    ids=["frame", "waist", "washer", "hole near the edge", "teeth", "strip"],
)
def test_walls_are_as_thin_as_drawn(region, limit, thickness):
    found = [wall.thickness_mm for wall in walls(region, limit)]
    assert found == pytest.approx(thickness, abs=WIDTH)


@pytest.mark.parametrize("name", ["triangle", "pentagram", "square", "wedge"])
def test_points_of_corners_are_no_walls(name):
    assert walls(specimens.ALL[name], 2.0) == ()


@pytest.mark.parametrize("angle", [3, 6, 9])
def test_a_long_spike_is_no_wall(angle):
    half = 40 * math.tan(math.radians(angle / 2))
    assert walls(shapely.Polygon([(0, -half), (40, 0), (0, half)]), 1.0) == ()


def test_thick_parts_have_no_thin_walls():
    assert walls(specimens.square(30), 5.0) == ()
    assert walls(specimens.square(30), 0.0) == ()


@pytest.mark.parametrize("limit", [-1.0, math.nan, math.inf])
def test_a_limit_without_sense_is_refused(limit):
    with pytest.raises(SettingError, match="thickness"):
        walls(specimens.square(30), limit)


def test_findings_carry_place_figure_limit_and_remedy():
    found = walls(shapely.box(0, 0, 40, 30) - shapely.box(0.5, 2, 38, 28), 1.0)
    (finding,) = wall_findings(found)
    assert (finding.code, finding.severity, finding.limit) == ("thin-wall", "warning", 1.0)
    assert finding.value == pytest.approx(0.5, abs=WIDTH)
    assert "2 times" in finding.remedy
    assert finding.at_mm == found[0].at_mm


def test_many_walls_share_one_finding_in_the_end():
    comb = specimens.comb((1.0,) * 30)
    found = walls(comb, 5.0)
    assert len(found) == 31
    assert len(wall_findings(found)) == 21


def test_a_wall_goes_into_the_report_as_place_and_thickness():
    (wall,) = walls(specimens.hourglass(), 8.3)
    assert set(wall.as_dict()) == {"at_mm", "thickness_mm"}
