"""Lines and arcs against true arcs, an independent distance, and the fewest there can be."""

import math
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.errors import SettingError
from outline2path.path.arcs import fit_arcs, fit_lines, fit_many
from outline2path.path.one_piece import Stretches
from tests.path import curves
from tests.path.optimum import fewest_pieces, fewest_pieces_by
from tests.path.shapes import LONG_SHAPES, SHAPES
from tests.strategies import numbers, regions

TOLERANCE = 0.00432
"""Share of the arcs in the default tolerance of 0.02 mm."""
BLIND = 2e-4
"""What the measuring polyline may miss, mm: its own sagitta and its spacing."""


@pytest.mark.parametrize("count", [90, 360, 5000])
@pytest.mark.parametrize("radius", [0.5, 5.0, 20.0])
def test_a_flattened_circle_comes_back_as_two_halves(radius, count):
    ring = curves.arc(radius, 0, 360, count + 1, centre=(3, 4))[:-1]
    fine = radius * (1 - math.cos(math.pi / count))  # the chords' own sagitta
    pieces = fit_arcs(ring, tolerance_mm=max(TOLERANCE, 1.01 * fine), closed=True)
    assert pieces["turn"].tolist() == [1, 1]
    assert pieces["cx"] == pytest.approx([3, 3], abs=1e-9)  # exact points, float noise only
    assert abs(pieces["last"][0] - count / 2) <= 1


@pytest.mark.parametrize("sweep", [12, 45, 90, 180, 260])
@pytest.mark.parametrize("sign", [1, -1])
def test_a_flattened_arc_comes_back_as_one_arc_that_turns_the_same_way(sweep, sign):
    points = curves.arc(8, 20, 20 + sign * sweep, 101)
    pieces = fit_arcs(points, tolerance_mm=TOLERANCE)
    assert pieces[["first", "last", "turn"]].tolist() == [(0, 100, sign)]
    assert (pieces["cx"][0], pieces["cy"][0]) == pytest.approx((0, 0), abs=1e-8)


def test_unevenly_spaced_points_of_an_arc_are_one_arc():
    angle = np.sort(np.append(np.random.default_rng(1).uniform(0, 2, 200), np.linspace(0, 2, 80)))
    points = 6 * np.column_stack([np.cos(angle), np.sin(angle)])
    assert fit_arcs(points, tolerance_mm=TOLERANCE)["turn"].tolist() == [1]


def test_straight_runs_become_single_lines_whatever_vertices_lie_on_them():
    sides = [np.linspace(a, b, 7)[:-1] for a, b in [([0, 0], [9, 0]), ([9, 0], [9, 5])]]
    points = np.vstack([*sides, [[9, 5]]])
    assert fit_arcs(points, tolerance_mm=TOLERANCE)["last"].tolist() == [6, 12]


def test_a_rounded_slot_is_two_lines_and_two_half_circles():
    slot = curves.rounded_slot()
    assert fit_arcs(slot, tolerance_mm=TOLERANCE)["turn"].tolist() == [1, 0, 1, 0]


@pytest.mark.parametrize("degrees", [30, 60, 90, 150])
def test_a_sharp_corner_is_never_rounded(degrees):
    there = np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])
    points = np.vstack([np.linspace([-9, 0], [0, 0], 10), np.linspace(there, 9 * there, 9)])
    assert 9 in fit_arcs(points, tolerance_mm=TOLERANCE)["last"]


def test_a_coarse_polygon_stays_a_polygon():
    octagon = curves.arc(20, 0, 360, 9)[:-1]
    assert fit_arcs(octagon, tolerance_mm=TOLERANCE, closed=True)["turn"].tolist() == [0] * 8


def test_arcs_below_three_tolerances_become_lines():
    tiny = curves.arc(0.012, 0, 350, 40)
    assert not fit_arcs(tiny, tolerance_mm=TOLERANCE)["turn"].any()


@settings(max_examples=30, deadline=None)
@given(region=regions(), tolerance=st.sampled_from([0.002, 0.00432, 0.02, 0.1]))
def test_pieces_and_outline_are_within_the_tolerance_of_one_another(region, tolerance):
    ring = np.asarray(region.exterior.coords)
    pieces = fit_arcs(ring, tolerance_mm=tolerance)
    assert curves.apart(ring, pieces) <= tolerance + BLIND


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 999), step=numbers(0.0005, 0.1))
def test_ragged_outlines_are_covered_end_to_end_within_the_tolerance(seed, step):
    points = curves.rough(300, seed=seed, step=step)
    pieces = fit_arcs(points, tolerance_mm=0.01)
    assert pieces["first"][0] == 0
    assert pieces["last"][-1] == len(points) - 1
    assert (pieces["first"][1:] == pieces["last"][:-1]).all()
    assert curves.apart(points, pieces) <= 0.01 + BLIND


@settings(max_examples=30, deadline=None)
@given(region=regions())
def test_no_arc_turns_further_than_270_degrees_or_is_flatter_than_5_m(region):
    ring = np.asarray(region.exterior.coords)
    pieces = fit_arcs(ring, tolerance_mm=0.02)
    arcs = pieces[pieces["turn"] != 0]
    centre = np.column_stack([arcs["cx"], arcs["cy"]])
    begin, end = ring[arcs["first"]] - centre, ring[arcs["last"]] - centre
    radius = np.hypot(*begin.T)
    cross = begin[:, 0] * end[:, 1] - begin[:, 1] * end[:, 0]
    sweep = np.degrees(np.arctan2(cross, (begin * end).sum(axis=1)) * arcs["turn"]) % 360
    assert radius == pytest.approx(np.hypot(*end.T), rel=1e-9)  # ends on one circle
    assert (sweep <= 270.001).all()
    assert (radius <= 5000).all()
    assert (radius >= 0.06).all()


@pytest.mark.parametrize("tolerance", [0.01, 0.02, 0.05])
@pytest.mark.parametrize("name", SHAPES)
def test_the_count_is_within_a_tenth_of_the_fewest_there_can_be(name, tolerance):
    points = SHAPES[name]
    count, fewest = len(fit_arcs(points, tolerance_mm=tolerance)), fewest_pieces(points, tolerance)
    assert fewest <= count <= 1.10 * fewest


@pytest.mark.parametrize("name", LONG_SHAPES)
def test_long_polylines_take_within_a_tenth_of_the_fewest_pieces_too(name):
    """Here the farthest vertex is taken; test_one_piece proves the word on what fits."""
    points = LONG_SHAPES[name]
    count = len(fit_arcs(points, tolerance_mm=TOLERANCE))
    assert count <= 1.10 * fewest_pieces_by(Stretches(points, TOLERANCE))


def test_smooth_art_takes_less_than_an_eighth_of_the_chords():
    ring = curves.waves(3000)
    assert len(fit_arcs(ring, tolerance_mm=TOLERANCE)) < 3000 / 8


def test_the_arcs_of_an_ellipse_follow_the_law_of_the_cube_root():
    """Arcs half as long are 8 times nearer, so 64 times nearer asks for 4 times the arcs."""
    ellipse = np.array([30, 20]) * curves.arc(1, 0, 360, 20001)
    coarse = len(fit_arcs(ellipse, tolerance_mm=0.0064))
    fine = len(fit_arcs(ellipse, tolerance_mm=0.0064 / 64))
    # source: Meek and Walton 1995, the error of arcs falls as h cubed (from memory)
    assert fine / coarse == pytest.approx(4, rel=0.15)  # counts are whole numbers


def test_noise_within_the_tolerance_does_not_break_a_circle():
    angle = np.linspace(0, 2 * math.pi, 301)
    r = 20 + np.random.default_rng(1).uniform(-0.002, 0.002, 301)
    r[-1] = r[0]
    points = r[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    assert len(fit_arcs(points, tolerance_mm=TOLERANCE)) <= 3


@pytest.mark.parametrize("seed", range(3))
def test_the_same_points_give_the_same_pieces(seed):
    points = curves.rough(2000, seed=seed, step=0.01)
    once, again = (fit_arcs(points, tolerance_mm=TOLERANCE) for _ in range(2))
    assert once.tobytes() == again.tobytes()


def test_many_polylines_at_once_give_what_each_gives_alone():
    polylines = [curves.waves(200), np.zeros((1, 2)), curves.rounded_slot(), np.zeros((0, 2))]
    together = fit_many(polylines, tolerance_mm=0.01)
    alone = [fit_arcs(points, tolerance_mm=0.01) for points in polylines]
    assert [t.tolist() for t in together] == [t.tolist() for t in alone]


def test_doubled_points_and_a_closing_point_do_no_harm():
    ring = np.repeat(curves.waves(200), 2, axis=0)
    pieces = fit_arcs(ring, tolerance_mm=0.01, closed=True)
    assert pieces["last"][-1] == len(ring)
    assert curves.apart(np.vstack([ring, ring[:1]]), pieces) <= 0.01 + BLIND


@pytest.mark.parametrize("count", [0, 1])
def test_fewer_than_two_points_give_no_piece(count):
    assert len(fit_arcs(np.zeros((count, 2)), tolerance_mm=0.01)) == 0


def test_lines_alone_are_lines_within_the_tolerance():
    bow = curves.arc(8, 0, 90, 200)
    pieces = fit_lines(bow, tolerance_mm=0.01)
    assert not pieces["turn"].any()
    assert curves.apart(bow, pieces) <= 0.01 + BLIND


@pytest.mark.parametrize(
    ("points", "tolerance"),
    [
        ([[0, 0], [math.nan, 1]], 0.01),
        ([[0, 0, 0], [1, 1, 1]], 0.01),
        ([[0, 0], [1, 1]], 0),
        ([[0, 0], [1, 1]], math.inf),
    ],
)
def test_points_or_tolerances_that_make_no_sense_are_refused(points, tolerance):
    with pytest.raises(SettingError, match=r"no list of finite points|not positive"):
        fit_arcs(points, tolerance_mm=tolerance)


@pytest.mark.parametrize("kind", ["waves", "rough"])
def test_a_hundred_thousand_points_take_seconds_not_minutes(kind):
    """A loose bound, for a busy machine; the figure itself is measured in the benchmarks."""
    points = curves.waves(100_000) if kind == "waves" else curves.rough(100_000, seed=0, step=0.01)
    begun = time.process_time()
    fit_arcs(points, tolerance_mm=TOLERANCE)
    assert time.process_time() - begun < 10
