"""What the sheet tells a person to do."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.picture.sheet_content import Room
from outline2path.picture.sheet_drawings import cutter_drawing, turn_drawing, zero_drawing
from outline2path.picture.sheet_words import (
    CAUTIONS,
    checklist,
    clock,
    length,
    room_words,
    tool_checks,
    turn_words,
)
from tests.picture.sheets import PROGRAM, SET_UP, TOOL


@pytest.mark.parametrize(
    ("mm", "units", "said"),
    [
        (0, "mm", "0"),
        (-0.001, "mm", "0"),
        (9.3, "mm", "9.3"),
        (-2.5, "mm", "\u22122.5"),
        (25.4, "in", "1"),
    ],
)
def test_lengths_say_no_more_than_they_need(mm, units, said):
    assert length(mm, units) == f"{said}\u00a0{units}"


@given(mm=st.floats(-500, 500))
def test_lengths_read_back_to_what_they_were(mm):
    back = float(length(mm, "mm").split("\u00a0")[0].replace("\u2212", "-"))
    assert back == pytest.approx(mm, abs=0.00501)  # two decimals


@pytest.mark.parametrize(
    ("seconds", "said"), [(59.4, "59 s"), (59.6, "1 min 00 s"), (3599.7, "1 h 00 min")]
)
def test_times_never_say_sixty(seconds, said):
    assert clock(seconds).replace("\u00a0", " ") == said


@pytest.mark.parametrize(("axis", "edge"), [("y", "left edge"), ("x", "front edge")])
def test_turning_over_names_the_edge_that_goes_across(axis, edge):
    said = turn_words(replace(SET_UP, turned=axis))
    assert f"its {edge} goes" in said
    assert "zero anew" in said


@pytest.mark.parametrize("what", ["Dust", "Eyes", "Ears", "Fire", "Tape and glue", "Loose pieces"])
def test_the_usual_dangers_are_named(what):
    assert what in dict(CAUTIONS)


def test_a_cut_through_asks_for_a_waste_board():
    said = " ".join(checklist(replace(SET_UP, through_mm=0.3), "mm", program_units="mm"))
    assert "goes 0.3\u00a0mm below it" in said
    assert "G21" in said


def test_a_cutter_of_unknown_stick_out_asks_for_enough():
    tool = replace(TOOL, stick_out_mm=None, reach_mm=9.3)
    said = tool_checks(replace(PROGRAM, tool=tool), "mm")[0]
    assert "more than 9.3\u00a0mm" in said


def test_without_a_machine_the_room_is_for_the_person_to_check():
    assert "yourself" in room_words(replace(PROGRAM, room=()), "mm")


def test_the_tightest_place_is_told():
    rooms = [Room(what=w, needed_mm=n, there_mm=10) for w, n in (("a", 1), ("b", 9.5), ("c", 3))]
    assert replace(PROGRAM, room=tuple(rooms)).tightest.what == "b"


@pytest.mark.parametrize("shape", ["flat", "ball", "v", "chamfer", "drill", "facing"])
def test_every_cutter_has_a_drawing(shape):
    drawing = ElementTree.fromstring(cutter_drawing(replace(TOOL, shape=shape)))  # noqa: S314
    assert shape in drawing.get("aria-label")


@pytest.mark.parametrize(("across", "up"), [(0, 0), (0.5, 0.5), (1, 1), (0.13, 0.8)])
def test_work_zero_is_drawn_where_it_lies(across, up):
    zero = replace(SET_UP.zero, across=across, up=up)
    drawing = ElementTree.fromstring(zero_drawing(replace(SET_UP, zero=zero)))  # noqa: S314
    blank = drawing.find("rect")
    mark = drawing.find("circle")
    x, y, wide, high = (float(blank.get(k)) for k in ("x", "y", "width", "height"))
    # written with one decimal
    assert float(mark.get("cx")) == pytest.approx(x + across * wide, abs=0.11)
    assert float(mark.get("cy")) == pytest.approx(y + (1 - up) * high, abs=0.11)


def test_a_blank_that_is_not_turned_has_no_drawing_of_it():
    assert turn_drawing(SET_UP) == ""
    assert "about the x axis" in turn_drawing(replace(SET_UP, turned="x"))


def test_clamps_are_drawn_where_they_stand():
    held = replace(SET_UP, clamps_mm=((0, 20, 30, 40), (110, -500, 130, 5)))
    drawing = ElementTree.fromstring(zero_drawing(held))  # noqa: S314
    wide, high = (float(v) for v in drawing.get("viewBox").split()[2:])
    clamps = [p for p in drawing.iter("path") if p.get("class") == "clamp"]
    assert len(clamps) == 2
    for clamp in clamps:
        numbers = [float(n) for n in re.findall(r"-?[\d.]+", clamp.get("d"))]
        assert 0 <= min(numbers) <= max(numbers) <= max(wide, high)
