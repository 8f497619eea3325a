"""The reader against the published standard: its worked cases, its rules, its errors.

Section numbers are those of NISTIR 6556 (2000).
"""

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.errors import ProgramError
from outline2path.rs274.motion import ARC, LINE, RAPID, arc_radii, arc_sweeps, motion_lengths
from outline2path.rs274.reader import read_program
from tests.rs274 import hello

ORIGIN = (0.0, 0.0, 0.0)


def read(body, *, start=ORIGIN, end="M2", **options):
    return read_program(f"{body}\n{end}\n", start_mm=start, **options)


def ends(body, **options):
    return read(body, **options).table["end"].round(9).tolist()


def fault(body, **options):
    with pytest.raises(ProgramError) as caught:
        read(body, **options)
    return caught.value


# The sample program C.1.


def test_hello_has_the_lengths_that_plain_formulas_give():
    table = read_program(hello.HELLO, start_mm=(0, 0, 50)).table
    lengths = motion_lengths(table)
    cut, up = table["kind"] != RAPID, (table["start"][:, :2] == table["end"][:, :2]).all(axis=1)
    plunge = cut & up & (table["kind"] == LINE)
    found = [lengths[cut].sum(), lengths[~cut].sum(), lengths[table["kind"] == ARC].sum()]
    expected = [hello.FEED_MM, hello.RAPID_MM, hello.ARCS_MM]
    assert found == pytest.approx(expected, abs=5e-7), "given to six decimals"
    assert lengths[plunge].sum() == pytest.approx(hello.PLUNGES_MM, abs=5e-7)


def test_hello_has_its_moves_and_its_minutes():
    table = read_program(hello.HELLO, start_mm=(0, 0, 50)).table
    assert dict(enumerate(np.bincount(table["kind"]))) == hello.MOVES
    cut = table[table["kind"] != RAPID]
    minutes = (motion_lengths(cut) / cut["feed"]).sum()
    assert minutes == pytest.approx(9.171523, abs=5e-7), "at F20, six decimals"


def test_hello_has_its_five_arcs():
    table = read_program(hello.HELLO, start_mm=(0, 0, 50)).table
    arcs = table[table["kind"] == ARC]
    assert arcs["line"].tolist() == [18, 31, 42, 48, 58]
    assert np.degrees(arc_sweeps(arcs)) == pytest.approx(hello.SWEEPS_DEG, abs=5e-7)
    assert motion_lengths(arcs) == pytest.approx(hello.LENGTHS_MM, abs=5e-7)
    assert arcs["centre"][3, :2] == pytest.approx([66.5, 0.877501], abs=5e-7)
    assert np.abs(np.subtract(*arc_radii(arcs))).max() == pytest.approx(0, abs=1e-12)


def test_hello_turns_its_spindle_after_the_tool_change_of_the_same_line():
    motions = read_program(hello.HELLO, start_mm=(0, 0, 50))
    assert set(motions.table["rpm"]) == {4000}
    assert set(motions.table["tool"]) == {1}
    assert (motions.end.ended_by, motions.end.line) == ("M2", 61)


# Words and lines, 3.3.


@pytest.mark.parametrize(
    "line",
    [
        "g0x +0. 12 34y 7",
        "g0 x+0.1234 y7",
        "N00012 G00 X.1234 Y7.",
        "y7 x0.1234 g0",
        "\tG 0 X 0.1234 (here) Y 7 (there)",
        "/ n5 g0 x0.1234 y7",
        "(MSG, mind the clamp) G0X0.1234Y+7.0",
        "G0.00001 X0.1234 Y7",
    ],
)
def test_a_line_means_the_same_however_it_is_spelled(line):
    assert ends(line) == [[0.1234, 7, 0]]


@pytest.mark.parametrize(
    ("line", "section"),
    [
        ("G1 X1e3", "3.3.2"),
        ("G1 X", "3.3.2.1"),
        ("G1 X-", "3.3.2.1"),
        ("G1 X1.2.3", "3.3"),
        ("G1 X1 X2", "3.3.5"),
        ("G1 X1 F1 F2", "3.3.5"),
        ("G0 G1 X1", "3.3.5"),
        ("G20 G21", "3.3.5"),
        ("G90 G91", "3.3.5"),
        ("M3 M5", "3.3.5"),
        ("M0 M3 M6 M7 M48", "3.3.5"),
        ("X1 N5", "3.3.1"),
        ("N123456 G1 X1", "3.3.1"),
        ("N-1 G1 X1", "3.3.1"),
        ("N1.5 G1 X1", "3.3"),
        ("G1 X1 (open", "3.3.4"),
        ("G1 X1 (one (two))", "3.3.4"),
        ("G1 X1 )", "3.3"),
        ("G1 X1 ; note", "3.3.4"),
        ("G1 X1 (\x07)", "3.3.4"),
        ("G1 X[1+2]", "3.3.2.2"),
        ("G1 X#5", "3.3.2.2"),
        ("#5=3", "3.3.2.2"),
        ("G1 U1", "3.3.2"),
        ("O100", "3.3.2"),
        ("E5", "3.3.2"),
        ("G1 X\u0663", "3.3"),
        ("G1 X\u00bd", "3.3"),
        ("\ufeffG1 X1", "3.3"),
        ("G1 X99999999", "3.3.2.1"),
        (f"G1 X1 {' ' * 260}", "3.3"),
        ("G91.1", "Tables 5 and 7"),
        ("G5", "Tables 5 and 7"),
        ("G1.5 X1", "Tables 5 and 7"),
        ("G1.003 X1", "3.3.2.1"),
        ("M98", "Tables 5 and 7"),
        ("M3.5", "3.3.2.1"),
        ("%", "3.1"),
    ],
)
def test_a_line_outside_the_language_is_refused_with_its_section(line, section):
    error = fault(f"G21\n{line}")
    assert error.limit == f"NISTIR 6556, {section}"
    assert error.element == "line 2"


def test_an_error_names_line_words_rule_and_section():
    assert str(fault("G21 G90\n\n(corner)\nG1 X1 X2")) == (
        "line 4: the letter X comes twice in a line, in 'G1 X1 X2' (NISTIR 6556, 3.3.5)"
    )


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("G92 X0", "work zero"),
        ("G10 L2 P1 X0", "offsets"),
        ("G38.2 Z-5", "probes"),
        ("G41 D1", "centre"),
        ("G84 X1 Z-1 R1", "drilling"),
        ("G1 A90", "rotary"),
    ],
)
def test_what_the_text_alone_cannot_tell_is_refused_with_the_reason(line, why):
    assert why in fault(line).message


@pytest.mark.parametrize(
    ("text", "by"),
    [
        ("%\nG0 X1\n%\n", "%"),
        ("%\nG0 X1\nM30\n%", "M30"),
        ("G0 X1\r\nM30\r\n", "M30"),
        ("G0 X1\rM2", "M2"),
        ("\n\n % \nG0 X1\n%\nleft over [words]", "%"),
    ],
)
def test_percent_lines_frame_a_program_and_line_ends_do_not_matter(text, by):
    motions = read_program(text)
    assert (len(motions), motions.end.ended_by) == (1, by)


@pytest.mark.parametrize("text", ["", "G0 X1", "%\nG0 X1\nM30", "%", "G0 X1\nM3"])
def test_a_program_without_its_end_is_refused(text):
    with pytest.raises(ProgramError, match=r"3\.1\)"):
        read_program(text)


def test_text_after_the_end_is_found_and_not_executed():
    motions = read_program("G0 X1\nM30\n(done)\n\nG1 Z-50\nG0 Z5")
    assert (len(motions), motions.end.text_after, motions.lines) == (1, 5, 6)


@pytest.mark.parametrize("tail", ["", "\n", "(a) (b)\n", "%\n"])
def test_blank_and_comment_lines_after_the_end_are_no_text(tail):
    text = f"%\nG0 X1\nM30\n{tail}" + ("" if "%" in tail else "%")
    assert read_program(text).end.text_after is None


# Modes and the order of execution, 3.4 and Table 8.


@pytest.mark.parametrize(
    ("body", "row", "field", "value"),
    [
        ("G1 X1 F200 S900 M3", 0, "feed", 200),
        ("G1 X1 F200 S900 M3", 0, "rpm", 900),
        ("G1 X1 F200 M4 S900", 0, "rpm", -900),
        ("S900 M3\nG1 X1 M5", 0, "rpm", 0),
        ("S900 M3\nT2 M6 G1 X1 F1", 0, "rpm", 0),
        ("S900 M3\nT2 M6 M3 G1 X1 F1", 0, "rpm", 900),
        ("S900 M3\nT2 M6 M3 G1 X1 F1", 0, "tool", 2),
        ("M3\nT7\nG1 X1", 0, "tool", 0),
        ("G20 G1 X1 F10", 0, "feed", 254),
        ("G21 F10\nG20 G1 X1", 0, "feed", 254),
        ("G20 F10\nG21 G1 X1", 0, "feed", 10),
        ("G0 X1 F10", 0, "feed", 0),
        ("G93 G1 X10 F2", 0, "feed", 20),
        ("G93 G1 X10 F2\nX20", 1, "feed", 0),
        ("G93 G1 X10 F2\nG94 X20 F7", 1, "feed", 7),
        ("G93 G1 X10 F2\nG94 X20", 1, "feed", 0),
        ("F8\nG94 G1 X20", 0, "feed", 8),
        ("G55 G0 X1", 0, "system", 2),
        ("G59.3 G0 X1", 0, "system", 9),
    ],
)
def test_words_of_a_line_act_in_the_fixed_order_before_its_motion(body, row, field, value):
    assert read(body).table[field][row] == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ("G0 X1 Y2\nZ3\nG1 Y5", [[1, 2, 0], [1, 2, 3], [1, 5, 3]]),
        ("G91 G0 X1 Y2\nX1\nG90 X1", [[1, 2, 0], [2, 2, 0], [1, 2, 0]]),
        ("X1 G1 G91\nX1", [[1, 0, 0], [2, 0, 0]]),
        ("G20 G0 X1\nG21 X1", [[25.4, 0, 0], [1, 0, 0]]),
        ("G4 P2 G1 X1", [[1, 0, 0]]),
        ("G61 G1 X1 M7 M48\nG64 M9 M49 X2", [[1, 0, 0], [2, 0, 0]]),
        ("G40 G49 G54 G80 G94 G99\nG0 X1", [[1, 0, 0]]),
        ("G0 X1 M1\nM0\nM60\nX2", [[1, 0, 0], [2, 0, 0]]),
    ],
)
def test_modes_stay_until_changed(body, expected):
    assert ends(body) == expected


@pytest.mark.parametrize(
    ("body", "section"),
    [
        ("X1", "3.5.1"),
        ("G80 X1", "3.5.15"),
        ("G1 F5", "3.5"),
        ("G1 X1 F-5", "3.7"),
        ("S-1", "3.7"),
        ("T-1", "3.7"),
        ("T1.5", "3.7.3"),
        ("G4", "3.5.4"),
        ("G4 P-1", "3.5.4"),
        ("G1 X1 I5", "3.5"),
        ("G0 X1 P5", "3.5"),
        ("G0 X1 R5", "3.5"),
        ("G53 X1", "3.5.1"),
        ("G2 G53 X1 Y0 I.5", "3.5.12"),
        ("G28 G1 X1", "3.4"),
    ],
)
def test_words_that_cannot_go_together_are_refused(body, section):
    assert fault(body).limit == f"NISTIR 6556, {section}"


def test_dwells_stops_and_skippable_lines_are_counted():
    motions = read("G0 X1\nG4 P0.5\n/G1 X5\nM0\nM1\nG4 P1.25")
    assert (motions.dwell_s, motions.stops, motions.skippable) == (1.75, (4, 5), (3,))


@pytest.mark.parametrize(("switch", "count"), [(False, 3), (True, 2)])
def test_the_block_delete_switch_leaves_lines_out(switch, count):
    assert len(read("G0 X1\n/X2\nX3", block_delete=switch)) == count


def test_comments_and_codes_before_the_first_motion_are_kept():
    motions = read("(heron)\nG21 G90 (mm)\nG17\nG0 X1 (late)\nG20 (later)")
    assert motions.comments == ((1, "heron"), (2, "mm"), (4, "late"))
    assert motions.codes_before_motion == {"G21", "G90", "G17", "G0"}


def test_a_start_that_is_not_told_stays_unknown_axis_by_axis():
    table = read_program("G0 Z5\nX1\nY2\nM2").table
    assert np.isnan(table["start"][0]).all()
    assert np.isnan(table["end"]).tolist() == [
        [True, True, False],
        [False, True, False],
        [False] * 3,
    ]


@pytest.mark.parametrize(
    ("body", "unknown", "target"),
    [
        ("G53 G0 Z0", [False, False, True], 0),
        ("G91 G53 G1 Z-10", [False, False, True], -10),
        ("G20 G53 G0 Z-1", [False, False, True], -25.4),
    ],
)
def test_a_move_in_machine_coordinates_leaves_its_axes_unknown(body, unknown, target):
    row = read(body).table[0]
    assert (np.isnan(row["end"]).tolist(), row["system"]) == (unknown, 0)
    assert row["centre"][2] == pytest.approx(target, rel=1e-12)


def test_going_home_passes_the_point_told():
    table = read("G91 G28 Z5\nG90 G0 X1 Y1 Z1").table
    assert table["end"][0].tolist() == [0, 0, 5]
    assert np.isnan(table["end"][1]).all()
    assert table["end"][2].tolist() == [1, 1, 1]


# Arcs, 3.5.3.


def one_arc(line, start, *, end="M2"):
    table = read(line, start=start, end=end).table
    return table, float(np.degrees(arc_sweeps(table))[0]), float(motion_lengths(table)[0])


@pytest.mark.parametrize(
    ("line", "length"),
    [("G17 G2 X10 Y16 I3 J4", 12.490458), ("G17 G2 X10 Y16 I3 J4 Z9", 15.395179)],
)
def test_the_worked_arc_has_its_centre_radius_sweep_and_length(line, length):
    """Section 3.5.3.2; figures of check value W9."""
    table, sweep, found = one_arc(line, (7, 7, 0))
    assert table["centre"][0, :2].tolist() == [10, 11]
    assert arc_radii(table)[0] == pytest.approx(5, rel=1e-12)
    assert (sweep, found) == pytest.approx((143.130102, length), abs=5e-7), "six decimals"


@pytest.mark.parametrize(
    ("line", "start", "centre", "sweep"),
    [
        ("G3 X0 Y1 R1", (1, 0, 0), (0, 0), 90),
        ("G2 X0 Y1 R1", (1, 0, 0), (1, 1), 90),
        ("G3 X0 Y1 R-1", (1, 0, 0), (1, 1), 270),
        ("G2 X0 Y1 R-1", (1, 0, 0), (0, 0), 270),
        ("G3 X-1 Y0 R1", (1, 0, 0), (0, 0), 180),
        ("G2 X1 I-1", (1, 0, 0), (0, 0), 360),
        ("G3 Y0 I-1 Z-2", (1, 0, 0), (0, 0), 360),
        ("G3 X0 Y1 I-1 J0", (1, 0, 0), (0, 0), 90),
        ("G91 G3 X-1 Y1 I-1", (1, 0, 0), (0, 0), 90),
    ],
)
def test_arcs_turn_the_side_and_the_share_they_say(line, start, centre, sweep):
    table, found, _ = one_arc(line, start)
    assert table["centre"][0, :2] == pytest.approx(centre, abs=1e-12)
    assert found == pytest.approx(sweep, abs=1e-9), "float noise of an arctangent"


@pytest.mark.parametrize(
    ("line", "start", "centre", "normal"),
    [
        ("G18 G2 Z0 X1 K0 I1", (0, 0, 1), (1, 0, 1), 1),
        ("G18 G3 X0 Z1 I-1", (1, 0, 0), (0, 0, 0), 1),
        ("G19 G3 Y0 Z1 J-1", (0, 1, 0), (0, 0, 0), 0),
        ("G19 G2 Y2 Z0 J1 K0 X5", (0, 0, 0), (0, 1, 0), 0),
    ],
)
def test_arcs_in_the_upright_planes_keep_to_their_axes(line, start, centre, normal):
    table, _, _ = one_arc(line, start)
    assert table["centre"][0] == pytest.approx(centre, abs=1e-12)
    assert table["centre"][0, normal] == start[normal]


def test_clockwise_in_the_zx_plane_is_seen_from_positive_y():
    """From +y, z points right and x up in (z, x): clockwise from z = 1 goes to x = -1."""
    _, sweep, _ = one_arc("G18 G2 X-1 Z0 K-1", (0, 0, 1))
    assert sweep == pytest.approx(90, abs=1e-9)


@pytest.mark.parametrize(
    ("differ", "units", "sound"),
    [
        (0.0019, "G21", True),
        (0.0021, "G21", False),
        (0.00019, "G20", True),
        (0.00021, "G20", False),
    ],
)
def test_the_radii_may_differ_by_so_much_and_no_more(differ, units, sound):
    line = f"{units} G2 X{10 + differ:.5f} Y0 I5"
    if sound:
        assert len(read(line)) == 1
    else:
        assert fault(line).limit == "NISTIR 6556, 3.5.3.2"


@pytest.mark.parametrize(
    ("line", "section"),
    [
        ("G2 X5", "3.5.3"),
        ("G2 I5", "3.5.3.2"),
        ("G2 X5 I2.5 R2.5", "3.5.3"),
        ("G2 X5 K2.5", "3.5.3.2"),
        ("G2 X5 Y0 I2.5 K1", "3.5.3.2"),
        ("G18 G2 X5 Y5 J2.5", "3.5.3.2"),
        ("G2 X0 Y0 R5", "3.5.3.1"),
        ("G2 R5", "3.5.3.2"),
        ("G2 X11 Y0 R5", "3.5.3.1"),
        ("G2 X1 I0 J0", "3.5.3.2"),
        ("G2 X1 Y0 I5", "3.5.3.2"),
    ],
)
def test_arcs_that_are_none_are_refused(line, section):
    assert fault(line).limit in {f"NISTIR 6556, {section}", "NISTIR 6556, 3.5.3"}


def test_an_arc_from_an_unknown_point_is_refused():
    with pytest.raises(ProgramError, match="never told"):
        read_program("G2 X5 Y0 I2.5\nM2")


# Drilling cycles, 3.5.16.


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (
            "G90 G81 G98 X4 Y5 Z1.5 R2.8",
            [(0, 4, 5, 3), (0, 4, 5, 2.8), (1, 4, 5, 1.5), (0, 4, 5, 3)],
        ),
        (
            "G90 G81 G99 X4 Y5 Z1.5 R2.8",
            [(0, 4, 5, 3), (0, 4, 5, 2.8), (1, 4, 5, 1.5), (0, 4, 5, 2.8)],
        ),
        (
            "G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3",
            [
                (0, 1, 2, 4.8), (0, 5, 7, 4.8), (1, 5, 7, 4.2), (0, 5, 7, 4.8),
                (0, 9, 12, 4.8), (1, 9, 12, 4.2), (0, 9, 12, 4.8),
                (0, 13, 17, 4.8), (1, 13, 17, 4.2), (0, 13, 17, 4.8),
            ],
        ),
    ],
)  # fmt: skip
def test_the_worked_drilling_cases_give_the_published_moves(line, expected):
    """Section 3.5.16.2, from (1, 2, 3)."""
    table = read(line, start=(1, 2, 3)).table
    found = [(int(r["kind"]), *r["end"].round(9).tolist()) for r in table]
    assert found == expected


def test_a_cycle_keeps_its_numbers_over_the_next_holes():
    table = read("G90 G81 G99 X1 Y0 Z-2 R1\nX2\nX3 Z-3\nG80\nG0 X0", start=(0, 0, 1)).table
    assert table["end"][table["kind"] == LINE].tolist() == [[1, 0, -2], [2, 0, -2], [3, 0, -3]]


def test_pecks_come_out_to_clear_and_back_to_just_above_the_last_bottom():
    """0.010 in back off, from memory of the report."""
    z = read("G83 G98 X0 Y0 Z-3 R0 Q1.25", start=(0, 0, 5)).table["end"][:, 2]
    assert z == pytest.approx([5, 0, -1.25, 5, -0.996, -2.5, 5, -2.246, -3, 5], abs=1e-12)


def test_a_dwell_cycle_counts_its_seconds():
    assert read("G91 G82 X1 Y0 Z-1 R1 P0.5 L4").dwell_s == 2


@pytest.mark.parametrize(
    "line",
    [
        "G81 R1",
        "G81 X1 Z-1",
        "G81 X1 R1",
        "G81 X1 Z2 R1",
        "G82 X1 Z-1 R1",
        "G82 X1 Z-1 R1 P-1",
        "G83 X1 Z-1 R1",
        "G83 X1 Z-1 R1 Q0",
        "G83 X1 Z-1 R1 Q-1",
        "G81 X1 Z-1 R1 L0",
        "G81 X1 Z-1 R1 L1.5",
        "G93 G81 X1 Z-1 R1",
        "G83 X1 Z-1000 R1 Q.0001",
    ],
)
def test_cycles_that_cannot_be_are_refused(line):
    assert fault(line).limit.startswith("NISTIR 6556, 3.5")


def test_cycles_work_in_the_upright_planes():
    table = read("G18 G81 Z2 X3 Y-4 R1", start=(0, 5, 0)).table
    assert table["end"].tolist() == [[3, 5, 2], [3, 1, 2], [3, -4, 2], [3, 5, 2]]


# Lenient reading.


@pytest.mark.parametrize(
    "text",
    [
        "G0 X1",
        "G0 X1 ; note\nM2",
        "N1234567 G0 X1\nM2",
        "G0 X1\nG1 F50\nM2",
        "G0 X1 P4\nM2",
        "G0 X1\n%",
        "%\nG0 X1\nM30",
        f"G0 X1 ({'a' * 300})\nM2",
        "G0 X1 Y0 Z0\nG2 X11.004 Y0 I5\nM2",
        "G0 X1 Y0 Z0\nG2 I5\nM2",
    ],
)
def test_lenient_reading_notes_what_strict_reading_refuses(text):
    with pytest.raises(ProgramError):
        read_program(text)
    motions = read_program(text, strict=False)
    assert motions.table["end"][0, 0] == 1
    assert len(motions.findings) == 1
    assert re.match(r"line \d+: .*\(NISTIR 6556", motions.findings[0].message)


# Laws.

_words = st.lists(
    st.sampled_from(["G0", "G1", "G2", "G3", "X1", "Y-2.5", "Z.5", "I3", "J-1", "R4", "F100"]),
    max_size=7,
).map(" ".join)


@given(st.lists(_words, max_size=5))
@settings(max_examples=150, deadline=None)
def test_plain_lines_mean_the_same_on_both_ways_through_the_reader(lines):
    """An added comment keeps a line off the fast way."""

    def outcome(text):
        try:
            table = read_program(f"{text}\nM2", start_mm=ORIGIN).table
        except ProgramError as error:
            return error.element, error.limit
        return [repr(v) for v in table.tolist()]

    slow = "\n".join(f"{line} ()" for line in lines)
    assert outcome("\n".join(lines)) == outcome(slow)


@given(st.binary(max_size=200) | st.text("GXYZMNFIJR0123456789.-+ ()%/[]#;\n", max_size=120))
@settings(max_examples=300, deadline=None)
def test_any_text_is_read_or_refused(text):
    for strict in (True, False):
        said = ""
        try:
            read_program(text, strict=strict)
        except ProgramError as error:
            said = str(error)
        assert not said or "NISTIR 6556" in said


@pytest.mark.parametrize(
    "text",
    ["X" * 10_000_000, "(" * 3_000_000, "1" * 5_000_000, "G1 X" + "1" * 4000, "\n" * 1_000_000],
)
def test_monstrous_text_is_refused_at_once(text):
    with pytest.raises(ProgramError) as caught:
        read_program(text, strict=not text.strip())
    assert len(str(caught.value)) < 300


def test_lines_are_cut_alike_wherever_the_text_is_chunked(monkeypatch):
    text = "".join(f"G1 X{n} F9\r\n" for n in range(300)) + "M2"
    whole = read_program(text).table
    monkeypatch.setattr("outline2path.rs274.reader._CHUNK_TEXT", 17)
    assert read_program(text).table["line"].tolist() == whole["line"].tolist()
    assert math.isclose(whole["end"][-1, 0], 299)
