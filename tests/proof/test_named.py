"""Cutters that a header names, against those the job expects: diameter, shape, angle, tip."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.proof.judge import judge
from outline2path.proof.named import named_cutters, unlike
from outline2path.rs274.change import cutter_words
from outline2path.shop.cutter import Cutter, Shape
from tests.proof import works

FLAT, CONE, DRILL = Cutter(6), Cutter(6, shape="v", angle=60), Cutter(6, shape="drill")
BLUNT = Cutter(6, shape="chamfer", angle=90, tip=0.4)


def fault(words, cutter, number=0):
    found = [unlike(named, {number: cutter}) for named in named_cutters([(1, words)])]
    return found[0][0] if found and found[0] else None


@st.composite
def cutters(draw):
    shape = draw(st.sampled_from(get_args(Shape)))
    wide = draw(st.floats(0.5, 60))
    more = {}
    if shape in ("v", "chamfer", "drill"):
        more["angle"] = draw(st.integers(10, 170))
        more["tip"] = draw(st.floats(0, 0.4))
    return Cutter(round(wide, 4), shape=shape, flutes=draw(st.integers(1, 6)), **more)


@given(cutters())
def test_every_cutter_is_known_by_its_own_words(cutter):
    assert fault(f"cutter: {cutter_words(cutter)}", cutter) is None


@given(cutters(), cutters())
def test_a_cutter_of_another_shape_is_never_taken_for_it(one, other):
    found = fault(f"cutter: {cutter_words(one)}", other)
    assert (found is None) <= (one.shape == other.shape)


@pytest.mark.parametrize(
    ("words", "cutter", "told"),
    [
        ("cutter: 6 mm, 2 flutes", CONE, "a flat cutter of 6 mm, not a v cutter of 6 mm"),
        ("cutter: V 60 deg 6 mm, 2 flutes", FLAT, "a v cutter of 6 mm, not a flat cutter"),
        ("cutter: ball 6 mm, 2 flutes", FLAT, "a ball cutter of 6 mm, not a flat cutter"),
        ("cutter: V 90 deg 6 mm, 2 flutes", CONE, "an angle of 90 degrees, not 60"),
        ("cutter: V 60 deg 6 mm, 2 flutes, tip 0.20 mm", CONE, "a tip of 0.2 mm, not 0"),
        ("cutter: chamfer 90 deg 6 mm, 2 flutes", BLUNT, "a tip of 0 mm, not 0.4"),
        ("cutter: drill 6 mm, 2 flutes, point 135 deg", DRILL, "an angle of 135 degrees, not 118"),
        ("cutter: 3.175 mm, 1 flute", FLAT, "a cutter of 3.175 mm, not 6"),
        ("cutter: 0.25 in", FLAT, "a cutter of 6.35 mm, not 6"),
    ],
)
def test_a_difference_is_told(words, cutter, told):
    assert told in fault(words, cutter)


@pytest.mark.parametrize(
    ("words", "cutter"),
    [
        ("cutter: 6 mm", CONE),  # says nothing of the shape
        ("CUTTER = 6.0 MM", FLAT),
        ("cutter: carbide 6 mm", FLAT),  # no shape
        ("cutter: drill 6 mm, 2 flutes", DRILL),  # says nothing of the point
        ("cutter centre, x: -1.00 mm to 5.00 mm", FLAT),
        ("cutter changes: the program waits 5 mm", FLAT),
        ("no word of it", FLAT),
    ],
)
def test_what_is_not_said_is_not_held_against_it(words, cutter):
    assert fault(words, cutter) is None


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("cutter 2: 6 mm, 2 flutes", None),
        ("cutter 2: 5 mm, 2 flutes", "a cutter of 5 mm as cutter 2, not 6"),
        ("cutter 3: 6 mm, 2 flutes", "a cutter 3, expected are 2"),
        ("cutter 2 mm", None),  # two millimetres, and no number
    ],
)
def test_numbered_cutters_are_held_against_their_number(words, told):
    assert fault(words, FLAT, number=2) == told


@pytest.mark.parametrize(
    ("header", "holds"),
    [
        ("cutter: V 90 deg 6 mm, 2 flutes", True),
        ("cutter: 6 mm, 2 flutes", False),
        ("cutter: V 60 deg 6 mm, 2 flutes", False),
        ("cutter: V 90 deg 6 mm, 2 flutes, tip 0.30 mm", False),
    ],
)
def test_the_judge_reads_the_header(header, holds):
    """The same moves made for another cutter would chamfer another width."""
    body = works.chamfered(works.PLATE, works.VEE, width=1.0, tip=-1.5)
    wanted = works.expected([works.feature("chamfer", works.PLATE, -1.5, width_mm=1.0)], works.VEE)
    text = works.Work(wanted, tuple(body)).text.replace("(work)", f"({header})")
    failed = [check.name for check in judge(text, wanted).failed]
    assert failed == ([] if holds else ["cutter"])
