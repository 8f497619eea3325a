"""Does it squeeze by, and by how much: cutter, board, stock and travel upright; and clamps."""

import pytest
import shapely

import outline2path as o2p
from outline2path.job.heights import height_findings, margins_mm
from outline2path.shop.holding import Clamp, Holding

PLATE = o2p.Outline.from_shapely(shapely.box(0, 0, 40, 30))
STOCK = o2p.Stock("100 x 90 x 20 mm")


def bench(*, under="75 mm", travel="300 x 200 x 60 mm", **more):
    machine = o2p.Machine(travel=travel, under_collet=under)
    return o2p.Job(stock=STOCK, machine=machine, **more).bench


@pytest.mark.parametrize(
    ("under", "stick_out", "board", "above", "below"),
    [
        # 75 over the bed - 20 of cutter = 55; board 9 + stock 20 + clearance 5 = 34
        ("75 mm", 20, 9, 21, 13.7),
        ("75 mm", 20, 0, 30, 4.7),
        ("75 mm", 41, 9, 0, 34.7),
        ("75 mm", 42, 9, -1, 35.7),
        ("100 mm", 20, 0, 55, -20.3),
    ],
)
def test_margins_are_those_of_a_tape_measure(under, stick_out, board, above, below):
    cutter = o2p.Cutter(3, stick_out=stick_out)
    found = margins_mm(cutter, bench(under=under, waste_board=board), deepest_mm=-20.3)
    assert found == pytest.approx((above, below), abs=1e-9)


@pytest.mark.parametrize("zero_z", ["top", "bottom"])
def test_where_z_zero_lies_changes_no_margin(zero_z):
    deepest = -0.3 if zero_z == "bottom" else -20.3
    found = margins_mm(o2p.Cutter(3, stick_out=20), bench(zero_z=zero_z), deepest_mm=deepest)
    assert found == pytest.approx((30, 4.7))


@pytest.mark.parametrize(
    ("stick_out", "under", "code"),
    [(20, "75 mm", "height"), (55, "75 mm", "no-height"), (20, "120 mm", "no-reach")],
)
def test_what_does_not_squeeze_by_is_an_error_with_its_figure(stick_out, under, code):
    found = height_findings(o2p.Cutter(3, stick_out=stick_out), bench(under=under), deepest_mm=-6)
    assert [f.code for f in found] == [code]
    assert f"{abs(found[0].value):.2f} mm" in found[0].message


def test_without_stick_out_or_height_nothing_is_claimed():
    assert height_findings(o2p.Cutter(3), bench(), deepest_mm=-6) == ()
    assert (
        margins_mm(o2p.Cutter(3, stick_out=20), o2p.Job(stock=STOCK).bench, deepest_mm=-6) is None
    )


def test_a_job_that_does_not_squeeze_by_is_not_written():
    machine = o2p.Machine(under_collet="40 mm")
    job = o2p.Job(stock=STOCK, machine=machine).profile(PLATE, o2p.Cutter(3, stick_out=20), tabs=4)
    assert not job.plan().is_sound


@pytest.mark.parametrize(("x", "verdict"), [(0, "pass"), (60, "fail")])
def test_nothing_may_enter_a_clamp(x, verdict):
    """The plate lies from x 30 to 70 on its stock; clamps are measured from the stock's corner."""
    held = Holding("clamps", clamps=[Clamp(at=(x, 30), size=(20, 20), height=45)])
    job = o2p.Job(stock=STOCK, holding=held)
    assert job.profile(PLATE, o2p.Cutter(3), tabs=4).plan().prove().verdict == verdict


def test_a_cut_below_the_waste_board_fails():
    job = o2p.Job(stock=STOCK, waste_board=2).profile(PLATE, o2p.Cutter(3), through=3, tabs=4)
    assert "waste board" in {check.name for check in job.plan().prove().failed}


def test_glued_down_parts_need_no_tabs():
    job = o2p.Job(stock=STOCK, holding=Holding("tape and glue")).profile(PLATE, o2p.Cutter(3))
    assert "no-tabs" not in {finding.code for finding in job.plan().findings}
