"""A page gives the plot the room its shape needs and sets the words where they fit."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings

from outline2path.picture.layout import lay_out
from outline2path.picture.notes import Block, Row
from outline2path.picture.page import CAUTION, new_page
from tests.strategies import numbers

NOTES = (
    Block("One", (Row(words="first"), Row(words="second, a longer one that takes two lines"))),
    Block("Two", (Row(words="third", right="12 mm"),)),
)
KEY = Block("Key", tuple(Row(words=f"meaning {k}", sign="edge") for k in range(7)))


def place(ax):
    """Left, low, right and top of axes in points."""
    wide, high = (72 * x for x in ax.figure.get_size_inches())
    box = ax.get_position(original=True)
    return (box.x0 * wide, box.y0 * high, box.x1 * wide, box.y1 * high)


def text_boxes(layout):
    """Extents of all words, in points."""
    dots = layout.figure.dpi / 72
    found = [t for t in layout.words if hasattr(t, "get_text") and t.get_text()]
    return [t.get_window_extent().transformed(_shrunk(dots)) for t in found]


def _shrunk(dots):
    from matplotlib.transforms import Affine2D

    return Affine2D().scale(1 / dots)


@settings(max_examples=25, deadline=None)
@given(numbers(1, 900), numbers(1, 900))
def test_whatever_the_shape_plot_and_words_stay_on_the_page_and_apart(wide, high):
    layout = lay_out((0, 0, wide, high), title="Title", facts="facts", key=KEY, blocks=NOTES)
    x, y = (72 * v for v in layout.figure.get_size_inches())
    left, low, right, top = place(layout.ax)
    assert 0 < left < right < x
    assert 0 < low < top < y
    for box in text_boxes(layout):
        assert box.x0 >= 0
        assert box.x1 <= x
        # words lie outside the plot: beside it, above it or below it
        assert box.x0 >= right or box.y0 >= top or box.y1 <= low


@pytest.mark.parametrize(
    ("ratio", "below"), [(0.3, False), (1.0, False), (2.0, False), (4.0, True)]
)
def test_notes_go_below_a_wide_plot_and_beside_any_other(ratio, below):
    layout = lay_out((0, 0, 100 * ratio, 100), title="Title", blocks=NOTES)
    first = next(t for t in layout.words if getattr(t, "get_text", str)() == "first")
    assert (first.get_position()[1] < place(layout.ax)[1]) == below


def test_the_plot_of_a_long_part_uses_the_whole_width():
    left, _, right, _ = place(lay_out((0, 0, 900, 100), title="Title", blocks=NOTES).ax)
    assert right - left > 0.88 * 648


@pytest.mark.parametrize("count", [1, 4])
def test_small_axes_stand_in_one_row_of_squares(count):
    layout = lay_out((0, 0, 100, 60), title="T", insets=count, inset_head="Enlarged")
    boxes = [place(ax) for ax in layout.insets]
    assert len(boxes) == count
    for x0, y0, x1, y1 in boxes:
        # squares but for float noise of figure fractions
        assert x1 - x0 == pytest.approx(y1 - y0, rel=1e-9)
        assert y1 < place(layout.ax)[1]
    assert all(a[2] < b[0] for a, b in combinations(boxes, 2))


def test_a_long_title_breaks_into_lines_above_the_body():
    page = new_page(100, title="A title that goes on " * 8, facts="facts")
    titles = [t for t in page.words if t.get_fontsize() > 10]
    assert len(titles) == 3
    assert min(t.get_position()[1] for t in titles) > page.top


@pytest.mark.parametrize("caution", ["", CAUTION])
def test_the_caution_stands_under_the_body(caution):
    page = new_page(100, title="T", caution=caution)
    under = [w for w in page.words if hasattr(w, "get_text") and w.get_position()[1] < page.low]
    assert " ".join(w.get_text() for w in under) == caution
