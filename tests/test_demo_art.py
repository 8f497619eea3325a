"""The demo drawings read whole, have the size they state, and fill what a renderer fills."""

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from outline2path.drawing.reader import read_outline
from tests.drawing.renderer import compare, coverage, outline_svg

ART = Path(__file__).parents[1] / "demo_art"
DRAWINGS = sorted(p.stem for p in ART.glob("*.svg"))
ROW = re.compile(
    r"^\| \[(\w+)\.svg\]\(\1\.svg\) \| ([\d.]+) \| ([\d.]+) \| (\d+) \| (\d+) \|", re.M
)
STATED = {row[0]: row[1:] for row in ROW.findall((ART / "README.md").read_text(encoding="utf-8"))}
PIXELS = 2000
NAMESPACES = {
    "http://www.w3.org/2000/svg",
    "http://www.w3.org/1999/xlink",
    "urn:example:village-library",
}

every_drawing = pytest.mark.parametrize("name", DRAWINGS)


@cache
def outline(name):
    return read_outline(ART / f"{name}.svg")


@cache
def drawn(name):
    """Coverage of the drawing itself, by the renderer."""
    return coverage(text(name), PIXELS)


def text(name):
    return (ART / f"{name}.svg").read_text(encoding="utf-8")


def beside_an_edge(cover):
    """Pixels whose own neighbourhood of three by three is neither all empty nor all filled."""
    padded = np.pad(cover, 1, mode="edge")
    around = [
        padded[r : r + cover.shape[0], c : c + cover.shape[1]] for r in range(3) for c in range(3)
    ]
    return np.min(around, axis=0) != np.max(around, axis=0)


def test_there_are_at_least_ten_drawings_and_each_has_its_row():
    assert len(DRAWINGS) >= 10
    assert sorted(STATED) == DRAWINGS


@every_drawing
def test_a_drawing_reads_without_a_warning(name):
    assert [f for f in outline(name).findings if f.severity != "info"] == []
    assert outline(name).region.is_valid


@every_drawing
def test_a_drawing_is_as_large_as_its_row_says(name):
    width, height, _, _ = STATED[name]
    stated = (float(width), float(height))
    assert outline(name).size_mm == pytest.approx(stated, abs=0.0051)  # two decimals are stated


@every_drawing
def test_a_drawing_has_the_parts_and_holes_its_row_says(name):
    parts = outline(name).region.geoms
    counted = (len(parts), sum(len(part.interiors) for part in parts))
    assert counted == tuple(int(number) for number in STATED[name][2:])


@every_drawing
def test_a_drawing_differs_from_a_renderer_at_edge_pixels_only(name):
    ours = coverage(outline_svg(outline(name)), PIXELS)
    off = np.abs(ours - drawn(name)) > 1 / 255
    assert np.count_nonzero(off & ~beside_an_edge(ours)) == 0


@every_drawing
def test_a_drawing_fills_the_area_a_renderer_fills(name):
    """No pixel is off by half; all the small differences at edges sum to under a thousandth."""
    difference = compare(text(name), outline(name), width=PIXELS)
    assert difference.wrong == 0
    assert difference.share < 0.001


@every_drawing
def test_the_area_in_mm_is_the_filled_share_of_the_page(name):
    """The renderer rounds the page to whole pixels before scaling: up to 0.3 % of the area."""
    wide, high = outline(name).source.page_mm
    filled = drawn(name).mean() * wide * high
    assert outline(name).region.area == pytest.approx(filled, rel=0.003)


@every_drawing
def test_a_drawing_is_of_a_size_to_cut(name):
    assert 60 <= max(outline(name).size_mm) <= 210


@every_drawing
def test_a_drawing_holds_nothing_but_svg_and_our_own_words(name):
    spaces = set(re.findall(r'xmlns(?::\w+)?="([^"]+)"', text(name)))
    names = set(re.findall(r"<([\w:]+)", text(name)))
    assert spaces <= NAMESPACES
    assert "<!--" not in text(name)
    assert names.isdisjoint({"text", "image", "filter", "mask", "clipPath"})


@pytest.mark.parametrize(
    "way",
    [
        'width="[\\d.]+mm"',
        'width="[\\d.]+cm"',
        'width="[\\d.]+in"',
        'width="\\d+"',
        "rotate\\(",
        "skewY\\(",
        "matrix\\(",
        "scale\\(",
        "<use ",
        "xlink:href",
        "fill-rule[:=]\\W*evenodd",
        "fill-rule[:=]\\W*nonzero",
        'style="',
        "<style",
        "<metadata",
        "<polygon",
        "<circle",
        ' d="m ',
        "[\\dzZ][cC]",
        "[\\d ]a[\\d.]",
        "[qQ]\\d|[qQ] ",
        "T\\d|T-|T ",
        "[sS][\\d-]",
        'stroke="none"|stroke:none|stroke: none',
    ],
)
def test_the_drawings_together_use_each_way_of_writing(way):
    assert any(re.search(way, text(name)) for name in DRAWINGS)
