"""Sums of lengths, against Python's own arithmetic."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.drawing.calculating import calculate
from outline2path.drawing.lengths import Basis, to_user_units
from tests.strategies import numbers

BASIS = Basis(width=200, height=80, font=20)

# CSS Values and Units 3 section 8.1 (from memory).
SUMS = [
    ("calc(1px + 2px)", 3),
    ("calc(10px - 2px - 3px)", 5),
    ("calc(2 * 3px)", 6),
    ("calc(3px * 2)", 6),
    ("calc(9px / 2)", 4.5),
    ("calc(1px + 2px * 3)", 7),
    ("calc((1px + 2px) * 3)", 9),
    ("calc(100% - 1em)", 180),
    ("calc(1in - 96px)", 0),
    ("calc(calc(1px + 1px) + 1px)", 3),
    ("calc(-1 * (4px - 6px))", 2),
    (" calc( 5px ) ", 5),
    ("calc(1px + -2px)", -1),
    ("calc(1e1px + .5px)", 10.5),
    ("calc(12 / 4)", 3),
]


@pytest.mark.parametrize(("text", "length"), SUMS)
def test_a_sum_comes_to_what_the_standard_says(text, length):
    assert to_user_units(text, "x", BASIS) == pytest.approx(length)


@pytest.mark.parametrize(
    "text",
    [
        "calc()",
        "calc(1px+2px)",
        "calc(1px +2px)",
        "calc(1px + 2)",
        "calc(2px * 3px)",
        "calc(2 / 3px)",
        "calc(1px / 0)",
        "calc(1px",
        "calc((1px + 2px)",
        "calc(1px 2px)",
        "calc(* 2px)",
        "calc(2 parsec)",
        "calc(min(1px, 2px))",
        "calc(1e999px)",
        "calc(" + "(" * 5000 + "1px" + ")" * 5000 + ")",
        "calc(1px" + " + 1px" * 5000 + ")",
    ],
)
def test_what_is_no_sum_of_lengths_is_none(text):
    assert to_user_units(text, "x", BASIS) is None


def test_a_percentage_in_a_sum_is_of_the_side_it_lies_along():
    assert to_user_units("calc(50% + 1px)", "y", BASIS) == 41


@st.composite
def sums(draw: st.DrawFn, depth: int = 3) -> tuple[str, float]:
    """A sum of lengths and what it comes to."""
    if depth == 0 or draw(st.booleans()):
        value = round(draw(numbers(-9, 9)), 3)
        return f"{value}px", value
    kind = draw(st.sampled_from("+-*/"))
    one, first = draw(sums(depth - 1))
    if kind in "*/":
        factor = round(draw(numbers(0.5, 4)), 2)
        by = f"({one}) {kind} {factor}"
        return by, first * factor if kind == "*" else first / factor
    other, second = draw(sums(depth - 1))
    return f"({one}) {kind} ({other})", first + second if kind == "+" else first - second


@given(sums())
def test_any_sum_is_worked_out_as_python_does(case):
    text, value = case
    found = calculate(text, lambda word: float(word.removesuffix("px")))
    assert found == pytest.approx(value, abs=1e-9)
