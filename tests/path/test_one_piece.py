"""Whether one line or arc may stand for a stretch, against brute force over all bulges."""

import numpy as np
import pytest

from outline2path.path.one_piece import Stretches
from tests.path import curves
from tests.path.optimum import piece_fits
from tests.path.shapes import SHAPES


@pytest.mark.parametrize("name", SHAPES)
def test_what_fits_is_what_a_search_over_all_bulges_finds(name):
    """Stretches within a thousandth of the limit may be told either way: a grid of bulges."""
    points, tolerance = SHAPES[name], 0.02
    first, last = np.triu_indices(len(points), 1)
    ok, _ = Stretches(points, tolerance).try_pieces(first, last)
    for a, b, fits in zip(first.tolist(), last.tolist(), ok.tolist(), strict=True):
        stretch = points[a : b + 1]
        assert fits or not piece_fits(stretch, tolerance * 0.999)
        assert not fits or piece_fits(stretch, tolerance * 1.001)


def test_stretches_tried_together_get_the_answers_they_get_alone():
    points = curves.rough(120, seed=4, step=0.01)
    stretches = Stretches(points, 0.02)
    first, last = (part[::7] for part in np.triu_indices(120, 1))
    together, pieces = stretches.try_pieces(first, last)
    for k in range(0, len(first), 50):
        ok, piece = stretches.try_pieces(first[k : k + 1], last[k : k + 1])
        assert ok[0] == together[k]
        assert not ok[0] or piece[0] == pieces[k]


def test_a_line_is_preferred_to_an_arc():
    nearly_straight = curves.arc(5000, 89.99, 90.01, 20)
    _, piece = Stretches(nearly_straight, 0.01).try_pieces(np.array([0]), np.array([19]))
    assert piece["turn"].tolist() == [0]


@pytest.mark.parametrize("turn", [1, -1])
def test_an_arc_names_its_centre_and_the_way_it_turns(turn):
    points = curves.arc(7, 10, 10 + turn * 100, 60, centre=(3, -2))
    ok, piece = Stretches(points, 0.01).try_pieces(np.array([0]), np.array([59]))
    assert ok[0]
    assert piece["turn"][0] == turn
    assert (piece["cx"][0], piece["cy"][0]) == pytest.approx((3, -2), abs=1e-9)


def test_a_path_that_goes_back_on_itself_is_no_arc():
    there = curves.arc(7, 0, 90, 30)
    points = np.vstack([there, there[-2:10:-1]])
    ok, _ = Stretches(points, 0.01).try_pieces(np.array([0]), np.array([len(points) - 1]))
    assert not ok[0]


def test_a_forecast_of_a_long_stretch_agrees_with_the_proof():
    circle = curves.arc(50, 0, 300, 5001)
    first, last = np.zeros(3, int), np.array([2000, 4000, 5000])  # 120, 240 and 300 degrees
    stretches = Stretches(circle, 0.005)
    proved, _ = stretches.try_pieces(first, last)
    forecast, _ = stretches.try_pieces(first, last, sampled=True)
    assert proved.tolist() == forecast.tolist() == [True, True, False]
