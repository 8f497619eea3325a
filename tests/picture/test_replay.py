"""Motions as straight and level pieces."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.picture.replay import level_pieces, straight_moves
from outline2path.rs274.motion import motion_lengths
from outline2path.rs274.reader import read_program
from tests.picture.blocks import program


def read(*blocks: str):
    return read_program(program("G0 X0 Y0", *blocks), strict=True)


def pieces(*blocks: str, top_mm=0.0, chord_mm=0.01, step_mm=0.05):
    return level_pieces(read(*blocks), top_mm=top_mm, chord_mm=chord_mm, step_mm=step_mm)


def test_moves_above_the_blank_touch_nothing():
    assert len(pieces("G1 X50", "G1 Y20")) == 0


def test_a_plunge_is_one_piece_at_its_lower_end():
    found = pieces("G1 Z-3")
    assert found.z.tolist() == [-3, -3]  # down, and up again
    assert found.start.tolist() == found.end.tolist()


@given(drop=st.floats(0.1, 4), step=st.floats(0.02, 0.5))
def test_stairs_are_no_higher_than_asked_and_end_at_the_end(drop, step):
    drop = round(drop, 3)
    found = pieces("G1 Z0", f"G1 X10 Z-{drop}", step_mm=step)
    assert found.z.min() == pytest.approx(-drop)
    steps = -np.diff(found.z, prepend=0.0)
    assert steps.max() <= step * 1.0001  # float noise of dividing the slope
    assert steps.min() >= -1e-12


@pytest.mark.parametrize(("chord", "count"), [(0.01, 71), (0.001, 223)])
def test_chords_keep_their_sagitta(chord, count):
    found = pieces("G1 Z-1", "G2 X0 Y0 I10 J0", chord_mm=chord)
    middle = ((found.start + found.end) / 2)[1:-1]  # between going down and coming up
    off = 10 - np.hypot(*(middle - [10, 0]).T)
    assert off.max() <= chord * 1.0001  # float noise
    assert len(middle) == count  # worked example W8: ceil(pi / acos(1 - tol/R)), R 10


def test_a_helix_goes_down_evenly():
    moves = straight_moves(read("G1 Z0", "G2 X0 Y0 I5 J0 Z-2"), chord_mm=0.01)
    turn = moves.end[:, 2] < 0
    assert np.diff(moves.end[turn, 2]).max() < 0
    assert moves.end[turn][-1, 2] == pytest.approx(-2)


def test_moves_are_as_long_as_the_program_says():
    motions = read("G1 Z-1", "G1 X30", "G3 X30 Y20 I0 J10", "G1 X0")
    moves = straight_moves(motions, chord_mm=0.0005)
    way = np.sqrt(((moves.end - moves.start) ** 2).sum(axis=1)).sum()
    known = motions.table[np.isfinite(motions.table["start"]).all(axis=1)]
    # chords of sagitta 0.5 um on radius 10 are shorter than their arcs by 1 in 60 000
    assert way == pytest.approx(motion_lengths(known).sum(), rel=1e-4)


def test_rapids_have_no_feed_and_every_move_knows_its_line():
    moves = straight_moves(read("G1 Z-1", "G0 Z5"), chord_mm=0.01)
    assert (moves.feed == 0).tolist()[-2:] == [True, True]
    assert moves.line.tolist() == sorted(moves.line.tolist())


def test_a_mirror_and_a_shift_move_every_piece():
    moved = pieces("G1 Z-1", "G1 X8 Y2").moved((-1, 0, 0, 1, 40, 3))
    assert moved.end[-1].tolist() == [32, 5]
