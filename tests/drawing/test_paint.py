"""Paint: colours against a plotting library's, gradients and patterns by the standard."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.colors import CSS4_COLORS, to_hex

from outline2path.drawing.document import parse_document
from outline2path.drawing.paint import is_light, opacity_of, paint_of, parse_colour
from outline2path.drawing.styles import apply_styles
from tests.drawing.samples import page


@pytest.mark.parametrize("name", sorted(CSS4_COLORS))
def test_every_named_colour_is_what_the_plotting_library_knows(name):
    assert parse_colour(name).colour == CSS4_COLORS[name].lower()
    assert parse_colour(name.upper()).colour == CSS4_COLORS[name].lower()


channels = st.integers(0, 255)


@given(channels, channels, channels)
def test_a_colour_in_figures_is_the_same_in_every_notation(r, g, b):
    wanted = to_hex((r / 255, g / 255, b / 255))
    for text in (f"rgb({r},{g},{b})", f"rgb({r} {g} {b})", f"rgba({r},{g},{b},1)", wanted):
        assert parse_colour(text).colour == wanted
    shares = [100 * v / 255 for v in (r, g, b)]
    assert parse_colour("rgb({:.4f}%,{:.4f}%,{:.4f}%)".format(*shares)).colour == wanted


# CSS Color 3 and 4 (from memory).
COLOURS = [
    ("#f00", "#ff0000", 1.0),
    ("#F008", "#ff0000", 136 / 255),
    ("#ff000080", "#ff0000", 128 / 255),
    (" red ", "#ff0000", 1.0),
    ("rgb(10.4,2,3)", "#0a0203", 1.0),
    ("rgba(255,0,0,.5)", "#ff0000", 0.5),
    ("rgb(300,-5,0)", "#ff0000", 1.0),
    ("hsl(0,100%,50%)", "#ff0000", 1.0),
    ("hsl(120deg 100% 25%)", "#008000", 1.0),
    ("hsla(240,100%,50%,.25)", "#0000ff", 0.25),
    ("transparent", "#000000", 0.0),
    ("rgb(0 0 0 / 0%)", "#000000", 0.0),
]


@pytest.mark.parametrize(("text", "colour", "alpha"), COLOURS)
def test_a_colour_is_read_with_its_opacity(text, colour, alpha):
    paint = parse_colour(text)
    assert paint.colour == colour
    assert paint.alpha == pytest.approx(alpha, abs=1 / 255)


@pytest.mark.parametrize(
    "text", ["", "#12", "#12345", "reddish", "rgb(1,2)", "x" * 500, "url(#a)"]
)
def test_what_is_no_colour_is_none(text):
    assert parse_colour(text) is None


@pytest.mark.parametrize(
    ("text", "opacity"),
    [("1", 1), ("0", 0), (".5", 0.5), ("50%", 0.5), ("2", 1), ("-1", 0), (" 5e-1 ", 0.5),
     ("half", 1), ("", 1), (None, 1), ("1.2.3", 1), ("250%", 1)],
)  # fmt: skip
def test_an_opacity_lies_between_0_and_1_and_is_whole_where_unreadable(text, opacity):
    assert opacity_of(text) == opacity


@pytest.mark.parametrize(
    ("colour", "light"),
    [("#ffffff", True), ("#ffff00", True), ("#00ff00", True), ("#c0c0c0", True),
     ("#808080", False), ("#ff0000", False), ("#0000ff", False), ("#000000", False),
     ("gradient", False)],
)  # fmt: skip
def test_light_colours_are_told_by_their_luminance(colour, light):
    """WCAG 2 relative luminance (from memory): 0.2126 R + 0.7152 G + 0.0722 B, linear."""
    assert is_light(colour) is light


DEFINED = parse_document(
    page(
        '<linearGradient id="g"><stop stop-color="red"/></linearGradient>'
        '<radialGradient id="r" href="#g"/>'
        '<linearGradient id="none"/>'
        '<linearGradient id="clear"><stop stop-opacity="0"/><stop stop-opacity="0"/>'
        "</linearGradient>"
        '<linearGradient id="half"><stop stop-opacity=".5"/><stop stop-opacity=".2"/>'
        "</linearGradient>"
        '<linearGradient id="loop" href="#pool"/><linearGradient id="pool" href="#loop"/>'
        '<pattern id="p"><rect width="1"/></pattern><pattern id="q" href="#p"/>'
        '<pattern id="empty"/><pattern id="self" href="#self"/><rect id="rect"/>'
    ).encode()
)
apply_styles(DEFINED)

# SVG 2 section 13.2 (from memory): a missing reference is no paint unless a fallback follows.
PAINTS = [
    ("red", "colour", 1),
    ("none", "none", 1),
    ("currentColor", "colour", 1),
    ("url(#g)", "gradient", 1),
    ("url('#g')", "gradient", 1),
    ('url( "#g" ) red', "gradient", 1),
    ("url(#r)", "gradient", 1),
    ("url(#half)", "gradient", 0.5),
    ("url(#p)", "pattern", 1),
    ("url(#q)", "pattern", 1),
    ("url(#gone) blue", "colour", 1),
    ("url(#gone) none", "none", 1),
    ("url(#rect) blue", "colour", 1),
    ("red icc-color(x, 1)", "colour", 1),
]


@pytest.mark.parametrize(("text", "kind", "alpha"), PAINTS)
def test_a_fill_is_resolved_to_its_kind(text, kind, alpha):
    paint = paint_of(text, "teal", DEFINED.by_id)
    assert (paint.kind, paint.alpha) == (kind, alpha)


@pytest.mark.parametrize(
    "text",
    ["none", "transparent", "url(#gone)", "url(#none)", "url(#clear)", "url(#loop)",
     "url(#empty)", "url(#self)", "url(#rect)", "url(other.svg#g)", "url(#gone) url(#g)"],
)  # fmt: skip
def test_paint_that_leaves_nothing_to_see_is_invisible(text):
    assert not paint_of(text, "teal", DEFINED.by_id).visible


def test_the_current_colour_is_the_property_color():
    assert paint_of("currentcolor", "teal", {}).colour == "#008080"
    assert paint_of("sometimes", "teal", {}) is None
