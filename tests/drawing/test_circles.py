"""Circles stay circles: from the drawing through similarities and offsetting to true arcs."""

import math

import numpy as np
import pytest
from hypothesis import given, settings

import outline2path as o2p
from outline2path.drawing.curves import ARC
from outline2path.path.toolpath import ARC_CCW, ARC_CW, LINE, ROLES
from outline2path.tolerance import Budget
from tests.strategies import numbers, similarities

T, R, CUTTER = 0.02, 30.0, 3.0
PAGE = '<svg width="100mm" height="100mm" viewBox="0 0 100 100">{}</svg>'
MARGIN = Budget(T).margin_mm
"""What an offset is enlarged by so that no sum of errors cuts in."""

# All are a disc of radius 30 about (50, 50) of the page.
DISCS = [
    '<circle cx="50" cy="50" r="30"/>',
    '<ellipse cx="50" cy="50" rx="30" ry="30"/>',
    '<rect x="20" y="20" width="60" height="60" rx="30"/>',
    '<path d="M80 50A30 30 0 0 1 20 50A30 30 0 0 1 80 50Z"/>',
    '<path d="M80 50a30 30 33 1 1-60 0 30 30 0 1 1 60 0"/>',
    '<g transform="translate(50 50) rotate(30) scale(-1.5 1.5)"><circle r="20"/></g>',
    '<g transform="matrix(0 2 -2 0 50 50)"><circle r="15"/></g>',
    '<g transform="scale(2 .5)"><ellipse cx="25" cy="100" rx="15" ry="60"/></g>',
    '<symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="5"/></symbol>'
    '<use href="#s" x="20" y="20" width="60" height="60"/>',
    '<clipPath id="c"><circle cx="50" cy="50" r="30"/></clipPath>'
    '<rect width="100" height="100" clip-path="url(#c)"/>',
]


def cut_moves(svg: str, side: str = "outside") -> tuple[np.ndarray, np.ndarray]:
    """Moves that cut the finished wall of the first pass, and where each begins."""
    outline = o2p.read_outline(PAGE.format(svg).encode())
    job = o2p.Job(stock=o2p.Stock(thickness=1), tolerance=T, zero="lower-left")
    plan = job.profile(outline, o2p.Cutter(CUTTER), side=side, tabs=0, lead="arc").plan()
    moves = plan.programs[0].toolpath.moves
    start = np.concatenate([[[0, 0]], np.column_stack([moves["x"], moves["y"]])[:-1]])
    cut = (moves["role"] == ROLES.index("cut")) & (moves["section"] == 0)
    return moves[cut], start[cut]


@pytest.mark.parametrize("svg", DISCS)
def test_the_outside_of_a_disc_is_cut_by_true_arcs_alone(svg):
    moves, start = cut_moves(svg)
    assert set(moves["kind"].tolist()) == {ARC_CW}  # climb: an outer edge runs clockwise
    assert len(moves) <= 3
    centre = start + np.column_stack([moves["i"], moves["j"]])
    radius = np.hypot(moves["i"], moves["j"])
    # lower-left work zero: the disc's centre lies at (R, R); fitted arcs may use their share
    assert centre == pytest.approx(np.full((len(moves), 2), R), abs=T / 2)
    assert radius == pytest.approx(R + CUTTER / 2 + MARGIN, abs=T / 2)
    assert (radius >= R + CUTTER / 2).all()


def test_a_round_hole_is_cut_by_true_arcs_the_other_way_round():
    moves, _ = cut_moves('<circle cx="50" cy="50" r="30"/>', side="inside")
    assert set(moves["kind"].tolist()) == {ARC_CCW}
    assert np.hypot(moves["i"], moves["j"]) == pytest.approx(R - CUTTER / 2 - MARGIN, abs=T / 2)


def test_a_rounded_plate_is_four_lines_and_four_arcs_and_the_split_where_it_begins():
    moves, _ = cut_moves('<rect x="10" y="20" width="80" height="50" rx="8"/>')
    kinds = moves["kind"].tolist()
    arcs = moves[moves["kind"] == ARC_CW]
    assert set(kinds) == {LINE, ARC_CW}
    assert (kinds.count(ARC_CW), kinds.count(LINE)) in {(4, 4), (4, 5), (5, 4)}
    radius = np.hypot(arcs["i"], arcs["j"])
    assert radius == pytest.approx(8 + CUTTER / 2 + MARGIN, abs=T)


def test_an_ellipse_is_no_circle_and_needs_more_arcs():
    moves, _ = cut_moves('<ellipse cx="50" cy="50" rx="40" ry="20"/>')
    assert 4 < len(moves) < 80


@settings(max_examples=50)
@given(similarities(), numbers(0.1, 3))
def test_arcs_of_a_drawing_are_kept_exactly_under_any_similarity(matrix, scale):
    outline = o2p.Outline.from_path("M10 0A10 10 0 0 1 -10 0A10 10 0 0 1 10 0Z")
    moved = outline.scale(scale).transformed(matrix)
    rows = moved.figures[0].curves.transformed(moved.matrix).rows
    u, v, centre = rows[:, 3:5], rows[:, 5:7], rows[:, 9:11]
    assert set(rows[:, 0].tolist()) == {ARC}
    assert np.hypot(*u.T) == pytest.approx(10 * scale, rel=1e-12)  # a few float64 steps
    assert np.hypot(*v.T) == pytest.approx(10 * scale, rel=1e-12)
    assert (u * v).sum(axis=1) == pytest.approx(0, abs=1e-9)
    assert np.hypot(*(rows[:, 1:3] - centre).T) == pytest.approx(10 * scale, rel=1e-9)


@pytest.mark.parametrize("tolerance", [0.1, 0.01, 0.001])
def test_every_vertex_of_a_flattened_disc_lies_on_its_circle(tolerance):
    outline = o2p.read_outline(PAGE.format(DISCS[5]).encode())
    ring = np.array(outline.region_within(tolerance).geoms[0].exterior.coords) - [50, 50]
    assert np.hypot(*ring.T) == pytest.approx(R, abs=1e-9)
    fewest = math.ceil(math.pi / math.acos(1 - tolerance / R))
    assert fewest <= len(ring) - 1 <= fewest + 8  # extreme points and quarter ends are kept
