"""Hostile programs and arguments: judged or refused within bounds, never a traceback."""

import pytest

from tests.hostile.bombs import SQUARE, page
from tests.hostile.bounded import command

HOW = ("--drawing", "d.svg", "--cutter", "3", "--thickness", "6")
START = "G17 G21 G90 G94 G54\nM6 T1\nM3 S9000\nG0 Z5\n"

PROGRAMS = {
    "nothing": b"",
    "NUL": b"\0" * 100_000,
    "any bytes": bytes(range(256)) * 100,
    "one line of 20 MB": b"G1 X" + b"1" * 20_000_000,
    "brackets": START.encode() + b"(" * 500_000,
    "nested sums": START.encode() + b"G1 X" + b"[" * 50_000 + b"1" + b"]" * 50_000 + b" F100\n",
    "figures beyond all": START.encode() + b"G1 X1e999 Y9 F100\nG1 X99999999999999999999 F1\n",
    "an arc beyond all": START.encode() + b"G2 X9 Y9 I1e15 J-1e15 F100\n",
    "a far arc": START.encode() + b"G1 X0 Y0 Z-6 F100\nG2 X0 Y0 I900000 J0\nM30\n",
    "lines in thousands": START.encode() + b"G1 X1 F100\n" * 200_000 + b"M30\n",
    "turns in thousands": START.encode() + b"G1 Z-6 F100\n" + b"G2 I40\n" * 3_000 + b"M30\n",
    "a far move": START.encode() + b"G1 Z-6 F100\nG1 X900000000 Y900000000\nM30\n",
    "numbers of lines": b"N99999999999999999999 G0 X1\n" + b"O1 sub\n",
    "two bytes a letter": (START + "G1 X1 F100\n").encode("utf-16"),
}


@pytest.mark.parametrize("name", PROGRAMS)
def test_a_hostile_program_never_passes_and_is_told_within_bounds(tmp_path, name):
    (tmp_path / "d.svg").write_bytes(page(SQUARE))
    (tmp_path / "p.nc").write_bytes(PROGRAMS[name])
    ended = command("prove", "p.nc", *HOW, folder=tmp_path)
    told = ended.code == 1 and "FAIL" in ended.out and not ended.err
    assert told or (ended.code == 2 and ended.is_one_paragraph), ended
    assert ended.is_bounded, ended


CUT = ("cut", "d.svg", "-o", "p.nc", "--thickness", "6")


@pytest.mark.parametrize(
    "options",
    [
        ("--cutter", "1e-300"),
        ("--cutter", "1e300"),
        ("--cutter", "9" * 5_000),
        ("--cutter", "1/0in"),
        ("--cutter", "1/1e-320in"),
        ("--cutter", "3", "--depth-per-pass", "1e-9"),
        ("--cutter", "3", "--scale", "1e9"),
        ("--cutter", "3", "--scale", "1e-9"),
        ("--cutter", "3", "--scale", "inf"),
        ("--cutter", "3", "--width", "1e12"),
        ("--cutter", "3", "--tabs", "1000000000"),
        ("--cutter", "3", "--tolerance", "1e-12"),
        ("--cutter", "3", "--clearance", "1e9"),
        ("--cutter", "3", "--feed", "1e-30"),
        ("--cutter", "3", "--allowance", "-1e6"),
        ("--cutter", "3", "--allowance", "1e6"),
        ("--cutter", "3", "--through", "1e9"),
        ("--cutter", "3", "--flutes", "99999999999999999999"),
        ("--cutter", "0.05", "--width", "5m"),
        ("--cutter", "3", "--feed", "1e12"),
    ],
    ids=" ".join,
)
def test_figures_beyond_reason_are_refused_within_bounds(tmp_path, options):
    (tmp_path / "d.svg").write_bytes(page(SQUARE))
    ended = command(*CUT, *options, folder=tmp_path)
    assert ended.code == 2, ended
    assert ended.is_one_paragraph, ended.err
    assert ended.is_bounded, ended
    assert not (tmp_path / "p.nc").exists()
