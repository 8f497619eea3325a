"""A whole job: faced on both sides, drilled, pocketed and cut out, each program judged."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
import shapely

import outline2path as o2p
from outline2path.job.folder import write_folder
from outline2path.job.sheet import set_up_sheet, sheet_content
from outline2path.proof.judge import judge

BASE = Path(__file__).parents[2] / "demo_art" / "heron_on_base" / "base.svg"
WIDE, THIN = o2p.Cutter(12), o2p.Cutter("1/8 in")
CONE = o2p.Cutter(6, shape="v", angle=90)
DRILL = o2p.Cutter(4, shape="drill")
PLATE = o2p.Outline.from_shapely(shapely.box(0, 0, 60, 40))
SLOT = o2p.Outline.from_shapely(shapely.box(20, 17, 40, 23))


@pytest.fixture(scope="module")
def plan():
    drawing = o2p.read_outline(BASE)
    job = o2p.Job(stock=o2p.Stock("200 x 100 x 20 mm"), zero="stock-corner", name="base")
    job.face(WIDE, depth=0.6)
    job.turn_over(about="y").face(WIDE, to_thickness=18)
    job.profile(drawing.select("#plate"), THIN, tabs=4)
    job.pocket(drawing.select("#slots"), THIN, depth=6)
    job.drill(drawing.select("#holes"), DRILL)
    return job.plan()


def test_the_programs_come_in_the_order_of_the_work(plan):
    names = [program.name for program in plan.programs]
    assert names == ["1-1 face", "2-1 face", "2-2 drill", "2-3 pocket, profile"]


def test_every_program_passes_its_proof(plan):
    assert {program.name: program.proof.failed for program in plan.programs} == {
        program.name: () for program in plan.programs
    }
    assert plan.is_sound


def test_the_thickness_after_facing_flows_into_every_later_step(plan):
    face, *later = plan.programs[1:]
    assert face.set_up.bench.stock.thickness_mm == pytest.approx(19.4)
    assert all(step.top_mm == pytest.approx(-1.4) for program in later for step in program.steps)
    floor = plan.programs[-1].steps[0].bottom_mm
    assert floor == pytest.approx(-1.4 - 6)


def test_on_the_other_side_the_drawing_is_mirrored_on_its_stock():
    """A slot 10 mm from the left edge of a blank of 90 mm lies 10 mm from the right one turned."""
    slot = o2p.Outline.from_shapely(shapely.box(10, 20, 30, 26))
    stock = o2p.Stock("90 x 80 x 20 mm")
    job = o2p.Job(stock=stock, zero="stock-corner", placed="as-drawn")
    job.pocket(slot, THIN, depth=2).turn_over(about="y").pocket(slot, THIN, depth=2)
    first, second = (program.placement.outline.bounds_mm for program in job.plan().programs)
    assert first == pytest.approx((10, 20, 30, 26), abs=1e-9)
    assert second == pytest.approx((60, 20, 80, 26), abs=1e-9)


def test_where_the_first_side_is_only_faced_the_drawing_is_seen_from_the_second():
    slot = o2p.Outline.from_shapely(shapely.box(10, 20, 30, 26))
    stock = o2p.Stock("90 x 80 x 20 mm")
    job = o2p.Job(stock=stock, zero="stock-corner", placed="as-drawn").face(WIDE, depth=1)
    job.turn_over(about="y").pocket(slot, THIN, depth=2)
    assert job.plan().programs[1].placement.outline.bounds_mm == pytest.approx((10, 20, 30, 26))


@pytest.mark.parametrize("number", range(4))
def test_a_program_of_another_step_does_not_pass_for_it(plan, number):
    wanted = plan.programs[number].expected
    other = plan.programs[number - 1].program.text
    assert judge(other, wanted).verdict == "fail"


@pytest.mark.parametrize("edges", ["all", "outer", "holes"])
@pytest.mark.parametrize("size", [{"width": 1}, {"depth": 0.8}])
def test_chamfered_edges_are_judged_before_the_part_is_cut_out(edges, size):
    ring = shapely.box(0, 0, 60, 40).difference(shapely.Point(20, 20).buffer(8, 64))
    part = o2p.Outline.from_shapely(ring)
    job = o2p.Job(stock=o2p.Stock("90 x 90 x 10 mm"))
    job.chamfer(part, CONE, edges=edges, **size).profile(part, THIN)
    chamfer, profile = job.plan().programs
    assert (chamfer.proof.verdict, profile.proof.verdict) == ("pass", "pass")
    assert judge(profile.program.text, chamfer.expected).verdict == "fail"


def test_a_blank_of_unknown_size_cannot_be_faced_or_turned():
    job = o2p.Job(stock=o2p.Stock(thickness=20)).face(WIDE, depth=1)
    with pytest.raises(o2p.SettingError, match="known width and height"):
        job.plan()


@pytest.mark.parametrize("given", [{}, {"depth": 1, "to_thickness": 5}])
def test_facing_needs_a_depth_or_a_thickness(given):
    with pytest.raises(o2p.SettingError, match="needs a depth or a thickness"):
        o2p.Job(stock=o2p.Stock("90 x 90 x 20 mm")).face(WIDE, **given)


@pytest.mark.parametrize("depth", [0, -1, 7])
def test_a_pocket_deeper_than_the_stock_or_not_deep_at_all_is_refused(depth):
    job = o2p.Job(stock=o2p.Stock("90 x 90 x 6 mm")).pocket(SLOT, THIN, depth=depth)
    with pytest.raises(o2p.SettingError, match=r"not within the 6 mm of stock"):
        job.plan()


def test_going_on_before_anything_was_asked_is_refused():
    job = o2p.Job(stock=o2p.Stock("90 x 90 x 6 mm"))
    with pytest.raises(o2p.SettingError, match="no step yet"):
        job.turn_over()


def test_parts_that_overlap_are_refused_with_their_place():
    job = o2p.Job(stock=o2p.Stock("200 x 100 x 6 mm")).profile(PLATE, THIN, tabs=2)
    job.profile(PLATE.move(59, 0), THIN, tabs=2)
    with pytest.raises(o2p.SettingError, match="parts 1 and 2 overlap") as caught:
        job.plan()
    assert caught.value.at_mm == pytest.approx((59.5, 20))
    assert caught.value.value == pytest.approx(40)  # 1 mm of 40 mm


@pytest.mark.parametrize("other", [{"side": "inside"}, {"rest_of": "6 mm"}])
def test_several_steps_may_cut_one_part(other):
    notched = o2p.Outline.from_shapely(PLATE.region.difference(shapely.box(20, 30, 40, 41)))
    job = o2p.Job(stock=o2p.Stock("200 x 100 x 6 mm")).profile(notched, o2p.Cutter(6), tabs=2)
    outline = notched if "rest_of" in other else SLOT
    assert len(job.profile(outline, THIN, tabs=2, **other).plan().programs) == 2


def test_the_sheet_tells_the_feed_of_each_pass():
    job = o2p.Job(stock=o2p.Stock("80 x 60 x 6 mm"), first_side="fair side up")
    job.pocket(SLOT, THIN, depth=1, feed=500).profile(PLATE, THIN, tabs=2, feed=700)
    job.drill([(5, 5)], THIN, depth=1, plunge=150)
    (set_up,) = sheet_content(job.plan()).set_ups
    (program,) = set_up.programs
    assert {(row.operation, row.feed) for row in program.passes} == {
        ("drill", 150.0),
        ("pocket", 500.0),
        ("profile", 700.0),
    }
    assert set_up.name == "fair side up"
    assert "700\xa0mm/min" in set_up_sheet(job.plan())


def test_a_second_blank_begins_with_its_own_thickness():
    job = o2p.Job(stock=o2p.Stock("90 x 90 x 20 mm")).pocket(PLATE, THIN, depth=2)
    job.new_blank(o2p.Stock("90 x 90 x 6 mm"), name="silhouette").profile(PLATE, THIN)
    first, second = job.plan().programs
    assert (first.set_up.blank, second.set_up.blank) == (1, 2)
    assert second.steps[0].bottom_mm == -6


def test_engraved_lines_are_judged_as_lines():
    water = o2p.read_outline(BASE, strokes="centreline").select("#water")
    job = o2p.Job(stock=o2p.Stock("200 x 100 x 9 mm"), zero="stock-corner")
    program = job.engrave(water, CONE, depth=0.5).plan().only
    assert program.proof.verdict == "pass"
    shifted = replace(program.expected.features[0], region_fine=water.lines)
    assert judge(program.program.text, replace(program.expected, features=(shifted,))).failed


def test_drilling_at_places_makes_holes_as_wide_as_the_drill():
    job = o2p.Job(stock=o2p.Stock("90 x 90 x 6 mm"), zero="stock-corner", placed="as-drawn")
    program = job.drill([(20, 30), (70, 30)], DRILL).plan().only
    assert program.proof.verdict == "pass"
    assert program.placement.outline.bounds_mm == pytest.approx((18, 28, 72, 32), abs=0.001)


def test_the_folder_holds_everything_a_person_takes_to_the_machine(plan, tmp_path):
    written = write_folder(plan, tmp_path / "out", pictures=False)
    assert [path.name for path in written] == [
        "1-1-face.nc",
        "2-1-face.nc",
        "2-2-drill.nc",
        "2-3-pocket-profile.nc",
        "report.json",
        "set-up-sheet.html",
    ]
    report = json.loads((tmp_path / "out" / "report.json").read_text())
    assert [program["proof"]["verdict"] for program in report["programs"]] == ["pass"] * 4


def test_of_an_unsound_job_nothing_is_written_unless_forced(tmp_path):
    job = o2p.Job(stock=o2p.Stock("30 x 30 x 6 mm"), zero="stock-corner")
    plan = job.pocket(SLOT, THIN, depth=2).profile(PLATE, THIN).plan()
    with pytest.raises(o2p.RefusedError, match="nothing was written"):
        write_folder(plan, tmp_path / "out", pictures=False)
    assert not (tmp_path / "out").exists()
    forced = write_folder(plan, tmp_path / "out", force=True, pictures=False)
    assert "FAILED" in forced[0].read_text()


def test_a_small_cutter_that_takes_what_a_large_one_left_is_judged_with_it():
    job = o2p.Job(stock=o2p.Stock("90 x 90 x 10 mm"))
    job.pocket(PLATE, o2p.Cutter(10), depth=2).pocket(PLATE, THIN, depth=2, rest_of=10)
    small = job.plan().programs[1]
    assert small.times.cut_mm < job.plan().programs[0].times.cut_mm
    assert small.proof.verdict == "pass"
    alone = judge(small.program.text, replace(small.expected, before=()))
    assert "leftover" in {check.name for check in alone.failed}


def test_the_proof_of_a_job_is_that_of_all_its_programs(plan):
    proof = plan.prove()
    assert proof.verdict == "pass"
    assert len(proof.checks) == sum(len(program.proof.checks) for program in plan.programs)
    assert proof.leftover_mm == max(program.proof.leftover_mm for program in plan.programs)


def test_a_job_shows_itself_as_a_table_and_names_its_programs(plan):
    shown = plan._repr_html_()
    assert all(program.name in shown for program in plan.programs)
    assert "feed mm/min" in shown
    assert repr(plan) == "Plan(base: 4 programs)"


def test_a_job_shows_its_steps_before_it_is_planned():
    job = o2p.Job(stock=o2p.Stock("90 x 60 x 12 mm"), name="try")
    job.face(o2p.Cutter(12), depth="0.5 mm").turn_over().face(o2p.Cutter(12), to_thickness=11)
    job.profile(o2p.Outline.from_shapely(shapely.box(0, 0, 40, 30)), o2p.Cutter(3), tabs=3)
    shown = job._repr_html_()
    assert shown.count("<tr>") == 1 + 3
    assert "the whole blank" in shown
    assert "down to 11" in shown
    assert "40.0 \u00d7 30.0" in shown


def test_a_program_shows_its_picture_and_its_passes(plan):
    one = plan.programs[-1]
    shown = one._repr_html_()
    depths = {section.z_mm for section in one.toolpath.sections}
    assert shown.count("<tr>") == 1 + 12 + 1
    assert f"and {len(depths) - 12} more" in shown
    assert shown.startswith("<img ")
    assert "z mm" in shown


def test_a_job_is_written_into_a_folder(plan, tmp_path):
    assert plan.write(tmp_path / "base") == tmp_path / "base"
    assert len(list((tmp_path / "base").glob("*.nc"))) == 4


def test_a_small_cutter_cuts_out_only_the_corners_a_large_one_left():
    cross = shapely.union(shapely.box(0, 20, 60, 40), shapely.box(20, 0, 40, 60))
    part = o2p.Outline.from_shapely(cross)
    job = o2p.Job(stock=o2p.Stock("90 x 90 x 6 mm"))
    job.profile(part, o2p.Cutter(8), tabs=2).profile(part, o2p.Cutter(2), rest_of=8)
    large, small = job.plan().programs
    assert (large.proof.verdict, small.proof.verdict) == ("pass", "pass")
    assert small.times.cut_mm < large.times.cut_mm / 3
    alone = judge(small.program.text, replace(small.expected, before=()))
    assert "leftover" in {check.name for check in alone.failed}


def test_a_small_cutter_that_cuts_a_tab_the_large_one_left_is_caught():
    """Tabs stand in straight walls, away from corners; here one is told to stand in a corner."""
    cross = shapely.union(shapely.box(0, 20, 60, 40), shapely.box(20, 0, 40, 60))
    part = o2p.Outline.from_shapely(cross)
    job = o2p.Job(stock=o2p.Stock("90 x 90 x 6 mm"))
    job.profile(part, o2p.Cutter(8), tabs=2).profile(part, o2p.Cutter(2), rest_of=8)
    small = job.plan().programs[1]
    feature = small.expected.features[0]
    moved = replace(feature.standing[0], at_mm=(20.0, 20.0))
    wanted = replace(small.expected, features=(replace(feature, standing=(moved,)),))
    assert "tabs" in {check.name for check in judge(small.program.text, wanted).failed}


def test_a_feed_raised_for_thin_chips_stays_within_the_machines():
    machine = o2p.Machine(greatest_feed=1600)
    job = o2p.Job(stock=o2p.Stock("90 x 90 x 9 mm"), machine=machine)
    job.pocket(PLATE, THIN, depth=2, stepover=0.1, raise_thin_chips=True, feed=1500)
    program = job.plan().only
    assert program.toolpath.moves["feed"].max() == 1600
    assert program.proof.verdict == "pass"
