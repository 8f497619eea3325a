"""A set-up as one program that changes cutters by M6, against one program for each cutter."""

import json
import re
from importlib.resources import files

import jsonschema
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

import outline2path as o2p
from outline2path.cli.main import main
from outline2path.job.blanks import cuttings_of
from outline2path.job.folder import write_folder
from outline2path.job.sheet import set_up_sheet, sheet_content
from outline2path.job.toml import read_job
from outline2path.picture.height_field import carve
from outline2path.picture.sheet_replay import replay_data

MILL = o2p.Machine(tool_change=True, cutter_change=40, spin_up=3)
WIDE, THIN = o2p.Cutter(12, stick_out=30), o2p.Cutter(3, flutes=2, stick_out=22)
CONE, DRILL = o2p.Cutter(6, shape="v", angle=90, tip=0.2), o2p.Cutter(2, shape="drill")
PLATE = o2p.Outline.from_shapely(shapely.box(0, 0, 40, 30))
SLOT = o2p.Outline.from_shapely(shapely.box(8, 10, 26, 16))
HOLE = o2p.Outline.from_shapely(shapely.Point(33, 22).buffer(1.0, quad_segs=32))
STEPS = {
    "face": lambda job: job.face(WIDE, depth=0.5),
    "pocket": lambda job: job.pocket(SLOT, THIN, depth=2),
    "drill": lambda job: job.drill(HOLE, DRILL),
    "chamfer": lambda job: job.chamfer(PLATE, CONE, width=0.8),
    "profile": lambda job: job.profile(PLATE, THIN, tabs=3),
}


def plan(steps, **options):
    job = o2p.Job(stock=o2p.Stock("60 x 50 x 5 mm"), machine=MILL, **options)
    for name in steps:
        STEPS[name](job)
    return job.plan()


def left(made):
    """Heights of the blank after all programs, replayed from their texts."""
    last = made.set_ups[-1]
    box = made.programs[-1].placement.stock_box_mm
    return carve(
        cuttings_of(made, last), stock_box_mm=box, top_mm=0.0, bottom_mm=-5.0, cell_mm=0.4
    ).z


@pytest.fixture(scope="module")
def joined():
    return plan(STEPS, programs="per-set-up")


@pytest.fixture(scope="module")
def apart():
    return plan(STEPS)


def test_a_set_up_is_one_program_that_passes(joined):
    (program,) = joined.programs
    assert program.name == "1-1 face, pocket, drill, chamfer, profile"
    assert program.proof.failed == ()


def test_the_order_of_the_work_is_that_of_the_programs_apart(joined, apart):
    order = [turn.cutter for turn in joined.only.turns]
    assert order == [one.cutter for one in apart.programs]
    assert [turn.number for turn in joined.only.turns] == [1, 2, 3, 4, 2]


def test_the_same_stock_is_left(joined, apart):
    assert np.array_equal(left(joined), left(apart))


@settings(max_examples=6, deadline=None)
@given(
    st.sets(st.sampled_from(sorted(STEPS)), min_size=2, max_size=3),
    st.sampled_from(["touch-off", "table"]),
)
def test_jobs_by_chance_pass_both_ways_and_leave_the_same(steps, lengths):
    one = plan(sorted(steps), programs="per-set-up", cutter_lengths=lengths)
    each = plan(sorted(steps))
    assert one.proof.failed == each.proof.failed == ()
    assert np.array_equal(left(one), left(each))
    assert one.proof.leftover_mm == pytest.approx(each.proof.leftover_mm, abs=1e-4), "grid"


def test_cutters_keep_their_numbers_through_all_set_ups():
    job = o2p.Job(stock=o2p.Stock("60 x 50 x 8 mm"), machine=MILL, programs="per-set-up")
    job.face(WIDE, depth=0.5).pocket(SLOT, THIN, depth=1)
    job.turn_over().pocket(SLOT, THIN, depth=1).profile(PLATE, CONE, tabs=0, through=0)
    first, second = job.plan().programs
    assert [(turn.number, turn.cutter) for turn in first.turns] == [(1, WIDE), (2, THIN)]
    assert [(turn.number, turn.cutter) for turn in second.turns] == [(2, THIN), (3, CONE)]
    assert "T3" in second.program.lines
    assert second.times.change_s == 0  # the first set-up ends with the cutter this one begins with


def test_time_counts_every_change_and_every_start_of_the_spindle(joined, apart):
    """Five mountings: four changes of 40 s, five starts of 3 s."""
    assert joined.only.times.waiting_s == 4 * 40 + 5 * 3
    assert joined.only.times.change_s == 0
    waits = sum(one.times.waiting_s + one.times.change_s for one in apart.programs)
    assert joined.only.times.waiting_s == waits


def test_the_report_tells_every_turn_and_follows_the_schema(joined):
    schema = json.loads((files("outline2path.job") / "report.schema.json").read_text("utf-8"))
    report = joined.report()
    assert list(jsonschema.Draft202012Validator(schema).iter_errors(report)) == []
    assert report["settings"]["turn_4_cutter"] == "V 90 deg 6 mm, 2 flutes"
    assert report["settings"]["turn_5_number"] == 2
    assert {one["cutter"] for one in report["passes"]} == {
        cutter.label for cutter in (WIDE, THIN, DRILL, CONE)
    }


def test_the_sheet_lists_the_cutters_in_their_order(joined):
    (page,) = sheet_content(joined).programs
    assert [tool.number for tool in page.tools] == [1, 2, 3, 4, 2]
    assert [round(tool.reach_mm, 2) for tool in page.tools[:2]] == [0.5, 5.3]
    html = set_up_sheet(joined)
    assert "Cutters come in this order: 1, 2, 3, 4, 2." in html
    assert "the manual of the machine" in html
    assert html.count("Cutter 2 ready at its place") == 1


def test_the_picture_that_moves_knows_the_width_of_each_cutter(joined):
    content = sheet_content(joined)
    data = json.loads(replay_data(content.programs[0], content.set_ups[0], units="mm"))
    assert [wide for _, wide in data["radii"]] == [6, 6, 1.5, 1, 3, 1.5]
    firsts = [first for first, _ in data["radii"]]
    assert firsts == sorted(firsts)


def test_summary_and_picture_tell_all_cutters(joined):
    assert "1: 12 mm, 2 flutes; 2: 3 mm, 2 flutes; 3: drill 2 mm" in joined.summary()
    assert "cutter 4: " in joined.summary()
    assert joined.only.page_png[:4] == b"\x89PNG"


def test_a_tab_is_drawn_as_wide_as_the_profiles_cut(joined):
    """The profile's cutter is 3 mm wide, the facing cutter of the same program 12."""
    (tabs,) = joined.draw().artists["tab"]
    wide = np.ptp(tabs.get_path().vertices, axis=0)
    assert wide.max() < 40 + 2 * 4  # a tab of 12 mm would stand out by 12 on each side


def test_height_is_checked_for_every_cutter():
    low = o2p.Machine(tool_change=True, under_collet="36 mm", travel="300 x 200 x 60 mm")
    job = o2p.Job(stock=o2p.Stock("60 x 50 x 5 mm"), machine=low, programs="per-set-up")
    made = job.face(WIDE, depth=0.5).pocket(SLOT, THIN, depth=2).plan()
    told = {f.message.split(" at the")[0] for f in made.findings if f.code == "no-height"}
    assert told == {WIDE.label}  # 36 - 30 is less than 5 + 5; 36 - 22 is more


def test_facing_over_the_edge_is_not_told_of_the_other_steps(joined, apart):
    edges = [[f.message for f in p.findings if f.code == "cut-off-stock"] for p in (joined, apart)]
    told = [{f.code for f in p.findings if f.severity != "info"} for p in (joined, apart)]
    assert edges[0] == edges[1]
    assert told[0] == told[1]


@pytest.mark.parametrize(
    ("machine", "options", "words"),
    [
        (None, {"programs": "per-set-up"}, "no machine was given"),
        (o2p.Machine(name="old mill"), {"programs": "per-set-up"}, "the old mill has no M6"),
        (MILL, {"programs": "per-day"}, "'per-day' is unknown"),
        (MILL, {"cutter_lengths": "table"}, "no program changes cutters"),
        (MILL, {"programs": "per-set-up", "cutter_lengths": "guess"}, "'guess' is unknown"),
    ],
)
def test_what_the_machine_or_the_job_does_not_know_is_refused(machine, options, words):
    with pytest.raises(o2p.SettingError, match=words):
        o2p.Job(stock=o2p.Stock("60 x 50 x 5 mm"), machine=machine, **options)


FILE = """[job]
programs = "per-set-up"
[stock]
size = "60 x 50 x 5 mm"
[machine]
tool_change = true
[cutters.wide]
diameter = "6 mm"
[cutters.thin]
diameter = "2 mm"
[drawings.slot]
path = { d = "M10 10 H40 V22 H10 Z" }
[[set_up]]
[[set_up.step]]
do = "pocket"
drawing = "slot"
cutter = "wide"
depth = "2 mm"
[[set_up.step]]
do = "pocket"
drawing = "slot"
cutter = "thin"
depth = "2 mm"
rest_of = "6 mm"
"""


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "slot.toml"
    path.write_text(FILE)
    return path


def test_a_file_asks_for_it_and_the_program_is_proved_by_the_file(file, tmp_path, capsys):
    """A larger cutter and a smaller one for what it left, in one program."""
    assert main(["job", str(file), "-o", str(tmp_path / "out")]) == 0
    (program,) = (tmp_path / "out").glob("*.nc")
    assert program.read_text().count("\nM6\n") == 2
    assert main(["prove", str(program), "--job", str(file)]) == 0
    spoiled = tmp_path / program.name
    spoiled.write_text(re.sub(r"T2\nM6\n", "T2\n", program.read_text()))
    assert main(["prove", str(spoiled), "--job", str(file)]) == 1
    assert (
        "FAIL  cutter: cutter 2, 2 mm, 2 flutes, is never put to work" in capsys.readouterr().out
    )


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("tool_change = true", "tool_change = false", 2, "has no M6"),
        ('"per-set-up"', '"per-cutters"', 2, "per-cutter"),
        ("[stock]", 'cutter_lengths = "list"\n[stock]', 3, "touch-off"),
    ],
)
def test_a_files_fault_is_told_with_its_line(file, old, new, line, words):
    file.write_text(FILE.replace(old, new, 1))
    with pytest.raises(o2p.OutlinePathError, match=rf"slot\.toml, line {line}: .*{words}"):
        read_job(file)


def test_a_folder_of_programs_that_change_cutters_is_written(tmp_path):
    job = o2p.Job(stock=o2p.Stock("60 x 50 x 8 mm"), machine=MILL, programs="per-set-up")
    job.pocket(SLOT, THIN, depth=1).chamfer(PLATE, CONE, width=0.5)
    job.turn_over().face(WIDE, depth=0.5).pocket(SLOT, THIN, depth=1)
    names = [path.name for path in write_folder(job.plan(), tmp_path, pictures=False)]
    assert names[:2] == ["1-1-pocket-chamfer.nc", "2-1-face-pocket.nc"]


def numbered(*numbers):
    """A pocket for each number, each with a cutter of its own."""
    job = o2p.Job(stock=o2p.Stock("60 x 50 x 5 mm"), machine=MILL, programs="per-set-up")
    for n, number in enumerate(numbers):
        job.pocket(SLOT, o2p.Cutter(3 + n / 4, number=number), depth=1)
    return job.plan()


@pytest.mark.parametrize(
    ("asked", "given"),
    [
        ((None, None), [1, 2]),
        ((5, None), [5, 1]),
        ((None, 1), [2, 1]),
        ((7, 3, None), [7, 3, 1]),
    ],
)
def test_cutters_keep_the_numbers_they_have_in_the_workshop(asked, given):
    program = numbered(*asked).only
    assert [turn.number for turn in program.turns] == given
    named = [int(line[1:]) for line in program.program.lines if re.fullmatch(r"T\d+", line)]
    assert named == given


def test_one_number_for_two_cutters_is_refused():
    with pytest.raises(
        o2p.SettingError, match=r"number 4 is given to 3 mm, 2 flutes and to 3\.25"
    ):
        numbered(4, 4)


@pytest.mark.parametrize("number", [0, -1, 1.5, True, 100_000])
def test_a_number_that_names_no_place_is_refused(number):
    with pytest.raises(o2p.SettingError, match="numbers no place"):
        o2p.Cutter(3, number=number)
