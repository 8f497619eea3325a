"""Steps of one program that do the same thing are told, and drawn, as one."""

import pytest
import shapely

import outline2path as o2p

TAG = o2p.Outline.from_shapely(shapely.box(0, 0, 40, 20))
NOTCHED = o2p.Outline.from_shapely(
    shapely.box(0, 0, 40, 20).difference(shapely.box(19.5, 10, 20.5, 20))
)
THIN = o2p.Cutter("2 mm")


def planned(*outlines, **options):
    """One profile step for each outline; return their single program."""
    job = o2p.Job(stock=o2p.Stock("200 x 100 x 3 mm"), zero="stock-corner", placed="as-drawn")
    for outline in outlines:
        job.profile(outline, THIN, tabs=2, **options)
    return job.plan().only


def test_a_program_shows_all_parts_it_cuts():
    parts = [TAG.move(10, 10), TAG.move(60, 10), TAG.move(10, 50)]
    program = planned(*parts)
    assert program.placement.outline.region.equals(shapely.union_all([p.region for p in parts]))
    assert "3 regions" in program.summary()
    assert f"{program.draw().facts}".count("3 contours") == 1


def test_a_single_outline_stays_as_drawn():
    path = o2p.Outline.from_path("M10 10H50V30H10Z")
    assert planned(path).placement.outline.figures == path.figures


def test_spots_too_narrow_are_told_for_each_part():
    """A slit of 1 mm, 10 mm deep, in each of two tags: a 2 mm cutter enters neither."""
    program = planned(NOTCHED.move(10, 10), NOTCHED.move(60, 10))
    places = [spot.at_mm for spot in program.reach.spots]
    assert sorted(x > 55 for x, _ in places) == [False, True]
    assert program.reach.unreached_area_mm2 == pytest.approx(20, rel=0.01)
    assert program.reach.largest_cutter_mm == pytest.approx(1, abs=0.01)


def test_openings_are_not_shown_as_parts():
    job = o2p.Job(stock=o2p.Stock("200 x 100 x 3 mm"), zero="stock-corner", placed="as-drawn")
    job.profile(TAG.move(10, 10), THIN, tabs=2)
    job.profile(o2p.Outline.from_shapely(shapely.box(20, 15, 30, 25)), THIN, side="inside")
    assert job.plan().only.placement.outline.region.area == pytest.approx(800)


def test_engraved_lines_without_area_show_the_first():
    job = o2p.Job(stock=o2p.Stock("200 x 100 x 3 mm"), zero="stock-corner", placed="as-drawn")
    for place in (20, 60):
        job.engrave(o2p.single_line("L", height=9).move(place, 20), o2p.Cutter(1), depth=0.3)
    assert job.plan().only.placement.outline.bounds_mm[0] == pytest.approx(20)
