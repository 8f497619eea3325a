"""Text is made safe to draw and fits the width it is given."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.picture.words import clean, in_words, text_width, wrap
from tests.strategies import numbers


@settings(max_examples=60, deadline=None)
@given(st.text(alphabet="abc WMil.,;-_ 0123456789", max_size=120), numbers(20, 300))
def test_wrapped_lines_fit_and_keep_every_letter(text, width):
    lines = wrap(text, 8, width)
    assert all(text_width(line, 8) <= width or len(line) == 1 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=60))
def test_cleaned_text_is_one_printable_line(text):
    shown = clean(text)
    assert shown.isprintable()
    assert clean(shown) == shown


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("heron\n.svg", "heron .svg"),
        ("\x00\x1b[31mred", "[31mred"),
        ("\u65e5\u672c", "\u25a1\u25a1"),
        ("5 \u00d7 3 mm\u00b2", "5 \u00d7 3 mm\u00b2"),
        ("x" * 900, "x" * 399 + "\u2026"),
    ],
)
def test_what_the_typeface_lacks_becomes_a_box(text, shown):
    assert clean(text) == shown


def test_measured_widths_are_those_the_renderer_draws():
    from matplotlib.figure import Figure

    from outline2path.picture.words import text_style

    figure = Figure(dpi=72)
    words = "gap 2.10 mm wide, the cutter does not pass"
    drawn = figure.text(0, 0, words, **text_style(8, "black"))
    # the renderer fits letters to whole dots, 72 to the inch here: a tenth of a dot a letter
    assert text_width(words, 8) == pytest.approx(drawn.get_window_extent().width, rel=0.06)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0, "0 s"), (59.6, "1 min"), (61, "1 min 1 s"), (3600, "1 h"), (5400, "1 h 30 min")],
)
def test_times_are_written_for_people(seconds, words):
    assert in_words(seconds) == words
