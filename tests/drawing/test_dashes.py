"""Dashes, against shapely's cutting of lines by length."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import ops

from outline2path.drawing.dashes import dashes_of, too_many_dashes
from outline2path.drawing.figures import Stroke
from outline2path.drawing.pathdata import parse_path
from outline2path.drawing.pieces import Pieces, left_of, point_piece, unit_of
from outline2path.drawing.tracing import pieces_of
from tests.strategies import numbers

FINE = 1e-4


def traced(d: str, half: float = 0.5) -> Pieces:
    return pieces_of(parse_path(d)[0].rows, half, FINE)


def points_of(piece: Pieces) -> np.ndarray:
    return np.concatenate([piece.start, piece.end[-1:]])


steps = st.lists(numbers(0.5, 9), min_size=2, max_size=4).map(lambda x: tuple(x + x))
corners = st.lists(
    st.tuples(st.integers(0, 20), st.integers(0, 20)), min_size=2, max_size=6, unique=True
)


@given(corners, steps, numbers(-20, 20))
def test_dashes_lie_where_shapely_cuts_the_line(points, dashes, offset):
    d = "M" + "L".join(f"{x} {y}" for x, y in points)
    line, total = shapely.LineString(points), shapely.LineString(points).length
    found = dashes_of(traced(d), Stroke(dashes=dashes, dash_offset=offset), closed=False)
    at, wanted = -(offset % sum(dashes)), []
    while at < total:
        for k, step in enumerate(dashes):
            if k % 2 == 0 and at + step > 0 and at < total:
                wanted.append(ops.substring(line, max(at, 0), min(at + step, total)))
            at += step
    lengths = [f.length for f in found if f.length > 1e-9]
    assert lengths == pytest.approx([w.length for w in wanted if w.length > 1e-9], abs=1e-6)
    for piece in found:
        assert line.distance(shapely.MultiPoint(points_of(piece))) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(("closed", "count", "longest"), [(True, 4, 20), (False, 5, 20)])
def test_a_dash_across_the_start_of_a_ring_stays_in_one_piece(closed, count, longest):
    """A square of 30: dashes of 20, gaps of 10, moved by 10, so one lies over the start."""
    found = dashes_of(
        traced("M0 0H30V30H0Z"), Stroke(dashes=(20, 10), dash_offset=10), closed=closed
    )
    assert len(found) == count
    assert max(f.length for f in found) == pytest.approx(longest)


def test_dashes_follow_a_curve_by_its_length():
    quarter = 10 * math.pi / 2
    found = dashes_of(traced("M10 0A10 10 0 0 1 0 10"), Stroke(dashes=(5, 2)), closed=False)
    lengths = [f.length for f in found]
    assert lengths == pytest.approx([5, 5, quarter - 14], abs=1e-3)  # chords within 1e-4


def test_too_fine_dashes_are_seen_before_they_are_cut():
    assert too_many_dashes(1.0, Stroke(dashes=(1e-5, 1e-5)))
    assert not too_many_dashes(1.0, Stroke(dashes=(1e-3, 1e-3)))


@pytest.mark.parametrize(
    ("d", "pieces"), [("M0 0H9", 1), ("M0 0H9V9", 2), ("M0 0H9V9H0Z", 4), ("M0 0L0 0", 0)]
)
def test_straight_lines_are_traced_piece_by_piece(d, pieces):
    assert len(traced(d)) == pieces


@pytest.mark.parametrize(
    ("d", "leave", "arrive"),
    [
        ("M0 0C1 0 5 5 5 9", (1, 0), (0, 1)),
        ("M0 0C0 0 5 0 5 9", (1, 0), (0, 1)),
        ("M0 0C0 4 5 9 5 9", (0, 1), (5 / math.hypot(5, 5), 5 / math.hypot(5, 5))),
        ("M0 0C0 0 9 9 9 9", (math.sqrt(0.5),) * 2, (math.sqrt(0.5),) * 2),
        ("M10 0A10 10 0 0 1 0 10", (0, 1), (-1, 0)),
        ("M10 0A10 10 0 0 0 0-10", (0, -1), (-1, 0)),
    ],
)
def test_ends_of_curves_have_their_true_directions(d, leave, arrive):
    line = traced(d)
    assert line.leave[0] == pytest.approx(leave)
    assert line.arrive[-1] == pytest.approx(arrive)


@given(numbers(0.1, 5))
def test_a_traced_circle_keeps_both_edges_of_its_line(half):
    line = traced("M10 0A10 10 0 1 1-10 0A10 10 0 1 1 10 0", half)
    for side in (1, -1):
        edge = line.start + side * half * left_of(line.leave)
        assert np.hypot(*edge.T) == pytest.approx(10 - side * half, abs=1e-6)
        middle = (line.start + line.end) / 2 + side * half * left_of(
            unit_of(line.leave + line.arrive)
        )
        assert np.abs(np.hypot(*middle.T) - (10 - side * half)).max() <= 2 * FINE


def test_a_line_backwards_is_the_same_line_the_other_way():
    line = traced("M0 0H9C9 4 5 5 5 9V20")
    back = line.reversed()
    assert points_of(back).tolist() == points_of(line)[::-1].tolist()
    assert back.leave == pytest.approx(-line.arrive[::-1])
    assert back.reversed().start.tolist() == line.start.tolist()


def test_parts_of_a_line_put_together_are_the_line():
    line = traced("M0 0H9V9H0Z")
    again = line.part(0, 2).then(line.part(2, 4))
    assert again.start.tolist() == line.start.tolist()
    assert again.length == pytest.approx(line.length)


def test_a_point_is_a_piece_without_length():
    assert point_piece(np.ones((1, 2)), np.array([[1.0, 0.0]])).length == 0
