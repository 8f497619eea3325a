"""How a program treats the machine, line by line, on programs of a few lines."""

import pytest
import shapely

from outline2path.errors import SettingError
from outline2path.proof.expected import Expected
from outline2path.proof.judge import judge

WANTED = {
    "region_fine": shapely.box(0, 0, 9, 9),
    "side": "on",
    "cutter_mm": 1.0,
    "top_mm": 0.0,
    "bottom_mm": -2.0,
    "clearance_mm": 5.0,
}
BODY = "M3 S9000\nG0 Z5\nG0 X0 Y0\nG1 Z-2 F300\nX9\nY9\nX0\nY0\nG0 Z5"
SOUND = f"G21 G17 G90\n{BODY}\nM5\nM30"


def failed(text, **more) -> dict[str, int | None]:
    proof = judge(text, Expected(**{**WANTED, **more}))
    return {check.name: check.line for check in proof.failed}


def test_the_sound_program_is_sound():
    assert failed(SOUND) == {}


@pytest.mark.parametrize(
    ("old", "new", "name", "line"),
    [
        ("G21 G17", "G17", "start state", None),
        ("G21 G17 G90", "G21 G17 G90 G55", "work zero", 3),
        ("M3 S9000", "S9000", "spindle", 5),
        ("M3 S9000", "M4 S9000", "spindle", 5),
        ("X9\nY9", "X9\nM5\nY9", "spindle", 8),
        (" F300", "", "feed", 5),
        ("X9\nY9", "X9 F0\nY9", "feed", 6),
        ("X9\nY9", "/X9\nY9", "one meaning", 6),
        ("X9\nY9", "T2 M6 M3\nX9\nY9", "cutter", 7),
        ("G0 Z5\nM5", "M5", "end state", 11),
        ("M30", "M30\nG0 X1", "nothing after", 13),
        ("G0 Z5\nG0 X0 Y0", "G0 X0 Y0\nG0 Z5", "rapids", 3),
        ("G0 Z5\nG0 X0 Y0", "G0 Z2\nG0 X0 Y0", "rapids", 4),
        ("G1 Z-2 F300\nX9", "G0 Z-2 F300\nG1 X9", "rapids", 5),
        ("X9\nY9", "G0 X9\nG1 Y9", "rapids", 6),
        ("X9\nY9", "G53 G1 X3\nX9\nY9", "positions", 6),
    ],
)
def test_a_fault_is_named_with_its_line(old, new, name, line):
    found = failed(SOUND.replace(old, new, 1))
    assert name in found
    assert found[name] == line


@pytest.mark.parametrize(
    "change",
    [
        ("M30", "M2"),
        ("M5\nM30", "M30"),
        ("G0 Z5\nG0 X0 Y0", "G53 G0 Z0\nG0 X0 Y0\nG0 Z5"),
        ("G0 Z5\nM5", "G0 Z5\nG53 G0 Z0\nM5"),
        ("G0 Z5\nM5", "G0 Z5\nG28 Z6\nM5"),
        ("G1 Z-2 F300", "G0 Z0.5\nG1 Z-2 F300"),
        ("X0\nY0\nG0 Z5", "X0\nG0 Z5\nG0 Z-2\nG1 Y0\nG0 Z5"),
    ],
)
def test_what_is_clear_and_known_passes(change):
    assert failed(SOUND.replace(*change, 1)) == {}


@pytest.mark.parametrize(("spindle", "found"), [("M5\n", set()), ("", {"end state"})])
def test_a_framed_program_may_end_with_its_second_percent(spindle, found):
    assert set(failed(f"%\n{SOUND.replace('M5', '').replace('M30', spindle + '%')}")) == found


@pytest.mark.parametrize(
    ("header", "ok"),
    [
        ("(cutter: 1.00 mm, 2 flutes)", True),
        ("(cutter 0.0394 in)", True),
        ("(cutter: 1.2 mm)", False),
        ("(cutter: 1 in)", False),
        ("(cutter centre, x: 5.00 mm to 9 mm)", True),
    ],
)
def test_the_header_must_not_name_another_cutter(header, ok):
    assert ("cutter" not in failed(f"{header}\n{SOUND}")) is ok


@pytest.mark.parametrize(
    "more",
    [
        {"side": "under"},
        {"cutter_mm": 0.0},
        {"cutter_mm": float("nan")},
        {"tolerance_mm": -1.0},
        {"bottom_mm": 1.0},
        {"clearance_mm": -1.0},
        {"allowance_mm": -0.5},
        {"region_fine": shapely.LineString([(0, 0), (1, 1)])},
    ],
)
def test_impossible_expectations_are_refused(more):
    with pytest.raises(SettingError):
        judge(SOUND, Expected(**{**WANTED, **more}))
