"""A machine whose axes differ, from the file of a job to the judged program."""

import numpy as np
import pytest
import shapely

from outline2path.drawing.outline import Outline
from outline2path.errors import OutlinePathError
from outline2path.job.job import Job
from outline2path.job.toml import read_job
from outline2path.path.directions import axis_shares
from outline2path.path.toolpath import RAPID
from outline2path.shop.cutter import Cutter
from outline2path.shop.library import read_shop
from outline2path.shop.machine import Machine
from outline2path.shop.stock import Stock

CIRCLE = Outline.from_shapely(shapely.Point(0, 0).buffer(20, quad_segs=64))
SLOW_Y = {"greatest_feed": (3000, 600, 200), "acceleration": (300, 100, 50)}


def planned(machine, *, feed=1500, plunge=400, outline=CIRCLE):
    job = Job(stock=Stock("80 x 80 x 4 mm"), machine=machine)
    return job.profile(outline, Cutter(3, flutes=1), feed=feed, plunge=plunge, tabs=3).plan()


def test_no_move_asks_an_axis_for_more_than_it_has_and_the_judge_finds_so():
    plan = planned(Machine(**SLOW_Y))
    moves = plan.toolpath.moves
    feeds = axis_shares(plan.toolpath) * moves["feed"][:, None]
    assert (feeds[moves["kind"] != RAPID] <= np.array([3000, 600, 200]) * (1 + 1e-9)).all()
    assert moves["feed"].max() == pytest.approx(1500)  # along x as asked
    assert plan.proof.verdict == "pass"
    assert {"feed-above-machine", "plunge-above-machine"} <= {f.code for f in plan.findings}


def test_a_program_made_for_equal_axes_is_refused_by_the_judge_of_a_slow_one():
    from dataclasses import replace

    from outline2path.proof.judge import judge

    plan = planned(Machine())
    expected = replace(plan.only.expected, most_feed_mm_min=(3000.0, 600.0, 500.0))
    (found,) = [c for c in judge(plan.program.text, expected).failed if c.name == "feed"]
    assert "asks y" in found.detail


def test_a_slow_axis_makes_the_estimate_longer():
    quick = planned(Machine(greatest_feed=3000, acceleration=300)).only.times.total_s
    assert planned(Machine(**SLOW_Y)).only.times.total_s > 1.2 * quick


def test_waiting_for_the_spindle_is_written_and_counted():
    patient = planned(Machine(spin_up=7.5))
    assert "G4 P7.5" in patient.program.lines
    assert patient.only.times.waiting_s == 7.5
    at_once = planned(Machine(spin_up=0))
    assert not any(line.startswith("G4 ") for line in at_once.program.lines)
    assert patient.only.times.total_s - at_once.only.times.total_s == pytest.approx(7.5)


@pytest.mark.parametrize(("wide", "changes"), [(3, 0), (6, 1)])
def test_a_change_of_cutter_counts_to_the_whole_job(wide, changes):
    job = Job(stock=Stock("80 x 80 x 4 mm"), machine=Machine(cutter_change=90))
    job.face(Cutter(wide), depth="0.5 mm").profile(CIRCLE, Cutter(3))
    plan = job.plan()
    alone = sum(one.times.total_s for one in plan.programs)
    assert plan.time_s == pytest.approx(alone + 90 * changes)


def test_a_report_tells_length_over_feed_beside_the_time_of_each_pass_and_of_all():
    report = planned(Machine()).report()
    totals = report["totals"]
    assert 0 < totals["naive_s"] < totals["time_s"]
    assert all(0 < one["naive_s"] <= one["time_s"] for one in report["passes"])
    assert sum(one["naive_s"] for one in report["passes"]) == pytest.approx(totals["naive_s"])


JOB = """
[stock]
size = "60 x 60 x 3 mm"
[machine]
greatest_feed = ["3 m/min", "2 m/min", "600 mm/min"]
rapid = [3000, 3000, 900]
acceleration = [300, 200, 50]
[cutters.small]
diameter = "3 mm"
[drawings.disc]
path = { d = "M0 0 H20 V20 H0 Z" }
[[set_up]]
[[set_up.step]]
do = "profile"
drawing = "disc"
cutter = "small"
"""


def written(tmp_path, text):
    file = tmp_path / "job.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_a_jobs_file_tells_three_axes(tmp_path):
    machine = read_job(written(tmp_path, JOB)).plan().only.bench.machine
    assert machine.feeds.figures == (3000, 2000, 600)
    assert machine.accelerations.figures == (300, 200, 50)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('greatest_feed = ["3 m/min", "2 m/min"]', "line 5"),
        ('greatest_feed = ["3 m/min", "2 m/min", "0 m/min"]', "not positive"),
        ('greatest_feed = ["3 mm", "2 m/min", "1 m/min"]', "feed"),
    ],
)
def test_axes_that_cannot_be_are_refused_with_their_line(tmp_path, line, told):
    text = JOB.replace('greatest_feed = ["3 m/min", "2 m/min", "600 mm/min"]', line)
    with pytest.raises(OutlinePathError, match=told):
        read_job(written(tmp_path, text))


def test_a_shops_file_tells_three_axes(tmp_path):
    file = tmp_path / "shop.toml"
    file.write_text(
        '[machines.gantry]\ngreatest_feed = ["3 m/min", 2000, 600]\nacceleration = 50\n',
        encoding="utf-8",
    )
    assert read_shop(file).machine("gantry").feeds.figures == (3000, 2000, 600)
    file.write_text("[machines.gantry]\ngreatest_feed = [3000, 2000]\n", encoding="utf-8")
    with pytest.raises(OutlinePathError, match=r"shop.toml, line 2.*neither one nor three"):
        read_shop(file)
