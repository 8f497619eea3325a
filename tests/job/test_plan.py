"""A job becomes a plan; a plan is written only when its own replay passes."""

import pytest
import shapely

import outline2path as o2p
from outline2path.findings import Finding

PLATE = shapely.box(0, 0, 40, 30)


def job_of(region=PLATE, *, cutter=3.0, stock=None, machine=None, **options):
    job = o2p.Job(stock=stock or o2p.Stock(thickness=6), machine=machine)
    return job.profile(o2p.Outline.from_shapely(region), o2p.Cutter(cutter), **options)


def test_the_ten_lines_of_the_front_page_work(tmp_path):
    plan = job_of(tabs=4, side="outside").plan()
    assert plan.prove().verdict == "pass"
    assert plan.write(tmp_path / "plate.nc").read_text() == plan.program.text


def test_a_plan_shows_itself_in_a_notebook():
    plan = job_of(tabs=2).plan()
    picture = plan._repr_png_()
    assert (picture[0] if isinstance(picture, tuple) else picture).startswith(b"\x89PNG")
    assert "40.00 x 30.00 mm" in repr(plan)


def test_an_error_finding_keeps_the_program_from_being_written(tmp_path):
    plan = job_of(stock=o2p.Stock("35 x 90 x 6 mm")).plan()
    with pytest.raises(o2p.RefusedError, match="hangs over the stock"):
        plan.write(tmp_path / "p.nc")
    assert list(tmp_path.iterdir()) == []


def test_a_forced_program_says_so_in_its_header(tmp_path):
    plan = job_of(stock=o2p.Stock("35 x 90 x 6 mm")).plan()
    text = plan.write(tmp_path / "p.nc", force=True).read_text()
    assert "FAILED" in text.split("G17")[0]


def test_a_job_without_a_step_is_refused():
    with pytest.raises(o2p.SettingError, match="has no step"):
        o2p.Job(stock=o2p.Stock(thickness=6)).plan()


@pytest.mark.parametrize(
    "options", [{"zero": "middle"}, {"zero_z": "up"}, {"units": "cm"}, {"clearance": 0}]
)
def test_a_bench_that_cannot_be_is_refused(options):
    with pytest.raises(o2p.SettingError):
        o2p.Job(stock=o2p.Stock(thickness=6), **options)


def test_a_depth_beyond_the_flutes_is_refused():
    job = o2p.Job(stock=o2p.Stock(thickness=12))
    job.profile(
        o2p.Outline.from_shapely(PLATE), o2p.Cutter(3, flute_length=4), depth_per_pass="6 mm"
    )
    with pytest.raises(o2p.SettingError, match="flutes"):
        job.plan()


def test_without_tabs_a_finding_says_what_comes_loose():
    assert "no-tabs" in [f.code for f in job_of().plan().findings]


def test_a_damaged_program_is_judged_on_its_own():
    plan = job_of(tabs=2).plan()
    lost = plan.program.text.replace("M3 ", "M5 (")
    assert plan.prove(lost.replace("M5 (", "M5 ")).verdict == "fail"
    assert plan.prove().verdict == "pass"


def test_findings_are_all_of_one_kind():
    assert all(isinstance(f, Finding) for f in job_of().plan().findings)


@pytest.mark.parametrize("name", ["plate", "made.before"])
def test_a_name_without_an_ending_or_of_a_folder_gets_the_whole_job(name, tmp_path):
    (tmp_path / "made.before").mkdir()
    plate = o2p.Outline.from_shapely(shapely.box(0, 0, 40, 30))
    plan = o2p.Job(stock=o2p.Stock(thickness=6)).profile(plate, o2p.Cutter(3), tabs=2).plan()
    folder = plan.write(tmp_path / name)
    names = {path.name for path in folder.iterdir()}
    assert {"1-1-profile.nc", "1-1-profile.png", "report.json", "set-up-sheet.html"} <= names
