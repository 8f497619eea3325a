"""Placed labels lie inside the frame and overlap nothing, whatever the anchors."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.picture.labels import place_labels
from tests.strategies import numbers

FRAME = (0.0, 0.0, 300.0, 200.0)


@st.composite
def tasks(draw):
    """Anchors, sizes and boxes to keep clear, crowded and sparse."""
    count = draw(st.integers(1, 25))
    points = st.tuples(numbers(-20, 320), numbers(-20, 220))
    anchors = np.array(draw(st.lists(points, min_size=count, max_size=count)))
    sizes = np.full((count, 2), draw(numbers(5, 40)))
    boxes = draw(st.lists(points, max_size=4))
    return anchors, sizes, tuple((x, y, x + 30, y + 20) for x, y in boxes)


def boxes_of(seats, sizes):
    """The boxes of the labels that found a seat."""
    return [
        (x - w / 2, y - h / 2, x + w / 2, y + h / 2)
        for (x, y), (w, h) in ((s, z) for s, z in zip(seats, sizes, strict=True) if s)
    ]


def overlap(a, b) -> bool:
    """Whether two boxes share more than an edge."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


@settings(max_examples=60, deadline=None)
@given(tasks())
def test_labels_never_overlap_nor_leave_the_frame(task):
    anchors, sizes, clear = task
    placed = boxes_of(place_labels(anchors, sizes, FRAME, keep_clear=clear), sizes)
    for k, box in enumerate(placed):
        # 1e-9 points: float noise of adding half a size to a seat
        assert box[0] >= -1e-9
        assert box[1] >= -1e-9
        assert box[2] <= 300 + 1e-9
        assert box[3] <= 200 + 1e-9
        assert not any(overlap(box, other) for other in (*placed[:k], *clear))


@settings(max_examples=20, deadline=None)
@given(tasks())
def test_the_same_task_gives_the_same_seats(task):
    anchors, sizes, clear = task
    first = place_labels(anchors, sizes, FRAME, keep_clear=clear)
    assert place_labels(anchors, sizes, FRAME, keep_clear=clear) == first


def test_a_dozen_labels_at_one_place_all_find_seats():
    anchors = np.full((12, 2), 100.0)
    seats = place_labels(anchors, np.full((12, 2), 14.0), FRAME)
    assert None not in seats


def test_a_full_frame_leaves_labels_without_a_seat():
    seats = place_labels(np.full((2, 2), 10.0), np.full((2, 2), 18.0), (0.0, 0.0, 20.0, 20.0))
    assert seats.count(None) == 1


@pytest.mark.parametrize("corner", [(0, 0), (300, 0), (300, 200), (0, 200)])
def test_a_label_in_a_corner_turns_inward(corner):
    (seat,) = place_labels(np.array([corner], float), np.array([[20.0, 10.0]]), FRAME)
    assert 10 <= seat[0] <= 290
    assert 5 <= seat[1] <= 195


def test_no_anchors_need_no_seats():
    assert place_labels(np.empty((0, 2)), np.empty((0, 2)), FRAME) == []
