"""From the mate's measured thickness to the written program: the mate goes in.

The programs are replayed with shapely's buffers alone, as in `tests.test_promise`; nothing of the
planner or of the judge is used to measure them.
"""

from pathlib import Path

import pytest
import shapely

import outline2path as o2p
from outline2path.job.toml import read_job
from outline2path.operations.fit import fit_slots, slot
from outline2path.operations.gauge import cutting_width, fit_gauge
from outline2path.operations.relief import relieve
from tests.test_promise import swept

JOBS = sorted((Path(__file__).parents[2] / "demo_art").rglob("*.toml"))
THICKNESS, CLEARANCE = 5.8, 0.1
CUTTER = o2p.Cutter("1/8 in")
STOCK = o2p.Stock("120 x 80 x 6 mm")


def opened(outline, *, tolerance=0.02, side="inside", cut_by_mm=CUTTER.diameter_mm):
    """What a program for this outline takes away at the bottom of the stock."""
    job = o2p.Job(stock=STOCK, placed="as-drawn", zero="stock-corner", tolerance=tolerance)
    text = job.profile(outline, CUTTER, side=side).plan().program.text
    return swept(text, at_z=-5.9, cutter_mm=cut_by_mm)


def width(removed, x, y) -> float:
    """Width in y of what was taken away at a place."""
    probe = shapely.LineString([(x, y - 10), (x, y + 10)])
    return probe.intersection(removed).length


def test_a_slot_is_as_wide_as_asked_to_five_micrometres():
    """With a tolerance of 0.005 mm no more than that is left on the two walls together."""
    made = opened(slot(24, THICKNESS, CLEARANCE).move(60, 40), tolerance=0.005)
    ring = shapely.union(made, shapely.box(55, 39, 65, 41))  # the core comes out in one piece
    wanted = THICKNESS + CLEARANCE
    assert wanted - 0.005 <= width(ring, 60, 40) <= wanted


@pytest.mark.parametrize("style", ["dog-bone", "t-bone"])
def test_a_square_tenon_goes_into_a_relieved_mortise(style):
    mortise = slot(24, THICKNESS, CLEARANCE).move(60, 40)
    tenon = shapely.box(48, 40 - THICKNESS / 2, 72, 40 + THICKNESS / 2)
    core = shapely.box(52, 39, 68, 41)
    made = opened(relieve(mortise, CUTTER, style=style, side="inside")).union(core)
    assert tenon.difference(made).area == 0
    assert tenon.difference(opened(mortise).union(core)).area > 0.1


def test_a_notch_drawn_for_another_thickness_takes_the_mate():
    comb = shapely.box(20, 20, 100, 60).difference(shapely.box(57, 40, 63, 61))
    made = fit_slots(
        o2p.Outline.from_shapely(comb), drawn=6, thickness=THICKNESS, clearance=CLEARANCE
    )
    removed = opened(made, side="outside")
    probe = shapely.LineString([(50, 50), (70, 50)])
    assert THICKNESS < probe.intersection(removed).length <= THICKNESS + CLEARANCE


@pytest.mark.parametrize("true_mm", [3.1, 3.175, 3.24])
def test_a_gauge_cut_with_a_worn_cutter_tells_its_width(true_mm):
    """Cut the gauge with another width than stated, measure one slot, ask: the truth comes out."""
    gauge = fit_gauge(THICKNESS, count=3)
    second = gauge.slots[1]
    x, high = second.at_mm
    removed = opened(gauge.plate.move(20, 20), side="outside", cut_by_mm=true_mm)
    probe = shapely.LineString([(20 + x - 5, 20 + high - 4), (20 + x + 5, 20 + high - 4)])
    measured = probe.intersection(removed).length
    found = cutting_width(CUTTER, drawn=second.width_mm, measured=measured)
    assert found == pytest.approx(true_mm, abs=0.005)  # half of what a caliper resolves


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.parent.name)
def test_the_jobs_that_ship_are_read(path):
    assert read_job(path).steps
