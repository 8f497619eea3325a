"""Outlines: moving, fitting, choosing, making, writing."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing.choosing import Choice, parse_choice
from outline2path.drawing.outline import Outline
from outline2path.drawing.reader import read_outline
from outline2path.errors import DrawingError, SettingError
from tests.drawing.samples import page, read
from tests.strategies import numbers, sheets, similarities

PARTS = (
    '<g id="base" *:groupmode="layer"><rect id="plate" class="part big" width="40" height="20"/>'
    '<circle class="part" fill="#f00" cx="60" cy="60" r="10"/></g>'
    '<g data-name="lines"><path id="hook" fill="none" stroke="blue" d="M80 10V90"/></g>'
).replace('*:groupmode="layer"', 'xmlns:d="urn:d" d:groupmode="layer" d:label="Cut"')

BODY = (
    '<path d="M10 10C60 0 90 40 50 60S20 90 10 40Z"/><circle cx="70" cy="70" r="20"/>'
    '<rect x="5" y="70" width="30" height="20" rx="6"/>'
)


def same(one, other, tolerance=1e-6):
    """Square mm by which two outlines differ."""
    return one.region.symmetric_difference(other.region).area < tolerance


@settings(max_examples=30)
@given(numbers(0, 360), numbers(0.2, 3), numbers(-30, 30))
def test_a_similarity_in_the_file_or_after_reading_is_the_same(turn, factor, shift):
    """Both are flattened within 2 micrometres of the same curves, 400 mm of edge at most."""
    matrix = f"translate({shift} 3) rotate({turn}) scale({factor})"
    inside = read(f'<g transform="{matrix}">{BODY}</g>', outside_page="keep")
    px = 25.4 / 96
    after = read(BODY, outside_page="keep").move(0, -100 * px).scale(factor).rotate(-turn)
    after = after.move(shift * px, (100 - 3) * px)
    assert inside.bounds_mm == pytest.approx(after.bounds_mm, abs=1e-9)
    assert same(inside, after, 400 * factor * 0.002)


WRAPPED = [
    f"<g>{BODY}</g>",
    f"<g><g transform='translate(3 4)'><g transform='translate(-3 -4)'>{BODY}</g></g></g>",
    f'<svg>{BODY}</svg>',
    f'<svg width="50" height="50" viewBox="0 0 100 100" overflow="visible">'
    f'<g transform="scale(2)">{BODY}</g></svg>',
    f'<symbol id="s" viewBox="0 0 100 100">{BODY}</symbol><use href="#s"/>',
    f'<defs><g id="s">{BODY}</g></defs><use href="#s" x="5"  transform="translate(-5)"/>',
    f"<switch><g>{BODY}</g></switch>",
    f"<a>{BODY}</a>",
    '<clipPath id="c"><rect width="100" height="100"/></clipPath>'
    f'<g clip-path="url(#c)">{BODY}</g>',
]  # fmt: skip


@pytest.mark.parametrize("body", WRAPPED)
def test_grouping_changes_nothing(body):
    assert same(read(body), read(BODY))


LAYERS = [
    "<g>{}</g>",
    '<g transform="translate(3 4) rotate(30)"><g transform="rotate(-30) translate(-3 -4)">{}'
    "</g></g>",
    "<svg>{}</svg>",
    '<svg x="10" y="10" width="80" height="80" viewBox="10 10 80 80" overflow="visible">{}</svg>',
    '<svg width="50" height="50" viewBox="0 0 100 100" overflow="visible">'
    '<g transform="scale(2)">{}</g></svg>',
    '<symbol id="s{k}" viewBox="0 0 100 100">{}</symbol>'
    '<use href="#s{k}" width="100" height="100"/>',
    '<defs><g id="g{k}">{}</g></defs><use href="#g{k}" x="7" transform="translate(-7)"/>',
    '<switch><g systemLanguage="xx"/><g>{}</g></switch>',
    '<clipPath id="c{k}"><rect width="100" height="100"/></clipPath>'
    '<g clip-path="url(#c{k})">{}</g>',
]


@settings(max_examples=30)
@given(st.lists(st.sampled_from(LAYERS), min_size=1, max_size=6))
def test_groups_symbols_and_viewports_in_any_order_change_nothing(layers):
    """400 mm of edge at most, both flattened within 2 micrometres of the same curves."""
    body = BODY
    for k, layer in enumerate(layers):
        body = layer.replace("{k}", str(k)).replace("{}", body)
    found, wanted = read(body), read(BODY)
    assert found.bounds_mm == pytest.approx(wanted.bounds_mm, abs=1e-9)
    assert same(found, wanted, 400 * 0.002)


@settings(max_examples=20)
@given(sheets(), similarities())
def test_an_outline_written_as_svg_reads_back_the_same(sheet, matrix):
    outline = Outline.from_shapely(sheet).transformed(matrix)
    x0, y0, _, _ = outline.bounds_mm
    outline = outline.move(3 - x0, 2 - y0)
    again = read_outline(outline.to_svg().encode())
    assert again.bounds_mm == pytest.approx(outline.bounds_mm, abs=1e-9)
    assert same(again, outline)
    assert shapely.from_wkt(outline.to_wkt()).equals(outline.region)


def test_a_drawing_written_as_svg_reads_back_the_same():
    for body in (BODY, '<path fill="none" stroke="red" d="M10 10H50V40"/>' + BODY):
        outline = read(body)
        assert same(read_outline(outline.to_svg().encode()), outline)


@pytest.mark.parametrize(
    ("choice", "names"),
    [
        ("plate", ["rect"]),
        ("#plate", ["rect"]),
        (".part", ["rect", "circle"]),
        (".big", ["rect"]),
        ("layer=Cut", ["rect", "circle"]),
        ("label=Cut", ["rect", "circle"]),
        ("label=lines", ["path"]),
        ("layer=C*, fill=red", ["circle"]),
        ("fill=rgb(255, 0, 0)", ["circle"]),
        ("stroke=#00f", ["path"]),
        ("fill=none", ["path"]),
        ("element=circle", ["circle"]),
        ("id=p*,class=part", ["rect"]),
    ],
)
def test_parts_are_chosen_by_name_layer_element_or_colour(choice, names):
    chosen = read(PARTS).select(choice)
    assert [e.element.name for e in chosen.contents()] == names


def test_a_chosen_part_stays_where_it_was_and_lines_alone_are_read_as_lines():
    whole = read(PARTS)
    plate = whole.select("#plate")
    assert plate.bounds_mm == pytest.approx((0, 80 * 25.4 / 96, 40 * 25.4 / 96, 100 * 25.4 / 96))
    assert whole.select("#hook").lines.length == pytest.approx(80 * 25.4 / 96)
    assert plate.fit(width="80 mm").size_mm == pytest.approx((80, 40))


def test_one_file_splits_into_named_outlines():
    assert sorted(read(PARTS).split("id")) == ["base", "hook", "plate"]
    assert list(read(PARTS).split("layer")) == ["Cut"]
    assert list(read(PARTS).split("fill")) == ["#000000", "#ff0000", "none"]


@pytest.mark.parametrize("choice", ["", "size=3", "id=", "=3", ","])
def test_a_choice_without_sense_is_refused(choice):
    with pytest.raises(SettingError, match="chooses nothing"):
        parse_choice(choice)


def test_a_choice_that_finds_nothing_lists_what_there_is():
    with pytest.raises(DrawingError, match=r"id=plate.*layer=Cut"):
        read(PARTS).select(Choice(id="heron"))


def test_every_ring_names_the_elements_it_came_from():
    body = (
        '<rect id="a" width="30" height="30"/><rect id="b" x="20" width="30" height="20"/>'
        '<path id="c" fill-rule="evenodd" d="M60 60H90V90H60ZM70 70H80V80H70Z"/>'
    )
    rings = read(body).rings
    found = sorted((r.is_hole, tuple(e.id for e in r.elements)) for r in rings)
    assert found == [(False, ("a", "b")), (False, ("c",)), (True, ("c",))]


def test_contents_tell_kind_size_place_and_paint():
    plate = read(PARTS).contents()[0]
    px = 25.4 / 96
    assert plate.size_mm == pytest.approx((40 * px, 20 * px))
    assert plate.at_mm == pytest.approx((0, 80 * px))
    assert plate.area_mm2 == pytest.approx(800 * px * px)
    assert str(plate).startswith('<rect> "plate" (line 1) in Cut: area, 10.58 x 5.29 mm at x 0.00')


def test_an_outline_is_made_from_path_data():
    outline = Outline.from_path("M0 0H10V5H0Z M2 1V4H4V1Z")
    assert outline.region.area == pytest.approx(50 - 6)
    assert outline.bounds_mm == (0, -5, 10, 0)
    assert Outline.from_path("M0 0H10V5H0Z", y_up=True).bounds_mm == (0, 0, 10, 5)


@pytest.mark.parametrize("d", ["", "M0 0", "M0 0L1 1 foo", "L5 5", "M0 0H5"])
def test_path_data_that_hold_no_area_are_refused(d):
    with pytest.raises(DrawingError):
        Outline.from_path(d)


@pytest.mark.parametrize(
    "rings", [[], [[(0, 0), (1, 1)]], [[(0, 0), (1, 0), (float("nan"), 1)]], [[(0, 0, 0)] * 3]]
)
def test_rings_that_are_none_are_refused(rings):
    with pytest.raises(DrawingError):
        Outline.from_polygons(rings)


def test_text_has_the_height_of_its_capitals_and_its_holes():
    word = Outline.from_text("BOO", height="30 mm")
    assert word.size_mm[1] == pytest.approx(30, rel=0.05)  # round letters overshoot
    assert len(word.region.geoms) == 3
    assert sum(len(p.interiors) for p in word.region.geoms) == 4
    with pytest.raises(DrawingError, match="cannot be set"):
        Outline.from_text("\U0001f999", height=5)


@pytest.mark.parametrize(
    ("geometry", "words"),
    [
        (shapely.LineString([(0, 0), (1, 1)]), "no area"),
        (shapely.Polygon(), "no area"),
        (shapely.Polygon([(0, 0), (2, 2), (2, 0), (0, 2)]), "not valid"),
    ],
)
def test_geometry_without_sound_area_is_refused(geometry, words):
    with pytest.raises(DrawingError, match=words):
        Outline.from_shapely(geometry)


@pytest.mark.parametrize("tolerance", [0, -1, float("nan"), float("inf")])
def test_a_tolerance_must_be_a_positive_number(tolerance):
    with pytest.raises(SettingError, match="positive"):
        read(BODY).region_within(tolerance)


@pytest.mark.parametrize("matrix", [(0, 0, 0, 0, 0, 0), (1, 2, 2, 4, 0, 0), (math.nan,) * 6])
def test_a_matrix_that_loses_area_is_refused(matrix):
    with pytest.raises(SettingError, match="keep areas"):
        read(BODY).transformed(matrix)


@given(st.sampled_from([0.5, 0.05, 0.005]), numbers(5, 500))
def test_a_region_keeps_to_its_tolerance_at_any_size(tolerance, width):
    """A circle's area differs from the exact one by less than the rim of that width."""
    disc = read('<circle cx="50" cy="50" r="40"/>').fit(width=width)
    lost = math.pi * width**2 / 4 - disc.region_within(tolerance).area
    assert 0 <= lost <= math.pi * width * tolerance


def test_shells_run_counter_clockwise_and_holes_clockwise():
    region = read('<path fill-rule="evenodd" d="M0 0H50V50H0ZM10 10H40V40H10Z"/>').mirror().region
    assert region.geoms[0].exterior.is_ccw
    assert not region.geoms[0].interiors[0].is_ccw


def test_findings_move_with_their_outline():
    crossing = read('<path d="M10 10L50 50V10L10 50Z"/>')
    finding = next(f for f in crossing.findings if f.code == "self-crossing")
    px = 25.4 / 96
    assert finding.at_mm == pytest.approx((30 * px, 70 * px))
    moved = crossing.scale(2).move(5, 0)
    again = next(f for f in moved.findings if f.code == "self-crossing")
    assert again.at_mm == pytest.approx((60 * px + 5, 140 * px))


def test_the_page_is_kept_for_people():
    source = read_outline(page(BODY, 'width="30mm" height="2in"').encode()).source
    assert source.page_mm == pytest.approx((30, 50.8))
    assert source.page_px == pytest.approx((30 * 96 / 25.4, 192))
    assert len(source.sha256) == 64
