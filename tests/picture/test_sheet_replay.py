"""The data of the picture that moves."""

from __future__ import annotations

import base64
import json
from dataclasses import replace

import numpy as np
import pytest

from outline2path.picture.sheet_replay import replay_data
from tests.picture.blocks import program
from tests.picture.sheets import PROGRAM, SET_UP, TOOL


def decoded(page=PROGRAM):
    data = json.loads(replay_data(page, SET_UP, units="mm"))
    moves = np.frombuffer(base64.b64decode(data["moves"]), "<f4").reshape(-1, 5)
    return data, moves, np.frombuffer(base64.b64decode(data["lines"]), "<i4")


def test_moves_end_where_the_program_says():
    _, moves, _ = decoded()
    assert moves[-2, :3].tolist() == [20, 20, -2]
    assert moves[-1, :3].tolist() == [20, 20, 5]


def test_times_rise_to_the_programs_own():
    _, moves, _ = decoded()
    assert (np.diff(moves[:, 3]) >= 0).all()
    assert moves[-1, 3] == pytest.approx(100)


def test_each_move_points_at_its_block():
    data, moves, lines = decoded()
    text = data["text"].split("\n")
    cutting = [text[n - 1] for n, feed in zip(lines, moves[:, 4], strict=True) if feed > 0]
    assert all(block.startswith("G1 ") for block in cutting)
    assert len(cutting) == 5


def test_rapids_have_no_feed():
    _, moves, lines = decoded()
    assert moves[-1, 4] == 0
    assert moves[lines == 3][:, 4].tolist() == []


def test_arcs_are_told_as_chords_near_enough_for_the_eye():
    text = program("G0 X30 Y40", "G1 Z-1", "G2 X30 Y40 I20 J0")
    _, moves, lines = decoded(replace(PROGRAM, text=text))
    ring = moves[lines == 6, :2]
    # float32 of numbers below 100 keeps 5 decimals
    assert np.hypot(*(ring - [50, 40]).T) == pytest.approx(20, abs=1e-4)
    assert len(ring) > 50


def test_a_text_cannot_end_its_own_element():
    page = replace(PROGRAM, text=PROGRAM.text.replace("M30", "(</script>)\nM30"))
    raw = replay_data(page, SET_UP, units="mm")
    assert "<" not in raw
    assert "(</script>)" in json.loads(raw)["text"]


def test_a_program_that_moves_nothing_has_no_moves():
    data, moves, lines = decoded(replace(PROGRAM, text="G21\nM30\n"))
    assert len(moves) == len(lines) == 0
    assert data["start"] == [0, 0, 0]


def test_each_cutter_is_drawn_from_its_change_on():
    """Cutter 2, 3 mm wide, comes after the first cut; 7 is none of the page's."""
    change = ("G0 Z5", "T2 M6", "G1 X40 Y40", "T7 M6", "G1 X50 Y40")
    text = program("G0 X30 Y40", "G1 Z-1", "G1 X35", *change)
    tools = tuple(replace(TOOL, number=n, diameter_mm=d) for n, d in ((1, 6.0), (2, 3.0)))
    page = replace(PROGRAM, text=text, turns=tools)
    data, moves, lines = decoded(page)
    assert [wide for _, wide in data["radii"]] == [3.0, 1.5, 1.5]
    first = data["radii"][1][0]
    assert moves[first, :2].tolist() == [40, 40]
    assert lines[first - 1] < lines[first]


def test_one_cutter_is_drawn_throughout():
    assert decoded()[0]["radii"] == [[0, 3.0]]
