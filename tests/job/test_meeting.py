"""Hollows cut from both sides: told where they meet, and nowhere else."""

import pytest
import shapely

import outline2path as o2p

CUTTER = o2p.Cutter("6 mm")
LEFT, RIGHT, FAR = (o2p.Outline.from_shapely(shapely.box(x, 30, x + 30, 60)) for x in (20, 40, 90))


def meeting(first, second, *, depths, about="y", faced=0.0):
    """Cut one pocket from each side of a blank of 18 mm; return what is told of their meeting."""
    job = o2p.Job(stock=o2p.Stock("140 x 100 x 18 mm"), zero="stock-corner", placed="as-drawn")
    if faced:
        job.face(o2p.Cutter("12 mm"), depth=faced)
    job.pocket(first, CUTTER, depth=depths[0])
    job.turn_over(about=about).pocket(second, CUTTER, depth=depths[1])
    plan = job.plan()
    return [finding for finding in plan.findings if finding.code == "sides-meet"], plan


@pytest.mark.parametrize(
    ("second", "depths", "deeper_mm"),
    [
        (RIGHT, (10, 12), 4.0),
        (LEFT, (9, 9.5), 0.5),
        (RIGHT, (9, 8.9), None),  # a floor of a tenth of a millimetre stays
        (FAR, (10, 12), None),  # side by side
    ],
)
def test_pockets_of_both_sides_are_told_where_they_meet(second, depths, deeper_mm):
    found, _ = meeting(LEFT, second, depths=depths)
    assert [-finding.value for finding in found] == (
        [pytest.approx(deeper_mm)] if deeper_mm else []
    )


@pytest.mark.parametrize(("about", "x", "y"), [("y", 95, 45), ("x", 45, 55)])
def test_the_place_is_in_the_coordinates_of_the_side_that_lies_up(about, x, y):
    (finding,), plan = meeting(LEFT, RIGHT, depths=(10, 12), about=about)
    assert finding.at_mm == pytest.approx((x, y), abs=5.01)  # inside the 10 mm they share
    assert finding in plan.programs[-1].findings
    assert finding not in plan.programs[0].findings


def test_facing_counts_as_depth_lost():
    """9 + 8.5 mm leave 0.5 mm of 18; with 1 mm faced off first they meet by 0.5 mm."""
    assert not meeting(LEFT, RIGHT, depths=(9, 8.5))[0]
    (finding,), _ = meeting(LEFT, RIGHT, depths=(9, 8.5), faced=1)
    assert finding.value == pytest.approx(-0.5)


def test_pockets_of_one_side_and_holes_meant_to_go_through_do_not_meet():
    job = o2p.Job(stock=o2p.Stock("140 x 100 x 18 mm"), zero="stock-corner", placed="as-drawn")
    job.pocket(LEFT, CUTTER, depth=12).pocket(RIGHT, CUTTER, depth=12)
    job.turn_over(about="y").drill([(35, 45)], o2p.Cutter("4 mm", shape="drill"))
    assert not [f for f in job.plan().findings if f.code == "sides-meet"]
