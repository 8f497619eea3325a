"""Telling: each finding names its element, and a choice of shapes hears only of its own."""

import pytest

from outline2path.drawing.telling import retold
from outline2path.errors import DrawingError
from tests.drawing.samples import read

BOW = '<path id="bow" d="M60 20L80 40V20L60 40Z"/>'
PLATE = '<rect id="plate" x="5" y="5" width="40" height="30" fill="red"/>'
LIGHT = '<circle id="light" cx="20" cy="20" r="5" fill="white"/>'
LINE = '<path id="line" d="M60 60H90V90" fill="none" stroke="blue"/>'
BROKEN = '<path id="broken" d="M50 50h9v9z L5"/>'
TEXT = "<text>word</text>"
SHEET = PLATE + LIGHT + BOW + LINE + BROKEN + TEXT


def told(outline):
    return {f.code: f for f in outline.findings if f.code != "no-physical-size"}


ABOUT = [
    ("plate", set()),
    ("bow", {"self-crossing"}),
    ("broken", {"bad-shape"}),
    ("line", {"stroke-only"}),
    ("light", set()),
    ("element=path", {"self-crossing", "bad-shape", "strokes-ignored"}),
    ("fill=red", set()),
    ("id=*", {"self-crossing", "bad-shape", "strokes-ignored", "light-paint"}),
]


@pytest.mark.parametrize(("choice", "codes"), ABOUT)
def test_chosen_shapes_hear_of_themselves_and_of_what_is_missing(choice, codes):
    """Text that is not read has no shape to be chosen by: everyone hears of it."""
    assert set(told(read(SHEET).select(choice))) == codes | {"text-skipped"}


def test_light_paint_is_told_only_where_what_it_lies_on_is_chosen_too():
    outline = read(SHEET)
    both = outline.select("element=rect").findings + outline.select("element=circle").findings
    assert not [f for f in both if f.code == "light-paint"]
    assert "light-paint" in told(outline)


def test_findings_of_a_choice_lie_where_the_moved_outline_does():
    here = told(read(SHEET).select("bow"))["self-crossing"].at_mm
    there = told(read(SHEET).move("5 mm", "2 mm").select("bow"))["self-crossing"].at_mm
    assert there == pytest.approx((here[0] + 5, here[1] + 2))


def test_chosen_twice_the_findings_are_the_same():
    once = read(SHEET).select("element=path")
    assert retold(once, once) == once.findings
    assert once.select("id=*").findings == once.findings


@pytest.mark.parametrize(
    ("count", "words"), [(1, "1 shape of nothing but lines"), (3, "3 shapes of nothing but lines")]
)
def test_what_was_left_out_is_counted_in_words_that_fit(count, words):
    found = told(read(PLATE + LINE * count))["strokes-ignored"]
    assert words in found.message
    assert found.severity == "warning"


def test_lines_around_filled_shapes_are_no_warning():
    found = told(read('<rect width="9" height="9" stroke="red"/>'))["strokes-ignored"]
    assert (found.severity, "lines add nothing" in found.message) == ("info", True)


TWICE = '<path id="twice" fill-rule="evenodd" d="M10 10h5v5h-5z{} M40 40h9v9h-9z"/>'


@pytest.mark.parametrize(
    ("more", "number"),
    [("", None), ("M10 10v5h5v-5z", 1), ("M15 15h-5v-5h5z M10 10h5v5h-5z", 2),
     ("M10 10h5v5.001h-5z", None), ("M20 20h5v5h-5z", None)],
)  # fmt: skip
def test_rings_drawn_twice_are_told_with_their_number(more, number):
    found = told(read(TWICE.format(more))).get("ring-twice")
    assert (found is None) == (number is None)
    if found is not None:
        assert f"({number} too many)" in found.message
        assert '"twice"' in found.message


@pytest.mark.parametrize(
    ("d", "lost"),
    [("M0 0H40V40H0Z", None), ("M0 0L40 40V0L0 40Z", 800), ("M0 0H40V20H60H40V40H0Z", None)],
)
def test_a_crossing_edge_is_told_with_the_area_it_changes(d, lost):
    """The bow's loops have opposite signs: a ring of no net area fills 800 square pixels."""
    found = told(read(f'<path d="{d}"/>')).get("self-crossing")
    assert (found is None) == (lost is None)
    if found is not None:
        assert found.value == pytest.approx(lost * (25.4 / 96) ** 2)
        assert found.at_mm == pytest.approx((20 * 25.4 / 96, 80 * 25.4 / 96))


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (TEXT, "text is not read"),
        (LINE, None),
        ('<path d="M0 0"/>', "has no filled shapes"),
        ('<rect width="9" height="9" display="none"/>', "has no filled shapes"),
    ],
)
def test_nothing_to_cut_says_why(body, words):
    if words is None:
        assert not read(body).lines.is_empty
        return
    with pytest.raises(DrawingError, match=words):
        read(body)
