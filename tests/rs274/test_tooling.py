"""Cutters as the reader follows them: NISTIR 6556, 3.5.11, 3.6.3, 3.7.3 and Table 8."""

import pytest

from outline2path.errors import ProgramError
from outline2path.rs274.reader import read_program

START = "G21 G90 G17\nG0 X0 Y0 Z5\n"


def read(body, **options):
    return read_program(f"{START}{body}\nM2", **options)


@pytest.mark.parametrize(
    ("body", "tools"),
    [
        ("T3\nG0 X1", [0, 0]),  # T alone puts nothing in (3.7.3)
        ("T3\nM6\nG0 X1", [0, 3]),
        ("T3 M6 G0 X1", [0, 3]),  # T, then M6, then the motion (Table 8)
        ("M6 T3 G0 X1", [0, 3]),  # the order of the words says nothing (3.3.6)
        ("T3\nT4\nM6\nG0 X1", [0, 4]),  # the last T counts
        ("T3 M6\nT4\nG0 X1\nM6\nG0 X2", [0, 3, 4]),
        ("M6\nG0 X1", [0, 0]),
    ],
)
def test_m6_puts_in_what_t_named_last(body, tools):
    assert read(body).table["tool"].tolist() == tools


@pytest.mark.parametrize(
    ("body", "rpm"),
    [
        ("M3 S900\nT1 M6\nG0 X1", [0.0, 0.0]),  # the spindle is stopped afterwards (3.6.3)
        ("M3 S900\nT1 M6 M3\nG0 X1", [0.0, 900.0]),  # M6 before M3 on one line (Table 8)
        ("M3 S900\nT1 M6\nM3\nG0 X1", [0.0, 900.0]),  # S stays
    ],
)
def test_the_spindle_stands_still_after_a_change_until_it_is_started_again(body, rpm):
    assert read(body).table["rpm"].tolist() == rpm


def test_a_change_is_noted_with_speed_and_height_until_then():
    motions = read("M3 S900\nG1 Z-1 F9\nT2 M6\nM5 T3 M6")
    assert motions.changes == ((5, 2, 900.0, -1.0), (6, 3, 0.0, -1.0))


def test_a_change_moves_no_axis():
    motions = read("T2 M6\nG0 X4")
    assert motions.table["start"][1].tolist() == [0, 0, 5]


def test_lengths_are_noted_with_the_cutter_they_are_taken_for():
    motions = read("G49\nT2 M6\nG43 H2\nT3 M6\nG43 H2")
    assert motions.tool_lengths == ((3, 0, 0), (5, 2, 2), (7, 2, 3))


@pytest.mark.parametrize("strict", [True, False])
@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("T1.5", "T1.5 is no whole number"),
        ("T-1", "negative"),
        ("G43", "no H is no whole number"),
        ("G43 H1.5", "H1.5 is no whole number"),
        ("G43 H-1", "H-1 is no whole number"),
    ],
)
def test_numbers_that_name_no_place_are_refused(body, words, strict):
    with pytest.raises(ProgramError, match=words):
        read(body, strict=strict)
