"""Writing: what is written as SVG or WKT and read again is the same outline."""

import re
import xml.etree.ElementTree as ET

import pytest
import shapely
from hypothesis import given, settings

from outline2path.drawing.outline import Outline
from outline2path.drawing.reader import read_outline
from outline2path.drawing.writing import svg_of, wkt_of
from tests.drawing.samples import read
from tests.strategies import numbers, regions, sheets, similarities

FLOAT_MM = 1e-9
"""Numbers are written in full; what is left is float64 at a metre or less."""
LINES = '<g fill="none" stroke="red"><path d="M10 10V60H30"/><path d="M70 20L80 80"/></g>'


def shifted(outline: Outline) -> tuple[float, float]:
    """How far the page's corner lies below and left of the origin."""
    x0, y0, _, _ = outline.bounds_mm
    return min(0.0, x0), min(0.0, y0)


def apart_mm(one: shapely.Geometry, other: shapely.Geometry) -> float:
    return shapely.hausdorff_distance(one, other)


@settings(max_examples=40)
@given(sheets(), similarities())
def test_written_and_read_again_an_outline_is_the_same(sheet, matrix):
    outline = Outline.from_shapely(sheet).transformed(matrix)
    again = read_outline(outline.to_svg().encode())
    left, low = shifted(outline)
    assert apart_mm(again.move(left, low).region, outline.region) < FLOAT_MM
    assert again.region.area == pytest.approx(outline.region.area, rel=1e-12)
    assert again.findings == ()


@settings(max_examples=25)
@given(regions(), numbers(0.01, 30))
def test_the_size_written_is_the_size_read(region, factor):
    outline = Outline.from_shapely(region).scale(factor)
    again = read_outline(outline.to_svg().encode())
    assert again.size_mm == pytest.approx(outline.size_mm, abs=FLOAT_MM)
    assert again.source.sized_by == "width or height in mm"


@settings(max_examples=25)
@given(sheets())
def test_a_second_writing_changes_nothing_more(sheet):
    once = read_outline(Outline.from_shapely(sheet).to_svg().encode())
    twice = read_outline(once.to_svg().encode())
    assert apart_mm(once.region, twice.region) < FLOAT_MM
    assert len(shapely.get_coordinates(once.region)) == len(shapely.get_coordinates(twice.region))


BODIES = [
    '<circle cx="50" cy="50" r="30"/>',
    '<path d="M10 10C60 0 90 40 50 60S20 90 10 40Z"/><rect x="60" width="30" height="9" rx="3"/>',
    '<path fill-rule="evenodd" d="M5 5H95V95H5ZM20 20H80V80H20ZM40 40H60V60H40Z"/>',
    '<g transform="rotate(30 50 50) skewX(20)"><ellipse cx="40" cy="50" rx="20" ry="9"/></g>',
    '<rect x="20" y="20" width="40" height="30" rx="8"/><circle cx="60" cy="50" r="20"/>',
]


@pytest.mark.parametrize("body", BODIES)
@pytest.mark.parametrize("factor", [0.1, 1.0, 20.0])
def test_a_drawing_of_curves_reads_back_the_same_at_any_size(body, factor):
    outline = read(body).scale(factor)
    again = read_outline(outline.to_svg().encode())
    assert apart_mm(again.region, outline.region) < FLOAT_MM * max(factor, 1)


def test_lines_for_engraving_read_back_as_lines():
    outline = read(LINES)
    again = read_outline(outline.to_svg().encode())
    assert outline.region.is_empty
    assert apart_mm(again.lines, outline.lines) < FLOAT_MM
    assert again.lines.length == pytest.approx(outline.lines.length)


def test_areas_and_lines_together_read_back_when_lines_are_asked_for():
    outline = read(BODIES[0] + LINES, strokes="centreline")
    again = read_outline(outline.to_svg().encode(), strokes="centreline")
    assert apart_mm(again.lines, outline.lines) < FLOAT_MM
    assert apart_mm(again.region, outline.region) < FLOAT_MM


def test_the_text_is_plain_svg_with_one_path_a_region():
    outline = read(BODIES[2] + LINES, strokes="centreline")
    root = ET.fromstring(outline.to_svg())  # noqa: S314
    paths = root.findall("{http://www.w3.org/2000/svg}path")
    assert root.get("fill-rule") == "evenodd"
    assert len(paths) == len(outline.region.geoms) + 1
    assert paths[-1].get("id") == "lines"
    assert root.get("width") == f"{root.get('viewBox').split()[2]}mm"
    assert not re.search(r"nan|inf|e\d", outline.to_svg().lower().replace("line", ""))


@pytest.mark.parametrize("name", ["a<b>&c", '"quoted"', "é✂"])
def test_the_name_of_the_file_is_written_safely(tmp_path, name):
    path = tmp_path / f"{name}.svg"
    path.write_text(f'<svg width="9mm" height="9mm">{BODIES[0]}</svg>', encoding="utf-8")
    text = read_outline(path, outside_page="keep").to_svg()
    title = ET.fromstring(text)[0]  # noqa: S314
    assert title.text == path.name


@given(regions())
def test_well_known_text_holds_the_region_in_full(region):
    outline = Outline.from_shapely(region)
    again = shapely.from_wkt(outline.to_wkt())
    assert again.geom_type == "MultiPolygon"
    # numbers far below any atom, left by sines, are written as 0
    wanted = pytest.approx(shapely.get_coordinates(outline.region), abs=1e-14)
    assert shapely.get_coordinates(again) == wanted


def test_a_coarser_tolerance_writes_fewer_points():
    disc = read(BODIES[0])
    fine, coarse = (svg_of(disc, tolerance_mm=t) for t in (0.001, 0.1))
    assert len(coarse) < len(fine) / 4
    assert len(wkt_of(disc, tolerance_mm=0.1)) < len(wkt_of(disc, tolerance_mm=0.001)) / 4
