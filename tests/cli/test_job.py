"""Whole jobs from the command line: the demo, a new job, proofs by job, and what goes wrong."""

import json
from pathlib import Path

import pytest

from outline2path.cli.main import main

DEMO = Path(__file__).parents[2] / "demo_art" / "heron_on_base" / "job.toml"
NAMES = (
    "1-1-face",
    "2-1-face",
    "2-2-pocket",
    "2-3-drill",
    "2-4-engrave-chamfer",
    "2-5-profile",
    "3-1-profile",
)


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo")
    assert main(["demo", str(folder)]) == 0
    return folder


@pytest.fixture
def new_job(tmp_path):
    path = tmp_path / "tag.toml"
    assert main(["job", str(path), "--new"]) == 0
    return path


def test_the_demo_holds_everything_a_person_takes_to_the_machine(demo):
    names = {path.name for path in (demo / "programs").iterdir()}
    programs = {f"{name}{end}" for name in NAMES for end in (".nc", ".png")}
    assert names == programs | {"report.json", "set-up-sheet.html"}


def test_every_program_of_the_demo_passed(demo):
    report = json.loads((demo / "programs" / "report.json").read_text())
    assert [one["proof"]["verdict"] for one in report["programs"]] == ["pass"] * len(NAMES)
    assert all("replay of this text passed" in path.read_text() for path in demo.rglob("*.nc"))


def test_the_demo_can_be_run_again_from_its_own_copy(demo, tmp_path):
    assert main(["job", str(demo / "heron_on_base" / "job.toml"), "-o", str(tmp_path)]) == 0
    for name in NAMES:
        again = (tmp_path / f"{name}.nc").read_bytes()
        assert again == (demo / "programs" / f"{name}.nc").read_bytes()


@pytest.mark.parametrize("name", ["2-2-pocket", "2-4-engrave-chamfer"])
def test_a_program_is_proved_by_the_job_it_belongs_to(demo, name, capsys):
    program = demo / "programs" / f"{name}.nc"
    assert main(["prove", str(program), "--job", str(DEMO)]) == 0
    assert f"{name}.nc: pass" in capsys.readouterr().out


def test_a_changed_program_no_longer_passes(demo, tmp_path, capsys):
    text = (demo / "programs" / "2-2-pocket.nc").read_text()
    (tmp_path / "2-2-pocket.nc").write_text(text.replace("Z-7.7000", "Z-7.9000"))
    assert "Z-7.7000" in text
    assert main(["prove", str(tmp_path / "2-2-pocket.nc"), "--job", str(DEMO)]) == 1
    assert "FAIL  depth" in capsys.readouterr().out


def test_a_program_no_step_of_the_job_makes_is_refused_by_name(tmp_path, capsys):
    (tmp_path / "9-9-face.nc").write_text("M30\n")
    assert main(["prove", str(tmp_path / "9-9-face.nc"), "--job", str(DEMO)]) == 2
    assert "1-1-face.nc" in capsys.readouterr().err


def test_a_new_job_is_a_job(new_job, tmp_path, capsys):
    assert main(["job", str(new_job), "-o", str(tmp_path / "out")]) == 0
    assert "set-up-sheet.html" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["job", "{new}", "--new"], "exists already"),
        (["job", "{new}"], "-o FOLDER"),
        (["job", "{gone}.toml", "-o", "out"], "cannot read"),
        (["prove", "{new}", "--drawing", "a.svg"], "--cutter is needed"),
        (["prove", "{new}"], "one of the arguments"),
    ],
)
def test_what_is_missing_is_told_in_one_paragraph(new_job, capsys, arguments, told):
    given = [a.format(new=new_job, gone=new_job.with_name("gone")) for a in arguments]
    assert main(given) == 2
    assert told in capsys.readouterr().err


def test_a_part_that_hangs_over_its_stock_is_refused_by_line_and_nothing_is_written(
    new_job, tmp_path, capsys
):
    text = new_job.read_text().replace('size = "160 x 100 x 9 mm"', 'size = "80 x 60 x 9 mm"', 1)
    new_job.write_text(text)
    assert main(["job", str(new_job), "-o", str(tmp_path / "out")]) == 2
    line = text.splitlines().index("[drawings.tag]") + 1
    assert f"tag.toml, line {line}: part tag hangs" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()
