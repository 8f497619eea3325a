"""What a drawing gives back can be read, changed in style, and shown, but not swapped."""

from __future__ import annotations

import pytest

from outline2path.picture.dots import png_size
from outline2path.picture.plan_view import draw_outline, draw_plan
from tests.picture.stand_ins import findings_at, leaf, outline, plan_of_leaf


def test_artists_cannot_be_swapped():
    drawn = draw_outline(outline(leaf()))
    with pytest.raises(TypeError):
        drawn.artists["edge"] = ()


def test_artists_can_be_restyled_one_meaning_at_a_time():
    drawn = draw_outline(outline(leaf()))
    drawn.artists["edge"][0].set_linewidth(3)
    assert list(drawn.artists["edge"][0].get_linewidths()) == [3]


def test_words_carry_the_numbers_of_the_plot():
    drawn = draw_plan(**plan_of_leaf(reach=None, findings=findings_at([(50.0, 50.0)])))
    assert drawn.words[-1] == "1. note number 0; look here"
    assert "drawn outline" in drawn.words


def test_a_notebook_gets_the_picture_and_the_size_to_show_it_at():
    png, shown = draw_outline(outline(leaf()))._repr_png_()
    assert png_size(png) == (2 * shown["width"], 2 * shown["height"])


def test_its_text_names_title_and_meanings():
    text = repr(draw_outline(outline(leaf(), "leaf.svg")))
    assert text == "Drawn('leaf.svg': part, edge, scale)"
