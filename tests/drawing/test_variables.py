"""Custom properties and `var()`."""

import time

import pytest

from outline2path.drawing.variables import custom_properties, substituted
from tests.drawing.samples import area_px2, codes

KNOWN = {"--a": "red", "--b": "1px", "--Case": "blue", "--two": "1px 2px"}

# CSS Custom Properties 1 (from memory).
VALUES = [
    ("var(--a)", "red"),
    ("var( --a )", "red"),
    ("var(--gone, green)", "green"),
    ("var(--gone,)", ""),
    ("var(--gone, var(--a))", "red"),
    ("var(--gone, var(--gone, 3px))", "3px"),
    ("var(--gone, rgb(1, 2, 3))", "rgb(1, 2, 3)"),
    ("calc(var(--b) + 2px)", "calc(1px + 2px)"),
    ("var(--b) var(--b)", "1px 1px"),
    ("translate(var(--two))", "translate(1px 2px)"),
    ("var(--Case)", "blue"),
    ("plain", "plain"),
]


@pytest.mark.parametrize(("text", "value"), VALUES)
def test_a_value_takes_what_its_variables_stand_for(text, value):
    assert substituted(text, KNOWN.get) == value


@pytest.mark.parametrize("text", ["var(--gone)", "1px var(--gone)", "var(--case)", "var()"])
def test_a_value_whose_variable_has_none_is_invalid(text):
    assert substituted(text, KNOWN.get) is None


def test_inner_properties_win_and_see_the_outer_ones():
    inside = custom_properties({"--a": "var(--b)", "--c": "var(--a) 2"}, {"--a": "0", "--b": "7"})
    assert inside == {"--a": "7", "--b": "7", "--c": "7 2"}


@pytest.mark.parametrize(
    "own",
    [{"--a": "var(--a)"}, {"--a": "var(--b)", "--b": "var(--a)"}, {"--a": "var(--gone)"}],
)
def test_a_circle_has_no_value(own):
    assert custom_properties(own, {}) == {}


def test_properties_that_double_one_another_stay_bounded():
    own = {f"--v{k}": f"var(--v{k + 1})var(--v{k + 1})" for k in range(60)} | {"--v60": "x"}
    empty = {f"--e{k}": f"var(--e{k + 1})var(--e{k + 1})" for k in range(60)} | {"--e60": ""}
    start = time.process_time()
    known = custom_properties(own | empty, {})
    assert max(map(len, known.values())) <= 4096
    assert time.process_time() - start < 1


RECT = '<rect fill="var(--c, none)" width="9" height="9"/>'
DRAWINGS = [
    (f'<g style="--c:red">{RECT}</g>', 81),
    (RECT, 0),
    (f"<style>:root{{--c:red}}</style>{RECT}", 81),
    (f"<style>g{{--c:red}} rect{{--c:none}}</style><g>{RECT}</g>", 0),
    (f'<style>#a{{--c:none !important}}</style><g id="a" style="--c:red">{RECT}</g>', 0),
    ('<rect style="--w:20px;width:var(--w);height:calc(var(--w) / 2)"/>', 200),
    ('<g style="--m:scale(2)"><rect style="transform:var(--m)" width="9" height="9"/></g>', 324),
    ('<style>.a{--d:none}.b{display:var(--d,inline)}</style><g class="a">'
     '<rect class="b" width="9" height="9"/></g><rect class="b" width="5" height="5"/>', 25),
]  # fmt: skip


@pytest.mark.parametrize(("body", "area"), DRAWINGS)
def test_a_drawing_is_painted_by_its_variables(body, area):
    assert area_px2(body) == pytest.approx(area)


def test_a_variable_without_value_is_told_with_its_element():
    assert codes('<rect fill="var(--gone)" width="9" height="9"/>') == ("style",)
