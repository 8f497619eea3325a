"""Waste that the path cuts off is held like a slug."""

import pytest
import shapely

from outline2path.drawing.outline import Outline
from outline2path.job.job import Job
from outline2path.operations.bays import loose_waste
from outline2path.operations.rings import rings_of
from outline2path.shop.cutter import Cutter
from outline2path.shop.stock import Stock


def jaws(gap: float) -> shapely.Polygon:
    """A plate with a bay of 30 x 24 that opens to the right by a gap: closed once it is cut."""
    bay = shapely.box(10, 8, 40, 32)
    return (
        shapely.box(0, 0, 50, 40)
        .difference(bay)
        .difference(shapely.box(40, 20 - gap / 2, 51, 20 + gap / 2))
    )


def waste_of(region, cutter_mm: float):
    area = shapely.MultiPolygon([region.buffer(cutter_mm / 2)])
    rings = rings_of(area, side="outside", direction="climb")
    return loose_waste(rings, area=area, inside=False, cutter_mm=cutter_mm)


# a gap up to two cutters wide is cut away whole from both sides, and frees the bay
@pytest.mark.parametrize(("gap", "pieces"), [(2.5, 1), (3.9, 1), (4.5, 0), (12.0, 0)])
def test_a_bay_comes_loose_when_its_gap_is_cut_away_whole(gap, pieces):
    assert len(waste_of(jaws(gap), 2.0)) == pieces


def test_a_bay_is_as_large_as_what_the_cutter_leaves_of_it():
    (piece,) = waste_of(jaws(2.5), 2.0)
    assert piece.area == pytest.approx((30 - 4) * (24 - 4), abs=4)  # and less a scallop at the gap


@pytest.mark.parametrize("tabs", [1, 2, 4])
def test_nothing_large_comes_loose_where_tabs_are_asked_for(tabs):
    job = Job(stock=Stock(thickness=5))
    plan = job.profile(Outline.from_shapely(jaws(2.5)), Cutter(2), tabs=tabs).plan()
    in_bay = [t for t in plan.tabs if 9 < t.at_mm[0] < 41 and 7 < t.at_mm[1] < 33]
    assert len(in_bay) == min(tabs, 2)
    assert plan.prove().failed == ()


def test_specks_of_waste_are_let_go():
    plate = shapely.box(0, 0, 40, 40).difference(shapely.Point(20, 20).buffer(6))
    assert waste_of(plate, 3.0) == []
