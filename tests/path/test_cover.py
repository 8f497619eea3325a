"""Lanes and covers: every vertex once, corners kept, lanes independent of one another."""

import numpy as np
import pytest

from outline2path.path.cover import cover, lanes_of
from outline2path.path.one_piece import Stretches
from tests.path import curves


def whole(points):
    return np.array([0]), np.array([len(points) - 1])


def test_lanes_are_cut_at_the_corners_no_piece_can_round():
    square = np.vstack(
        [np.linspace(a, b, 6)[:-1] for a, b in [((0, 0), (9, 0)), ((9, 0), (9, 9))]]
    )
    begin, end = lanes_of(Stretches(square, 0.01), *whole(square))
    assert (begin.tolist(), end.tolist()) == ([0, 5], [5, 9])


def test_a_smooth_ring_stays_one_lane():
    ring = curves.waves(400)
    assert len(lanes_of(Stretches(ring, 0.01), *whole(ring))[0]) == 1


def test_a_long_ring_of_many_pieces_is_cut_into_lanes_that_meet():
    ring = curves.waves(20_000, lobes=600, depth=0.02)
    begin, end = lanes_of(Stretches(ring, 0.002), *whole(ring))
    assert len(begin) > 3
    assert (begin[1:] == end[:-1]).all()
    assert (begin[0], end[-1]) == (0, 19_999)


@pytest.mark.parametrize("lanes", [1, 2, 5])
def test_pieces_cover_every_lane_from_end_to_end(lanes):
    ring = curves.waves(601)
    ends = np.linspace(0, 600, lanes + 1).astype(int)
    pieces = cover(Stretches(ring, 0.01), ends[:-1], ends[1:])
    assert pieces["first"][0] == 0
    assert (pieces["first"][1:] == pieces["last"][:-1]).all()
    assert set(ends[1:].tolist()) <= set(pieces["last"].tolist())


def test_a_very_long_piece_with_one_bad_vertex_ends_before_or_after_it():
    """A forecast from samples may overlook the vertex; the proof may not."""
    line = np.column_stack([np.linspace(0, 100, 8001), np.zeros(8001)])
    line[3333, 1] = 0.5
    pieces = cover(Stretches(line, 0.01), *whole(line))
    assert curves.apart(line, pieces) <= 0.01 + 2e-4  # spacing of the measure
