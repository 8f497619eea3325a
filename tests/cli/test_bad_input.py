"""Bad input: one clear paragraph, exit code 2 (1 for a sound drawing), old files untouched."""

import json
from pathlib import Path

import pytest

CUT = ("--cutter", "3mm", "--thickness", "6mm")
SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="50mm" viewBox="0 0 60 50">'
DRAWINGS = {
    "empty": "",
    "no xml": "this is no drawing",
    "html": "<html><body>hello</body></html>",
    "cut short": SVG + "<path d='M0 0h9",
    "no shapes": SVG + "</svg>",
    "only text": SVG + "<text x='5' y='9'>NAME</text></svg>",
    "only an image": SVG + "<image width='9' height='9' href='a.png'/></svg>",
    "not a number": SVG + "<path d='M NaN 0 L 9 9 L 0 9 Z'/></svg>",
    "huge": SVG + "<rect width='1e300' height='1e300'/></svg>",
    "no area": SVG + "<path d='M0 0L9 9'/></svg>",
}


def one_paragraph(err):
    lines = err.strip().splitlines()
    return len(lines) == 1 and 20 < len(lines[0]) < 600 and "Traceback" not in err


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_without_an_outline_is_refused(run, tmp_path, name):
    path, nc = tmp_path / "d.svg", tmp_path / "p.nc"
    path.write_text(DRAWINGS[name])
    nc.write_text("old")
    code, out, err = run("cut", path, "-o", nc, *CUT)
    assert (code, out) == (2, "")
    assert one_paragraph(err), err
    assert nc.read_text() == "old"


@pytest.mark.parametrize(
    "options",
    [
        ("--cutter", "0", "--thickness", "6"),
        ("--cutter", "-3mm", "--thickness", "6"),
        ("--cutter", "3 parsec", "--thickness", "6"),
        ("--cutter", "nan", "--thickness", "6"),
        ("--cutter", "3", "--thickness", "0"),
        ("--cutter", "3", "--thickness", "-6mm"),
        ("--cutter", "3"),
        ("--cutter", "3", "--thickness", "6", "--tabs", "-1"),
        ("--cutter", "3", "--thickness", "6", "--tabs", "4", "--tab-height", "6"),
        ("--cutter", "3", "--thickness", "6", "--depth-per-pass", "0"),
        ("--cutter", "3", "--thickness", "6", "--feed", "0"),
        ("--cutter", "3", "--thickness", "6", "--feed", "quick"),
        ("--cutter", "3", "--thickness", "6", "--speed", "-1"),
        ("--cutter", "3", "--thickness", "6", "--tolerance", "0"),
        ("--cutter", "3", "--thickness", "6", "--scale", "0"),
        ("--cutter", "3", "--thickness", "6", "--scale", "nan"),
        ("--cutter", "3", "--thickness", "6", "--width", "-5"),
        ("--cutter", "3", "--thickness", "6", "--width", "5", "--height", "5"),
        ("--cutter", "3", "--thickness", "6", "--side", "upside"),
        ("--cutter", "3", "--thickness", "6", "--material", "unobtainium"),
        ("--cutter", "3", "--thickness", "6", "--clearance", "-1"),
        ("--cutter", "3", "--thickness", "6", "--flutes", "0"),
    ],
    ids=" ".join,
)
def test_impossible_settings_are_refused(run, plate, tmp_path, options):
    code, out, err = run("cut", plate, "-o", tmp_path / "p.nc", *options)
    assert (code, out) == (2, "")
    assert one_paragraph(err), err
    assert not (tmp_path / "p.nc").exists()


@pytest.mark.parametrize("command", ["cut", "check", "read"])
def test_a_missing_file_is_named(run, tmp_path, command):
    extra = {"cut": ("-o", tmp_path / "p.nc", *CUT), "check": ("--cutter", "3"), "read": ()}
    code, _, err = run(command, tmp_path / "gone.svg", *extra[command])
    assert code == 2
    assert "gone.svg" in err
    assert one_paragraph(err), err


def test_an_output_folder_that_is_missing_is_refused_before_any_work(run, plate, tmp_path):
    code, _, err = run("cut", plate, "-o", tmp_path / "no" / "p.nc", *CUT)
    assert code == 2
    assert "does not exist" in err


def test_a_cutter_wider_than_every_gap_is_a_refusal_about_a_sound_drawing(run, plate, tmp_path):
    nc = tmp_path / "p.nc"
    nc.write_text("old")
    code, _, err = run(
        "cut", plate, "-o", nc, "--side", "inside", "--cutter", "40", "--thickness", 6
    )
    assert code == 1
    assert one_paragraph(err), err
    assert nc.read_text() == "old"


def test_two_outputs_of_one_name_are_refused(run, plate, tmp_path):
    same = tmp_path / "p"
    code, _, err = run("cut", plate, "-o", same, "--report", same, *CUT)
    assert code == 2
    assert "share one name" in err


def test_no_arguments_at_all_say_how_to_get_help(run):
    code, _, err = run()
    assert code == 2
    assert "--help" in err


def test_a_closed_pipe_ends_quietly(process, plate):
    done = process("check", plate, "--cutter", "3", "--report", "-")
    assert done.returncode == 0
    assert json.loads(done.stdout)["reach"]["spots"] is not None


def test_a_drawing_may_come_from_standard_input(process, plate):
    with Path(plate).open("rb") as stream:
        done = process("read", "-", stdin=stream)
    assert done.returncode == 0
    assert b"40.00 x 30.00 mm" in done.stdout
