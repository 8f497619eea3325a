"""Joining, against shapely's merging of the same lines."""

import itertools

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from outline2path.drawing.joining import join_lines

cells = st.tuples(st.integers(0, 4), st.integers(0, 4))


@st.composite
def chopped(draw: st.DrawFn) -> tuple[np.ndarray, list[np.ndarray]]:
    """A line through whole numbers, no point twice, and its pieces in any order and direction."""
    points = np.array(draw(st.lists(cells, min_size=3, max_size=9, unique=True)), dtype=float)
    inner = st.integers(1, len(points) - 2)
    cuts = sorted({0, len(points) - 1, *draw(st.lists(inner, max_size=4))})
    pieces = [points[a : b + 1] for a, b in itertools.pairwise(cuts)]
    pieces = [p[:: draw(st.sampled_from([1, -1]))] for p in pieces]
    return points, draw(st.permutations(pieces))


@given(chopped())
def test_the_pieces_of_a_line_join_to_the_line(case):
    points, pieces = case
    joined = join_lines(list(pieces), 1e-6)
    assert (len(joined.rings), len(joined.lines), joined.gaps) == (0, 1, ())
    found = joined.lines[0]
    assert found.tolist() in (points.tolist(), points[::-1].tolist())


@given(chopped())
def test_the_pieces_of_a_ring_join_to_the_ring(case):
    points, pieces = case
    joined = join_lines([*pieces, points[[-1, 0]]], 1e-6)
    assert (len(joined.rings), len(joined.lines)) == (1, 0)
    ring = joined.rings[0]
    assert ring[0].tolist() == ring[-1].tolist()
    assert sorted(ring[:-1].tolist()) == sorted(points.tolist())


@given(chopped())
def test_joining_merges_what_shapely_merges(case):
    _, pieces = case
    merged = shapely.line_merge(shapely.MultiLineString(list(pieces)))
    joined = join_lines(list(pieces), 0.0)
    assert len(joined.lines) == len(shapely.get_parts(merged))
    assert sum(shapely.LineString(x).length for x in joined.lines) == pytest.approx(merged.length)


SIDES = [[(0, 0), (4, 0)], [(4, 0), (4, 3)], [(4, 3), (0, 0)]]


@pytest.mark.parametrize("gap", [0.001, 0.01, 0.04])
def test_gaps_are_bridged_and_told_with_their_middle(gap):
    sides = [np.array(s, dtype=float) for s in SIDES]
    sides[1][0, 0] += gap
    joined = join_lines(sides, 0.05)
    assert len(joined.rings) == 1
    ((width, at),) = joined.gaps
    assert width == pytest.approx(gap)
    assert at == pytest.approx((4 + gap / 2, 0))


def test_wider_gaps_stay_open():
    sides = [np.array(s, dtype=float) for s in SIDES]
    sides[1][0, 0] += 0.06
    joined = join_lines(sides, 0.05)
    assert (len(joined.rings), len(joined.lines), joined.gaps) == (0, 1, ())


def test_the_widest_gap_comes_first():
    steps = [0.0, 0.01, 0.03, 0.02]
    at = np.cumsum(steps)
    lines = [np.array([[k + x, 0], [k + 1 + x, 0]]) for k, x in enumerate(at)]
    gaps = [round(g, 6) for g, _ in join_lines(lines, 0.05).gaps]
    assert gaps == [0.03, 0.02, 0.01]


def test_an_end_is_joined_once_and_to_its_nearest():
    """Three ends at one place: the two that touch are joined, the third stays."""
    lines = [np.array(p, dtype=float) for p in ([[0, 0], [5, 0]], [[5, 0], [5, 5]])]
    third = np.array([[5.01, 0], [9, 0]])
    joined = join_lines([*lines, third], 0.05)
    assert sorted(len(x) for x in joined.lines) == [2, 3]
    assert joined.gaps == ()


@pytest.mark.parametrize("lines", [[], [np.zeros((1, 2))], [np.zeros((0, 2))]])
def test_lines_without_length_join_to_nothing(lines):
    joined = join_lines(lines, 1.0)
    assert (joined.rings, joined.lines, joined.gaps) == ((), (), ())


def test_a_line_that_meets_itself_is_a_ring():
    loop = np.array([[0, 0], [4, 0], [4, 3], [0.01, 0]])
    joined = join_lines([loop], 0.05)
    assert (len(joined.rings), len(joined.lines)) == (1, 0)
