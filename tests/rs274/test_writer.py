"""Programs any controller takes: laws of the portable subset, by pattern, over many toolpaths.

Sources: NISTIR 6556 (sections named below) and the portable subset of sources.md 1.6, of which the
small-controller rules are from memory.
"""

import math
import re
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.errors import SettingError
from outline2path.path.assemble import assemble
from outline2path.path.toolpath import MOVE, Section, Toolpath
from outline2path.rs274.header import Header
from outline2path.rs274.writer import write_program
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import Budget
from tests.path.curves import waves
from tests.path.moves import line_contour, ring_contour, toolpath
from tests.rs274.toolpaths import SECTION, toolpaths

UNITS = st.sampled_from(["mm", "in"])
COMMENT = re.compile(r"\([\x20-\x27\x2a-\x7e]*\)")
MODE = re.compile(r"(G(17|20|21|40|49|54|80|90|94)|M3 S\d+|M5|M6|M30|T\d+|G4 P[\d.]+)")
NUMBER = {"mm": r"-?\d+\.\d{4}", "in": r"-?\d+\.\d{5}"}


def write(path, **options):
    return write_program(path, **{"header": Header(title="test"), "rpm": 9000, **options})


def blocks(program):
    """The blocks without comments and without those that are nothing else."""
    bare = [re.sub(r"\s*\([^)]*\)", "", line) for line in program.lines]
    return [line for line in bare if line]


def motion(program):
    return [line for line in blocks(program) if re.match(r"G[0123]\b", line)]


def pattern(units):
    n = NUMBER[units]
    straight = rf"G[01](?= [XYZ])( X{n})?( Y{n})?( Z{n})?( F\d+(\.\d+)?)?"
    arc = rf"G[23] X{n} Y{n}( Z{n})? I{n} J{n}( F\d+(\.\d+)?)?"
    return re.compile(rf"{straight}|{arc}")


@settings(max_examples=80, deadline=None)
@given(path=toolpaths(), units=UNITS, tool=st.sampled_from([None, 1]))
def test_every_line_is_a_comment_a_mode_or_a_motion_block(path, units, tool):
    program = write(path, units=units, tool=tool)
    assert program.text.isascii()
    assert program.text.endswith("M30\n")
    assert max(map(len, program.lines)) <= 80
    for line in program.lines:
        bare, *comments = re.split(r" (?=\()", line, maxsplit=1) if line[0] != "(" else ("", line)
        assert all(COMMENT.fullmatch(comment) for comment in comments)
        assert not bare or MODE.fullmatch(bare) or pattern(units).fullmatch(bare)


@settings(max_examples=40, deadline=None)
@given(path=toolpaths(), units=UNITS)
def test_numbers_have_no_exponent_and_nothing_is_minus_zero(path, units):
    for line in blocks(write(path, units=units)):
        assert not re.search(r"\d[eE]", line)
        assert not re.search(r"-0\.0+(?!\d)", line)


@settings(max_examples=40, deadline=None)
@given(path=toolpaths())
def test_a_feed_stands_on_or_before_the_first_feed_move_and_never_on_a_rapid(path):
    fed = False
    for line in motion(write(path)):
        fed = fed or " F" in line
        assert line.startswith("G0") or fed
        assert not (line.startswith("G0") and " F" in line)


@settings(max_examples=40, deadline=None)
@given(path=toolpaths())
def test_words_are_written_only_where_they_change(path):
    last = {}
    for line in motion(write(path)):
        words = dict(re.findall(r"([XYZF])(\S+)", line))
        if line[1] in "01":
            assert all(last.get(letter) != words[letter] for letter in words)
        else:
            assert "F" not in words or words["F"] != last.get("F")
        last.update(words)


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_safe_start_comes_in_a_fixed_order_with_the_spindle_on_before_any_cut(units):
    path = toolpath([(1, 0, 0, -1, 0, 0, 300)])
    assert blocks(write(path, units=units, tool=2))[:14] == [
        "G17",
        {"mm": "G21", "in": "G20"}[units],
        *("G40", "G49", "G80", "G54", "G90", "G94"),
        {"mm": "G0 Z5.0000", "in": "G0 Z0.19685"}[units],
        *("T2", "M6", "M3 S9000", "G4 P2"),
        {"mm": "G0 X0.0000 Y0.0000", "in": "G0 X0.00000 Y0.00000"}[units],
    ]


def test_tool_change_and_dwell_can_be_left_out():
    bare = blocks(write(toolpath([]), tool=None, spin_up_s=0))
    assert bare[8:] == ["G0 Z5.0000", "M3 S9000", "G0 X0.0000 Y0.0000", "M5", "M30"]


def test_w9_the_standards_arc_is_written_as_the_standard_writes_it():
    """NISTIR 6556 section 3.5.3.2: at (7, 7), G2 X10 Y16 I3 J4 Z9."""
    path = toolpath([(2, 10, 16, 9, 3, 4, 600)], start=(7, 7, 0))
    assert motion(write(path))[-1] == "G2 X10.0000 Y16.0000 Z9.0000 I3.0000 J4.0000 F600"


def test_a_program_in_inches_says_the_same_in_inches():
    path = toolpath(
        [(2, 10 * 25.4, 16 * 25.4, 0, 3 * 25.4, 4 * 25.4, 1828.8)], start=(177.8, 177.8, 0)
    )
    line = motion(write(path, units="in"))[-1]
    assert line == "G2 X10.00000 Y16.00000 I3.00000 J4.00000 F72"


def test_a_title_precedes_each_pass():
    path = assemble(
        [line_contour(0, (5, 5), (9, 5), depths=(-1.0, -2.0))],
        feed=900,
        plunge=250,
        clearance_mm=5,
        top_mm=0,
        budget=Budget(),
    )
    titles = [line for line in write(path).lines if line.startswith("(pass")]
    assert titles == [
        "(pass 1 of 2: profile, contour 1, z -1.00 mm)",
        "(pass 2 of 2: profile, contour 1, z -2.00 mm)",
    ]


def test_the_header_states_cutter_and_bounds_of_the_path():
    ring = ring_contour(0, waves(300))
    path = assemble([ring], feed=900, plunge=250, clearance_mm=5, top_mm=0, budget=Budget())
    lines = write(path).lines
    assert "(cutter: 3.175 mm, 2 flutes)" in lines
    assert "(cutter centre, z: -1.00 mm to 5.00 mm)" in lines


@settings(max_examples=30, deadline=None)
@given(title=st.text(max_size=200))
def test_no_title_can_break_the_program(title):
    plain = write(toolpath([]), header=Header(title="x"))
    odd = write(toolpath([]), header=Header(title=title))
    assert blocks(odd) == blocks(plain)


@settings(max_examples=30, deadline=None)
@given(path=toolpaths())
def test_general_purpose_readers_read_every_block_as_it_was_meant(path):
    parser = pytest.importorskip("gcodeparser")
    program = write(path)
    found = parser.parse_gcode_lines(program.text, include_comments=False)
    read = [(line.command, dict(line.params)) for line in found if line.command[0] == "G"]
    moves = [(command[1], params) for command, params in read if command[1] in (0, 1, 2, 3)]
    for line, (kind, params) in zip(motion(program), moves, strict=True):
        words = {letter: float(value) for letter, value in re.findall(r"([A-Z])(\S+)", line)}
        assert kind == words.pop("G")
        assert params == pytest.approx(words)  # the same decimal text read twice


@pytest.mark.parametrize("units", ["mm", "in"])
def test_another_reader_follows_the_program_to_its_end(units):
    pygcode = pytest.importorskip("pygcode")
    ring = ring_contour(0, waves(300), depths=(-1.0, -2.0))
    path = assemble([ring], feed=900, plunge=250, clearance_mm=5, top_mm=0, budget=Budget())
    machine = pygcode.Machine()
    *body, last = write(path, units=units).lines
    for line in body:
        block = pygcode.Line(line).block
        if block is not None:
            machine.process_block(block)
    home = (0, 0, 5 if units == "mm" else 0.19685)
    assert last == "M30"
    reached = [machine.pos.X, machine.pos.Y, machine.pos.Z]
    assert reached == pytest.approx(home, abs=1e-9)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"rpm": 0}, "rpm"),
        ({"rpm": math.nan}, "rpm"),
        ({"units": "cm"}, "neither mm nor in"),
        ({"tool": -1}, "tool number"),
        ({"spin_up_s": -1}, "dwell"),
    ],
)
def test_settings_that_make_no_sense_are_refused(options, words):
    with pytest.raises(SettingError, match=words):
        write(toolpath([(1, 1, 0, 0, 0, 0, 300)]), **options)


@pytest.mark.parametrize("feed", [0, -1, math.nan, 1e7])
def test_a_cutting_move_without_a_sensible_feed_is_refused(feed):
    with pytest.raises(SettingError, match="feeds of"):
        write(toolpath([(1, 1, 0, 0, 0, 0, feed)]))


def test_two_cutters_in_one_program_are_refused():
    other = Section(operation="profile", contour=0, cutter=Cutter(6), z_mm=-1)
    path = Toolpath(
        moves=np.zeros(0, MOVE), sections=(SECTION, other), start=(0, 0, 5), clearance_mm=5
    )
    with pytest.raises(SettingError, match="2 cutters"):
        write(path)


def test_a_hundred_thousand_moves_are_written_in_little_time():
    """A loose bound, for a busy machine."""
    rows = np.zeros(100_000, MOVE)
    rows["kind"], rows["feed"], rows["section"] = 1, 900, 0
    rows["x"], rows["y"] = np.random.default_rng(0).uniform(0, 300, (2, 100_000))
    path = Toolpath(moves=rows, sections=(SECTION,), start=(0, 0, 5), clearance_mm=5)
    begun = time.process_time()
    assert write(path).text.count("\nG1 ") == 100_000
    assert time.process_time() - begun < 3


@pytest.mark.parametrize(
    ("options", "word"),
    [
        ({"rpm": 1}, "M3 S1"),
        ({"rpm": 200_000}, "M3 S200000"),
        ({"tool": 0}, "T0"),
        ({"tool": 99_999}, "T99999"),
        ({"spin_up_s": 600}, "G4 P600"),
    ],
)
def test_settings_at_their_bounds_are_written(options, word):
    program = write(toolpath([(1, 1, 0, 0, 0, 0, 300)]), **options)
    assert word in program.lines


@pytest.mark.parametrize(
    "options", [{"rpm": 0.99}, {"rpm": 200_001}, {"tool": 100_000}, {"spin_up_s": 600.5}]
)
def test_settings_just_beyond_their_bounds_are_refused(options):
    with pytest.raises(SettingError, match="outside"):
        write(toolpath([(1, 1, 0, 0, 0, 0, 300)]), **options)
