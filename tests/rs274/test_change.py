"""Programs that change cutters: the blocks of a change by NISTIR 6556, over chance toolpaths.

M6 takes the cutter last named by T and leaves the spindle stopped (3.6.3, 3.7.3); a coordinate or
feed told before the change is told anew, for hands or a changer may have moved the tool: common
practice, no source.
"""

import re
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.errors import SettingError
from outline2path.path.assemble import Run, assemble_runs
from outline2path.path.toolpath import MOVE, Section, Toolpath
from outline2path.rs274.change import cutter_words, mounting_lines, spindle_lines
from outline2path.rs274.header import Header
from outline2path.rs274.reader import read_program
from outline2path.rs274.writer import write_program
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import Budget
from tests.path.moves import line_contour

FLAT, CONE = Cutter(6, stick_out=22), Cutter(6, shape="v", angle=60, tip=0.2)
THIN = Cutter("1/8 in", flutes=1)
BENCH = {1: FLAT, 2: CONE, 3: THIN}


def runs(order, *, feeds=(900, 700, 800), rpm=(9000, 12000, 10000), depths=(-1.0,)):
    """A slot for every number in the order, each beside the last."""
    return [
        Run(
            contours=(line_contour(n, (5, 4 * n), (25, 4 * n), depths=depths, cutter=BENCH[k]),),
            feed=feeds[k - 1],
            plunge=250,
            top_mm=0.0,
            number=k,
            rpm=rpm[k - 1],
        )
        for n, k in enumerate(order)
    ]


def path_of(order, **more):
    return assemble_runs(runs(order, **more), clearance_mm=5.0, budget=Budget())


def text_of(order, *, units="mm", lengths="touch-off", spin_up_s=2.0, **more):
    return write_program(
        path_of(order, **more),
        header=Header(title="test"),
        rpm=5000,
        units=units,
        lengths=lengths,
        spin_up_s=spin_up_s,
    )


def bare(program):
    lines = (re.sub(r"\s*\([^)]*\)", "", line) for line in program.lines)
    return [line for line in lines if line]


ORDERS = st.lists(st.sampled_from([1, 2, 3]), min_size=2, max_size=5)


def test_the_block_of_a_change_is_as_agreed():
    lines = text_of([1, 2]).lines
    start = lines.index("T2") - 3
    assert lines[start : start + 12] == (
        "G0 Z5.0000",
        "M5",
        "(cutter 2: V 60 deg 6 mm, 2 flutes, tip 0.20 mm)",
        "T2",
        "M6",
        "M0 (set z to the new tip as the machine's manual says, then go on)",
        "M3 S12000",
        "G4 P2",
        "G0 Z5.0000",
        "G0 X25.0000 Y0.0000",
        "(pass 2 of 2: profile, contour 2, z -1.00 mm)",
        "G0 X5.0000 Y4.0000",
    )


def test_the_first_cutter_is_put_in_with_the_spindle_still():
    lines = bare(text_of([1, 2]))
    assert lines[8:13] == ["G0 Z5.0000", "T1", "M6", "M3 S9000", "G4 P2"]
    assert lines[13:15] == ["G0 Z5.0000", "G0 X0.0000 Y0.0000"]


def test_lengths_from_the_table_are_taken_before_any_height_is_told():
    lines = bare(text_of([1, 2], lengths="table"))
    assert lines[8:14] == ["T1", "M6", "G43 H1", "M3 S9000", "G4 P2", "G0 Z5.0000"]
    assert "M0" not in lines
    assert lines[lines.index("T2") :][:4] == ["T2", "M6", "G43 H2", "M3 S12000"]


def test_the_header_lists_every_cutter_by_its_number():
    lines = text_of([1, 2, 1]).lines
    assert [line for line in lines[:8] if line.startswith("(cutter ") and "flutes" in line] == [
        "(cutter 1: 6 mm, 2 flutes)",
        "(cutter 2: V 60 deg 6 mm, 2 flutes, tip 0.20 mm)",
    ]


def test_another_speed_of_the_same_cutter_needs_no_change():
    one, two = runs([1, 1], rpm=(9000, 0, 0))
    path = assemble_runs(
        [one, Run(contours=two.contours, feed=900, plunge=250, top_mm=0, number=1, rpm=7000)],
        clearance_mm=5.0,
        budget=Budget(),
    )
    lines = bare(write_program(path, header=Header(title="test"), rpm=1))
    assert lines.count("M6") == 1
    assert lines[lines.index("M3 S7000") - 1] == "G0 Z5.0000"


@settings(max_examples=40, deadline=None)
@given(
    order=ORDERS,
    units=st.sampled_from(["mm", "in"]),
    lengths=st.sampled_from(["touch-off", "table"]),
)
def test_a_change_keeps_the_standards_rules_and_tells_everything_anew(order, units, lengths):
    lines = bare(text_of(order, units=units, lengths=lengths))
    changes = [n for n, line in enumerate(lines) if line == "M6"]
    assert len(changes) == 1 + sum(a != b for a, b in pairwise(order))
    for n in changes:
        after = lines[n + 1 :]
        spins = next(k for k, line in enumerate(after) if line.startswith("M3 S"))
        moves = next(k for k, line in enumerate(after) if re.match("G[0123] ", line))
        cuts = next(line for line in after if line.startswith("G1"))
        assert re.fullmatch(r"T\d", lines[n - 1])
        assert spins < moves
        assert re.fullmatch("G0 Z[0-9.]+", after[moves])
        assert re.match("G0 X.* Y", after[moves + 1])
        assert " F" in cuts
    for n in changes[1:]:
        assert lines[n - 2] == "M5"
        assert lines[n - 3].startswith("G0 Z")


@settings(max_examples=40, deadline=None)
@given(order=ORDERS, units=st.sampled_from(["mm", "in"]))
def test_read_back_every_move_has_the_cutter_and_the_speed_of_its_pass(order, units):
    motions = read_program(text_of(order, units=units).text)
    work = motions.table[motions.table["end"][:, 2] < 0]
    rpm = {1: 9000, 2: 12000, 3: 10000}
    row = np.rint(work["end"][:, 1] / 4).astype(int)  # slots lie 4 mm apart
    assert work["tool"].tolist() == [order[n] for n in row]
    assert work["rpm"].tolist() == [rpm[order[n]] for n in row]
    assert [change.rpm for change in motions.changes] == [0.0] * len(motions.changes)
    assert min(change.z_mm for change in motions.changes) == pytest.approx(5.0, abs=1e-4), "grid"


@settings(max_examples=15, deadline=None)
@given(order=ORDERS)
def test_a_general_reader_finds_the_same_blocks(order):
    parser = pytest.importorskip("gcodeparser")
    program = text_of(order)
    found = [line.command for line in parser.parse_gcode_lines(program.text)]
    told = [(line[0], int(re.match(r"\d+", line[1:])[0])) for line in bare(program)]
    assert found == told


def test_another_reader_mounts_the_same_cutters():
    pygcode = pytest.importorskip("pygcode")
    machine, mounted = pygcode.Machine(), []
    for line in text_of([1, 2, 1, 3]).lines:
        block = pygcode.Line(line).block
        names = [str(word) for word in block.words] if block else []
        if "T" in "".join(names)[:1]:
            machine.process_block(block)
            mounted.append(int(names[0][1:]))
    assert mounted == [1, 2, 1, 3]


@pytest.mark.parametrize(
    ("cutter", "words"),
    [
        (Cutter(6), "6 mm, 2 flutes"),
        (Cutter(6, shape="ball"), "ball 6 mm, 2 flutes"),
        (Cutter(6, shape="v", angle=60), "V 60 deg 6 mm, 2 flutes"),
        (Cutter(3, shape="drill", angle=135), "drill 3 mm, 2 flutes, point 135 deg"),
        (
            Cutter(6, shape="chamfer", angle=90, tip=0.5),
            "chamfer 90 deg 6 mm, 2 flutes, tip 0.50 mm",
        ),
    ],
)
def test_a_cutter_is_named_so_that_it_is_told_from_others(cutter, words):
    assert cutter_words(cutter) == words


def test_stick_out_is_told_in_the_programs_unit():
    section = Section(operation="pocket", contour=0, cutter=FLAT, z_mm=-1, number=7)
    assert "stands out 0.866 in" in mounting_lines(section, lengths="table", units="in")[1]


def test_no_dwell_is_written_where_the_spindle_needs_none():
    assert spindle_lines(9000, 0.0) == ["M3 S9000"]


def slots(*sections, z=5.0):
    """One move in each section, at one height."""
    rows = [(1, 4, n, 10.0 * n + 1, 0, z, 0, 0, 300) for n in range(len(sections))]
    return Toolpath(
        moves=np.array(rows, MOVE), sections=sections, start=(0, 0, 5), clearance_mm=5.0
    )


def section(number, cutter):
    return Section(operation="pocket", contour=0, cutter=cutter, z_mm=-1, number=number)


@pytest.mark.parametrize(
    ("path", "words"),
    [
        (slots(section(None, FLAT), section(None, THIN)), "2 cutters without a number"),
        (slots(section(1, FLAT), section(1, THIN)), "2 cutters without a number"),
        (slots(section(1, FLAT), section(None, THIN)), "2 cutters without a number"),
        (slots(section(1, FLAT), section(2, THIN), z=4.9), "cutter 2 is wanted at z 4.9 mm"),
    ],
)
def test_a_change_that_cannot_be_made_safely_is_refused(path, words):
    with pytest.raises(SettingError, match=words):
        write_program(path, header=Header(title="test"), rpm=9000)
