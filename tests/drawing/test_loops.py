"""Loops: lines closed to rings, all of a drawing at once, as each would be by itself."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from outline2path.drawing.loops import different_edges, loops_of, rings_table

whole = st.integers(0, 4).map(float)
lines = st.lists(st.tuples(whole, whole), min_size=1, max_size=9).map(np.array)


def distinct(line):
    """Corners left when repeated points and the closing one are dropped."""
    kept = [p for k, p in enumerate(line.tolist()) if k == 0 or p != line[k - 1].tolist()]
    return kept[:-1] if len(kept) > 1 and kept[0] == kept[-1] else kept


def table(all_lines):
    first = np.cumsum([0, *map(len, all_lines)])
    return loops_of(np.concatenate(all_lines), first, np.arange(len(all_lines)))


@given(st.lists(lines, min_size=1, max_size=6))
def test_rings_are_those_lines_that_have_three_corners(all_lines):
    loops = table(all_lines)
    wanted = [k for k, line in enumerate(all_lines) if len(distinct(line)) >= 3]
    assert loops.owner.tolist() == wanted
    for k, owner in enumerate(wanted):
        assert loops.ring(k)[:-1].tolist() == distinct(all_lines[owner])
        assert loops.ring(k)[0].tolist() == loops.ring(k)[-1].tolist()


@given(st.lists(lines, min_size=1, max_size=6))
def test_a_ring_is_sound_where_shapely_finds_it_simple_and_valid(all_lines):
    loops = table(all_lines)
    wanted = [shapely.Polygon(loops.ring(k)).is_valid for k in range(len(loops))]
    assert loops.sound == wanted
    assert shapely.area(loops.polygons).tolist() == [
        shapely.Polygon(loops.ring(k)).area for k in range(len(loops))
    ]


@pytest.mark.parametrize(
    "rings",
    [[], [np.zeros((0, 2))], [np.array([[1.0, 1.0]])], [np.array([[0, 0], [5, 0], [0, 0.0]])]],
)
def test_what_bounds_nothing_makes_no_ring(rings):
    assert len(rings_table(rings)) == 0
    assert rings_table(rings).sound == []


def test_a_long_ring_drawn_again_and_again_is_told_from_a_long_one():
    t = np.linspace(0, 2 * np.pi, 5000, endpoint=False)
    once = np.column_stack([np.cos(t), np.sin(t)])
    fine = np.linspace(0, 2 * np.pi, 25_000, endpoint=False)
    assert rings_table([np.concatenate([once] * 5)]).sound == [False]
    assert rings_table([np.column_stack([np.cos(fine), np.sin(fine)])]).sound == [True]


@given(st.lists(st.tuples(whole, whole, whole, whole), min_size=1, max_size=20))
def test_different_edges_count_forwards_less_backwards(given_edges):
    edges = np.array(given_edges)
    found, weight = different_edges(edges, evenodd=False)
    counted, times = different_edges(edges, evenodd=True)
    assert found.tolist() == counted.tolist()
    for edge, net, count in zip(found.tolist(), weight, times, strict=True):
        there = sum(e == edge for e in edges.tolist())
        back = sum(e == [*edge[2:], *edge[:2]] for e in edges.tolist())
        same = edge[:2] == edge[2:]
        assert count == (there if same else there + back)
        assert net == (there if same else there - back)
