"""Lengths: every unit exactly, and nothing that is no length."""

import math

import pytest
from hypothesis import given

from outline2path.drawing.lengths import Basis, split_length, to_user_units
from outline2path.drawing.reader import read_outline
from outline2path.errors import SettingError
from tests.strategies import numbers

EXACT = 1e-9
"""Relative; the promise of true size."""

# CSS Values and Units 3, section 5.2 (from memory): 1in = 96px = 25.4mm, 1pt = 1/72in,
# 1pc = 1/6in, 1Q = 1/40cm.
UNITS = [
    ("1in", 96.0),
    ("1mm", 96 / 25.4),
    ("1cm", 96 / 2.54),
    ("1Q", 96 / 101.6),
    ("1pt", 4 / 3),
    ("1pc", 16.0),
    ("1px", 1.0),
    ("1", 1.0),
    ("+2.5e1MM", 25 * 96 / 25.4),
    (" 3 in ", 288.0),
    ("2em", 40.0),
    ("2ex", 20.0),
    ("2ch", 20.0),
    ("2rem", 32.0),
    ("10vw", 50.0),
    ("10vh", 20.0),
    ("10vmin", 20.0),
    ("10vmax", 50.0),
]
BASIS = Basis(width=300, height=400, font=20, page_width=500, page_height=200)


@pytest.mark.parametrize(("text", "px"), UNITS)
def test_a_length_is_as_many_pixels_as_the_standard_says(text, px):
    assert to_user_units(text, "x", BASIS) == pytest.approx(px, rel=EXACT)


@pytest.mark.parametrize(
    ("along", "whole"), [("x", 300), ("y", 400), ("other", math.sqrt((300**2 + 400**2) / 2))]
)
def test_a_percentage_is_of_the_side_it_lies_along(along, whole):
    """SVG 2 section 8.9 (from memory)."""
    assert to_user_units("25%", along, BASIS) == pytest.approx(whole / 4, rel=EXACT)


@pytest.mark.parametrize(
    "text", ["", "auto", "3 parsec", "3mmm", "--3", "1e999", "nan", "3 4", "3%%", "x" * 1000]
)
def test_what_is_no_length_is_none(text):
    assert to_user_units(text, "x", BASIS) is None
    assert split_length("3.5parsec") == (3.5, "parsec")


ROOTS = [
    ('width="30mm" height="20mm"', 30.0),
    ('width="3cm" height="2cm"', 30.0),
    ('width="2in" height="1in"', 50.8),
    ('width="72pt" height="36pt"', 25.4),
    ('width="6pc" height="3pc"', 25.4),
    ('width="400Q" height="40Q"', 100.0),
    ('width="96px" height="48px"', 25.4),
    ('width="192" height="48"', 50.8),
    ('width="100mm" height="7mm"', 100.0),
]


@pytest.mark.parametrize(("size", "wide"), ROOTS)
def test_the_page_has_its_true_size_in_mm(size, wide):
    svg = f'<svg {size}><rect width="100%" height="100%"/></svg>'
    assert read_outline(svg.encode()).size_mm[0] == pytest.approx(wide, rel=EXACT)


@pytest.mark.parametrize("unit", ["mm", "cm", "in", "pt", "pc", "Q", "px"])
def test_a_view_box_scales_its_units_to_the_true_size(unit):
    """A box of 300 units over a page of 75 of the unit: 100 units are 25 of it."""
    svg = (
        f'<svg width="75{unit}" height="75{unit}" viewBox="-7 3 300 300">'
        '<rect x="10" y="10" width="100" height="50"/></svg>'
    )
    per_unit = to_user_units(f"1{unit}", "x", Basis()) * 25.4 / 96
    outline = read_outline(svg.encode())
    assert outline.size_mm == pytest.approx((25 * per_unit, 12.5 * per_unit), rel=EXACT)
    # 10 lies 17 units right of the box's edge at -7; 60 lies 243 above its lower edge at 303.
    assert outline.bounds_mm[:2] == pytest.approx(
        (17 / 4 * per_unit, (303 - 60) / 4 * per_unit), rel=EXACT
    )


@pytest.mark.parametrize(("ppi", "wide"), [(96, 25.4), (90, 96 / 90 * 25.4), (72, 96 / 72 * 25.4)])
def test_old_drawings_have_other_pixels_to_the_inch(ppi, wide):
    svg = b'<svg width="96" height="96"><rect width="96" height="1in"/></svg>'
    assert read_outline(svg, ppi=ppi).size_mm == pytest.approx((wide, 25.4), rel=EXACT)


@given(numbers(0.5, 900))
def test_millimetres_in_the_file_are_millimetres_in_the_outline(length):
    svg = f'<svg width="1000mm" height="1000mm"><rect width="{length!r}mm" height="9mm"/></svg>'
    assert read_outline(svg.encode()).size_mm[0] == pytest.approx(length, rel=EXACT)


@pytest.mark.parametrize("ppi", [0, -96, float("nan"), 1e9])
def test_impossible_pixels_to_the_inch_are_refused(ppi):
    with pytest.raises(SettingError, match="pixels to the inch"):
        read_outline(b"<svg/>", ppi=ppi)
