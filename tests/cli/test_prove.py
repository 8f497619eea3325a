"""`prove` judges any text against the drawing it was to cut."""

import re

import pytest

CUT = ("--cutter", "3mm", "--thickness", "6mm", "--tabs", "3")


@pytest.fixture
def program(run, plate, tmp_path):
    path = tmp_path / "p.nc"
    run("cut", plate, "-o", path, *CUT)
    return path


def test_a_program_as_written_passes(run, plate, program):
    code, out, _ = run("prove", program, "--drawing", plate, *CUT)
    assert code == 0
    assert "pass" in out


@pytest.mark.parametrize(
    ("pattern", "put"),
    [
        (r"M3 S\d+\n", ""),
        (r"G21", "G20"),
        (r"M30\n", ""),
        (r"Z-6\.3000", "Z-9.0000"),
        (r"X1", "X2"),
    ],
    ids=["no spindle", "inches", "no end", "too deep", "moved"],
)
def test_a_program_changed_by_hand_fails(run, plate, program, pattern, put):
    changed, count = re.subn(pattern, put, program.read_text())
    program.write_text(changed)
    code, out, _ = run("prove", program, "--drawing", plate, *CUT)
    assert count > 0
    assert (code, "FAIL" in out) == (1, True)


def test_a_missing_program_is_named(run, plate, tmp_path):
    code, _, err = run("prove", tmp_path / "gone.nc", "--drawing", plate, *CUT)
    assert code == 2
    assert "gone.nc" in err
