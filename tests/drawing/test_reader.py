"""Reading: policies on strokes, paint and the page, and what a user is told."""

import numpy as np
import pytest

from outline2path.drawing.joining import join_lines
from outline2path.drawing.reader import read_outline
from outline2path.errors import DrawingError, SettingError
from tests.drawing.samples import area_px2, codes, page, read

LINES = 'fill="none" stroke="black"'


def test_a_drawing_of_lines_alone_is_read_by_their_centres():
    body = (
        f'<g {LINES}><rect x="10" y="10" width="50" height="50"/><circle cx="35" cy="35" r="10"/>'
    )
    body += '<path d="M70 10V90"/></g>'
    outline = read(body)
    px = 25.4 / 96
    assert outline.region.area == pytest.approx((2500 - 100 * np.pi) * px**2, rel=1e-3)
    assert outline.lines.length == pytest.approx(80 * px)
    assert "stroke-only" in codes(body)


def test_ends_that_meet_are_joined_and_gaps_are_told():
    body = f'<g {LINES}><path d="M10 10H50V50"/><path d="M10 10V50.1H50"/></g>'
    outline = read(body)
    assert outline.lines.is_empty
    gaps = [f.value for f in outline.findings if f.code == "gap-closed"]
    assert gaps == pytest.approx([0.1 * 25.4 / 96])
    assert read(body, join_mm=0).lines.length > 0


def test_an_outline_drawn_twice_does_not_cancel():
    body = f'<g {LINES}><rect width="50" height="50"/><path d="M50 50H0V0H50Z"/></g>'
    assert area_px2(body) == pytest.approx(2500)


@pytest.mark.parametrize(
    ("strokes", "area"), [("ignore", 900), ("outline", 32**2), ("centreline", 900), (None, 900)]
)
def test_lines_of_filled_shapes_count_only_when_asked(strokes, area):
    body = '<rect x="10" y="10" width="30" height="30" stroke="red" stroke-width="2"/>'
    assert area_px2(body, strokes=strokes) == pytest.approx(area)


def test_lines_left_out_of_a_filled_drawing_are_told():
    body = f'<rect width="30" height="30"/><path {LINES} d="M50 50H90"/>'
    assert codes(body) == ("strokes-ignored",)
    assert codes(body, strokes="ignore") == ()


def test_only_lines_and_strokes_ignored_is_an_error_that_says_so():
    with pytest.raises(DrawingError, match=r"holds only lines.*read its strokes"):
        read(f'<path {LINES} d="M50 50H90"/>', strokes="ignore")


WHITE = '<rect width="50" height="50"/><rect x="10" y="10" width="20" height="20" fill="white"/>'


def test_light_paint_over_dark_is_told_and_can_be_taken_as_a_hole():
    assert codes(WHITE) == ("light-paint",)
    assert area_px2(WHITE) == pytest.approx(2500)
    assert area_px2(WHITE, paint="visible") == pytest.approx(2100)
    assert codes(WHITE, paint="visible") == ()


def test_a_light_page_behind_the_drawing_is_told():
    body = '<rect width="100" height="100" fill="#fff"/><rect width="50" height="50"/>'
    assert codes(body) == ("light-paint",)
    assert area_px2(body, paint="visible") == pytest.approx(2500)


OUTSIDE = (
    '<rect width="50" height="50"/><rect x="90" width="40" height="50"/>'
    '<rect x="200" width="9" height="9"/>'
)


@pytest.mark.parametrize(
    ("how", "area"), [("drop", 2500 + 2000), ("keep", 2500 + 2000 + 81), ("clip", 2500 + 500)]
)
def test_shapes_outside_the_page_are_dealt_with_as_asked_and_told(how, area):
    assert area_px2(OUTSIDE, outside_page=how) == pytest.approx(area)
    assert codes(OUTSIDE, outside_page=how) == ("outside-page", "outside-page")


TOLD = [
    ("<text>a</text>", "text-skipped"),
    ("<image/>", "image-skipped"),
    ("<foreignObject/>", "foreign-skipped"),
    ("<foo/>", "unknown-element"),
    ('<mask id="m"/><rect mask="url(#m)" width="5" height="5"/>', "mask-ignored"),
    ('<g filter="url(#f)"><rect width="5" height="5"/></g>', "filter-ignored"),
    ('<path marker-end="url(#m)" d="M0 0H9V9Z"/>', "marker-ignored"),
    ('<pattern id="p"><rect width="5" height="5"/></pattern>'
     '<rect fill="url(#p)" width="9" height="9"/>', "pattern-as-solid"),
    ('<rect fill="url(#gone)" width="9" height="9"/>', "paint-missing"),
    ('<rect fill="#12" width="9" height="9"/>', "bad-paint"),
    ('<rect fill="#00000080" width="9" height="9"/>', "see-through"),
    ('<rect fill-opacity=".3" width="9" height="9"/>', "see-through"),
    ('<g opacity=".3"><rect width="9" height="9"/></g>', "see-through"),
    ('<rect transform="rotate(a)" width="9" height="9"/>', "bad-transform"),
    ('<rect width="3 parsec" height="9"/>', "bad-length"),
    ('<path d="M0 0L9 9L0 9 foo"/>', "bad-shape"),
    ('<polygon points="0,0 9,0 9,9 7"/>', "bad-shape"),
    ('<circle r="-3"/>', "bad-shape"),
    ('<use href="#gone"/>', "use-missing"),
    ('<use href="other.svg#a"/>', "use-missing"),
    ('<g id="g"><use href="#g"/></g>', "use-circle"),
    ('<rect clip-path="url(#gone)" width="9" height="9"/>', "clip-missing"),
    ('<rect clip-path="circle(9 px)" width="9" height="9"/>', "clip-missing"),
    ('<rect clip-path="inset(1px)" stroke="red" width="9" height="9"/>', "clip-box"),
    ('<rect fill="var(--gone)" width="9" height="9"/>', "style"),
    ('<rect style="zoom:2" width="9" height="9"/>', "style"),
    ('<rect style="mask-image:url(#m)" width="9" height="9"/>', "style"),
    ('<rect style="transform-box:fill-box;transform:rotate(9deg)" width="9" height="9"/>',
     "bad-transform"),
    ('<rect style="width:calc(1px + 2)" height="9"/>', "bad-length"),
    ('<rect stroke="red" stroke-width="wide" width="9" height="9"/>', "bad-length"),
    ('<rect stroke="red" stroke-dasharray="1 2 odd" width="9" height="9"/>', "bad-length"),
    ("<style>@import url(x.css);</style>", "style"),
    ("<style>rect:has(g){fill:none}</style>", "style"),
    ("<style>@media print{rect{fill:none}}</style>", "style"),
    ('<path d="M0 0L9 9V0L0 9Z"/>', "self-crossing"),
    ('<path fill-rule="evenodd" d="M0 0H9V9ZM0 0H9V9Z"/>', "ring-twice"),
    ('<rect x="1e9" width="9" height="9"/>', "too-far"),
]  # fmt: skip


@pytest.mark.parametrize(("body", "code"), TOLD)
def test_whatever_is_not_honoured_is_told_with_its_element(body, code):
    good = '<rect x="50" y="50" width="20" height="20"/>'
    outline = read(f"{body}\n{good}")
    told = [f for f in outline.findings if f.code == code]
    assert len(told) == 1
    assert "line 1" in told[0].message
    assert area_px2(good) <= outline.region.area * (96 / 25.4) ** 2 + 1e-9


def test_the_first_few_of_a_kind_are_told_and_the_rest_counted():
    outline = read("<text/>" * 30 + '<rect width="9" height="9"/>')
    told = [f.message for f in outline.findings if f.code == "text-skipped"]
    assert len(told) == 6
    assert told[-1] == "and 25 more like that (text-skipped)"


def test_a_drawing_without_physical_size_says_how_it_was_sized():
    finding = read('<rect width="96" height="48"/>').findings[0]
    assert finding.code == "no-physical-size"
    assert "25.40 x 12.70 mm" in finding.message
    sized = read_outline(page('<rect width="9" height="9"/>', 'width="9mm" height="9mm"').encode())
    assert sized.findings == ()


@pytest.mark.parametrize(
    "options",
    [{"strokes": "all"}, {"paint": "dark"}, {"outside_page": "hide"}, {"join_mm": -1}],
)
def test_impossible_settings_are_refused(options):
    with pytest.raises(SettingError):
        read('<rect width="9" height="9"/>', **options)


def test_lines_join_end_to_end_in_any_order_and_direction():
    square = np.array([[0, 0], [4, 0], [4, 4], [0, 4], [0, 0.0]])
    sides = [square[k : k + 2][:: 1 - 2 * (k % 2)] for k in (2, 0, 3, 1)]
    joined = join_lines([*sides, np.array([[9, 9], [12, 9.0]])], 0.01)
    assert (len(joined.rings), len(joined.lines), joined.gaps) == (1, 1, ())
    assert len(joined.rings[0]) == 5


def test_languages_choose_among_the_children_of_a_switch():
    german = '<rect systemLanguage="de" width="9" height="9"/>'
    body = f'<switch>{german}<rect width="5" height="5"/></switch>'
    assert area_px2(body) == pytest.approx(25)
    assert area_px2(body, languages=("de", "en")) == pytest.approx(81)


@pytest.mark.parametrize(("gap", "code"), [(0.1, "gap-closed"), (2, "gap-open"), (9, None)])
def test_ends_that_nearly_meet_are_joined_or_told_and_far_ones_are_not(gap, code):
    """In pixels: 0.1 is 0.026 mm, 2 is 0.53 mm, 9 is 2.4 mm."""
    body = f'<path {LINES} d="M10 10H50V50H10V{10 + gap}"/>'
    told = [f for f in read(body).findings if f.code.startswith("gap")]
    assert [f.code for f in told] == ([code] if code else [])
    if told:
        assert told[0].value == pytest.approx(gap * 25.4 / 96)
        px = 25.4 / 96
        assert told[0].at_mm == pytest.approx((10 * px, (90 - gap / 2) * px))
