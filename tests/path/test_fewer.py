"""Ragged lanes in the fewest pieces, smooth ones left alone."""

import numpy as np
import pytest

from outline2path.path.cover import cover
from outline2path.path.fewer import fewer
from outline2path.path.one_piece import Stretches
from tests.path import curves
from tests.path.optimum import fewest_pieces


def lanes(points, count=1):
    ends = np.linspace(0, len(points) - 1, count + 1).astype(int)
    return ends[:-1], ends[1:]


@pytest.mark.parametrize("seed", range(6))
def test_a_ragged_lane_gets_the_fewest_pieces_there_are(seed):
    points = curves.rough(60, seed=seed, step=0.01)
    stretches = Stretches(points, 0.02)
    pieces = fewer(stretches, stretches.chords(np.arange(59)), *lanes(points))
    assert len(pieces) == fewest_pieces(points, 0.02)


def test_pieces_still_join_and_stay_within_the_tolerance():
    points = curves.rough(300, seed=1, step=0.02)
    stretches, ends = Stretches(points, 0.02), lanes(points, 4)
    pieces = fewer(stretches, cover(stretches, *ends), *ends)
    assert (pieces["first"][1:] == pieces["last"][:-1]).all()
    assert set(ends[1].tolist()) <= set(pieces["last"].tolist())
    assert curves.apart(points, pieces) <= 0.02 + 2e-4  # spacing of the measure


def test_smooth_lanes_stay_as_they_are():
    points = curves.waves(600, depth=0.03)
    stretches = Stretches(points, 0.01)
    pieces = cover(stretches, *lanes(points))
    assert fewer(stretches, pieces, *lanes(points)) is pieces
