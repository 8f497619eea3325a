"""Words beside the plot keep their order, their width and their numbers."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.picture.notes import (
    Badge,
    Block,
    Row,
    blocks_height,
    draw_key,
    draw_notes,
    in_columns,
    key_height,
    split_block,
)
from outline2path.picture.page import new_page
from outline2path.picture.style import MEANINGS

WORDS = st.text(alphabet="abc defgh ij", min_size=1, max_size=80)
BLOCKS = st.lists(
    st.lists(WORDS, max_size=8).map(lambda ws: Block("Head", tuple(Row(words=w) for w in ws))),
    min_size=1,
    max_size=6,
).map(tuple)


@settings(max_examples=40, deadline=None)
@given(BLOCKS, st.integers(1, 4))
def test_columns_keep_all_blocks_in_order(blocks, count):
    columns = in_columns(blocks, count, 160)
    assert len(columns) <= count
    assert tuple(b for column in columns for b in column) == blocks


@settings(max_examples=40, deadline=None)
@given(BLOCKS, st.integers(2, 4))
def test_more_columns_are_never_taller(blocks, count):
    tallest = max(blocks_height(c, 160) for c in in_columns(blocks, count, 160))
    assert tallest <= blocks_height(blocks, 160)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 20), st.integers(1, 5))
def test_a_split_block_keeps_its_rows_and_one_heading(rows, count):
    parts = split_block(Block("Head", tuple(Row(words=str(k)) for k in range(rows))), count)
    assert [r.words for p in parts for r in p.rows] == [str(k) for k in range(rows)]
    assert all(p.heading == "" for p in parts[1:])


@settings(max_examples=15, deadline=None)
@given(BLOCKS)
def test_drawn_rows_stay_in_their_column(blocks):
    page = new_page(blocks_height(blocks, 160), title="T")
    drawn = draw_notes(page.paper, blocks, left_pt=20, top_pt=page.top, width_pt=160)
    dots = page.figure.dpi / 72
    for text in (a for a in drawn if hasattr(a, "get_text") and a.get_text()):
        box = text.get_window_extent()
        # letters are fitted to whole dots when drawn: one dot
        assert box.x1 / dots <= 20 + 160 + 1
        assert box.y0 / dots >= page.low - 1


@pytest.mark.parametrize("name", sorted(MEANINGS))
def test_every_meaning_has_a_sample_in_the_key(name):
    key = Block("Key", (Row(words="w", sign=name),))
    page = new_page(key_height(key, 200), title="T")
    drawn = draw_key(page.paper, key, left_pt=20, top_pt=page.top, width_pt=200)
    # rule, two heads, words, and at least one artist of the sample
    assert len(drawn) >= 5


@pytest.mark.parametrize(("shape", "marker"), [("circle", "o"), ("square", "s"), ("diamond", "D")])
def test_badges_tell_kinds_apart_by_shape(shape, marker):
    page = new_page(60, title="T")
    block = Block("Notes", (Row(words="w", badge=Badge(7, shape)),))
    drawn = draw_notes(page.paper, (block,), left_pt=20, top_pt=page.top, width_pt=160)
    markers = [a.get_marker() for a in drawn if hasattr(a, "get_marker")]
    assert marker in markers
