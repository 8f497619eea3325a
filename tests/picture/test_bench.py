"""Cutter, stock and machine show themselves: to scale, with units, well formed."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings

from outline2path.picture.bench import (
    cutter_html,
    cutter_svg,
    machine_html,
    stock_html,
    stock_svg,
)
from outline2path.shop.cutter import Cutter
from outline2path.shop.machine import Machine
from outline2path.shop.stock import Stock
from tests.strategies import numbers

SVG = "{http://www.w3.org/2000/svg}"
CUTTERS = [
    Cutter("1/8 in", flutes=1),
    Cutter("6 mm", shape="ball"),
    Cutter("6 mm", shape="v", angle=60, tip="0.2 mm"),
    Cutter("10 mm", shape="chamfer", angle=90),
    Cutter("4 mm", shape="drill"),
    Cutter("25 mm", shape="facing", shank="8 mm"),
    Cutter("0.5 mm"),
    Cutter("3 mm", flute_length="30 mm", stick_out="35 mm", holder="20 mm"),
]


def _root(svg):
    return ElementTree.fromstring(svg)  # noqa: S314


def silhouette(cutter):
    """The points of a cutter's silhouette, pixels, y down."""
    path = _root(cutter_svg(cutter)).find(f"{SVG}path").get("d")
    return [tuple(map(float, p.split())) for p in re.findall(r"[ML](-?[\d.]+ -?[\d.]+)", path)]


@pytest.mark.parametrize("cutter", CUTTERS, ids=lambda c: c.label)
def test_a_silhouette_is_the_same_left_and_right_and_stays_on_its_ground(cutter):
    root = _root(cutter_svg(cutter))
    points = silhouette(cutter)
    middle = (min(x for x, _ in points) + max(x for x, _ in points)) / 2
    lefts = sorted(2 * middle - x for x, _ in points)
    assert sorted(x for x, _ in points) == pytest.approx(lefts, abs=0.02)  # two decimals written
    assert all(0 <= x <= float(root.get("width")) for x, _ in points)
    assert all(0 <= y <= float(root.get("height")) for _, y in points)


@settings(max_examples=20, deadline=None)
@given(numbers(20, 120), numbers(1, 20))
def test_a_cone_is_drawn_at_its_angle(angle, wide):
    # a cone of included angle a rises by r / tan(a / 2) (elementary geometry)
    points = silhouette(Cutter(wide, shape="v", angle=angle))
    half = (max(x for x, _ in points) - min(x for x, _ in points)) / 2
    tip = max(points, key=lambda p: p[1])
    shoulder = max(y for x, y in points if abs(abs(x - tip[0]) - half) < 0.02)
    assert (tip[1] - shoulder) == pytest.approx(half / math.tan(math.radians(angle / 2)), abs=0.1)


def test_a_ball_is_drawn_round():
    points = silhouette(Cutter(6, shape="ball"))
    low = max(y for _, y in points)
    half = (max(x for x, _ in points) - min(x for x, _ in points)) / 2
    middle = low - half
    tip = [math.hypot(x - 58, y - middle) for x, y in points if y > middle]
    assert tip == pytest.approx([half] * len(tip), abs=0.05)  # two decimals are written


@pytest.mark.parametrize("cutter", CUTTERS, ids=lambda c: c.label)
def test_the_table_of_a_cutter_holds_what_is_known_with_units(cutter):
    page = cutter_html(cutter)
    assert f"{cutter.diameter_mm:g}" in page
    assert ("stick-out" in page) == (cutter.stick_out_mm is not None)
    assert ("included angle" in page) == cutter.is_conical
    assert "<th" in page
    assert "None" not in page


def rectangles(stock):
    root = _root(stock_svg(stock))
    return [(float(r.get("width")), float(r.get("height"))) for r in root.iter(f"{SVG}rect")]


def test_a_blank_is_drawn_to_scale_from_above():
    above, front = rectangles(Stock("200 x 150 x 40 mm"))
    assert above[0] / above[1] == pytest.approx(200 / 150, rel=0.01)  # a decimal is written
    assert front[0] / front[1] == pytest.approx(200 / 40, rel=0.01)


@pytest.mark.parametrize(("grain", "run"), [("x", "h"), ("y", "v"), (None, "")])
def test_the_grain_runs_as_told(grain, run):
    stock = Stock("200 x 150 x 9 mm", grain=grain)
    found = re.findall(r'd="(M[^"]*)"', stock_svg(stock))
    assert [set(re.findall("[hv]", path)) for path in found] == ([{run}] if run else [])
    assert ("grain along" in stock_html(stock)) == bool(run)


def test_a_blank_of_unknown_size_says_so():
    assert "size not told" in stock_svg(Stock(thickness=6))
    assert len(rectangles(Stock(thickness=6))) == 1


def test_a_machine_tells_its_figures_axis_by_axis():
    page = machine_html(Machine(greatest_feed=("3 m/min", "2 m/min", "600 mm/min"), power=300))
    assert "3000, 2000, 600" in page
    assert "mm/min" in page
    assert ">300<" in page
    assert "bed to collet" not in page  # not told


@pytest.mark.parametrize(
    "value", [CUTTERS[0], Stock("200 x 150 x 9 mm"), Machine()], ids=lambda v: type(v).__name__
)
def test_values_of_the_shop_show_themselves(value):
    assert "<table>" in value._repr_html_()
    if hasattr(value, "_repr_svg_"):
        _root(value._repr_svg_())


def test_words_from_outside_are_escaped():
    assert "<b>" not in cutter_html(Cutter(3, name="<b>best</b>"))
    assert "<b>" not in machine_html(Machine(name="<b>mill</b>"))
