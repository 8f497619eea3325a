"""Pieces of path: arcs as chords, ground once, fewer pieces, exact distances."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.proof.chords import chords
from outline2path.proof.tracks import Nearest, Pieces, thin
from outline2path.rs274.reader import read_program
from tests.strategies import numbers


def table(text, start=(0.0, 0.0, 0.0)):
    return read_program(f"{text}\nM2", start_mm=start).table


def pieces(points, rows=None) -> Pieces:
    p = np.asarray(points, dtype=float)
    return Pieces(p[:-1], p[1:], np.arange(len(p) - 1) if rows is None else np.asarray(rows))


@pytest.mark.parametrize(
    ("radius", "sagitta", "count"),
    [(10, 0.01, 71), (10, 0.001, 223), (1, 0.01, 23), (100, 0.01, 223), (3.175, 0.005, 56)],
)
def test_a_circle_takes_the_chords_of_the_formula(radius, sagitta, count):
    """ceil(pi/acos(1 - tol/R)), check value W8."""
    assert len(chords(table(f"G3 X0 I-{radius}"), sagitta_mm=sagitta)) == count


@given(numbers(0.2, 60), numbers(0.05, 6.2), st.sampled_from(["G2", "G3"]), numbers(-4, 4))
@settings(max_examples=60, deadline=None)
def test_chords_stay_on_their_arc_and_climb_evenly(radius, sweep, word, rise):
    end = radius * np.exp(1j * sweep * (1 if word == "G3" else -1)) - radius
    text = f"{word} X{end.real:.12f} Y{end.imag:.12f} Z{rise:.6f} I{-radius:.12f} J0"
    got = chords(table(text), sagitta_mm=0.0001)
    xy = np.vstack([got.start[:1], got.end])
    off = np.hypot(xy[:, 0] + radius, xy[:, 1]) - radius
    assert np.abs(off).max() == pytest.approx(0, abs=1e-9), "written with 12 decimals"
    middle = (xy[1:] + xy[:-1]) / 2
    sag = radius - np.hypot(middle[:, 0] + radius, middle[:, 1])
    assert sag.max() <= 0.0001 + 1e-9
    assert np.diff(xy[:, 2]) == pytest.approx(np.full(len(got), rise / len(got)), abs=2e-6)


def test_arcs_in_upright_planes_become_chords_there():
    got = chords(table("G18 G3 X0 Z5 I-5 K0", start=(5.0, 2.0, 0.0)), sagitta_mm=0.001)
    assert (got.start[:, 1] == 2).all()
    assert np.hypot(got.end[:, 0], got.end[:, 2]) == pytest.approx(
        np.full(len(got), 5.0), abs=1e-9
    )


def test_ground_is_kept_once_by_its_deepest_piece():
    there, back = [(0, 0, -1), (5, 0, -1), (9, 0, -1)], [(9, 0, -3), (5, 0, -3), (0, 0, -2)]
    both = pieces(there + back, rows=[0, 1, 2, 3, 4])
    once = both.lowest_once()
    assert once.row.tolist() == [2, 3, 4], "the way down, and the deeper two"


@pytest.mark.parametrize(
    ("z", "expected"), [(1.0, 10.0), (0.0, 5.0), (-0.5, 2.5), (-2.0, None), (5.0, 10.0)]
)
def test_slopes_are_cut_at_a_height(z, expected):
    got = pieces([(0, 0, 1), (10, 0, -1)]).below(z)
    length = float(np.abs(got.end[:, 0] - got.start[:, 0]).sum()) if len(got) else None
    assert length == (pytest.approx(expected, abs=1e-12) if expected else None)


POINT = st.tuples(st.integers(-900, 900), st.integers(-900, 900)).map(
    lambda p: (p[0] / 7, p[1] / 7)
)


@given(st.lists(POINT, min_size=2, max_size=40))
@settings(max_examples=60, deadline=None)
def test_distances_are_shapelys(points):
    line = shapely.LineString(points)
    search = Nearest(np.array(points[:-1]), np.array(points[1:]))
    asked = np.array([(x, y) for x in (-12.0, 0.3, 8.0) for y in (-5.0, 1.7)])
    expected = shapely.distance(line, shapely.points(asked))
    assert search.distance(asked) == pytest.approx(expected, abs=1e-12)
    _, chain = search.locate(asked)
    feet = search.feet(asked, chain)
    assert np.hypot(*(feet - asked).T) == pytest.approx(expected, abs=1e-12)


@given(st.lists(POINT, min_size=2, max_size=40, unique=True), st.integers(1, 90))
@settings(max_examples=60, deadline=None)
def test_near_pairs_are_all_pairs(points, within):
    a, b = np.array(points[:-1]), np.array(points[1:])
    asked = np.array([(x, y) for x in (-12.0, 0.3, 8.0) for y in (-5.0, 1.7)])
    found = set(zip(*(v.tolist() for v in Nearest(a, b).near(asked, within)), strict=True))
    apart = shapely.distance(
        shapely.points(asked)[:, None], shapely.linestrings(np.stack([a, b], axis=1))[None]
    )
    assert {tuple(p) for p in np.argwhere(apart < within - 1e-9).tolist()} <= found
    assert found <= {tuple(p) for p in np.argwhere(apart <= within + 1e-9).tolist()}


@given(st.integers(3, 4000), numbers(1, 50))
@settings(max_examples=40, deadline=None)
def test_a_thinned_circle_stays_within_a_twentieth_of_a_micrometre(count, radius):
    t = np.linspace(0, 2 * np.pi, count)
    ring = radius * np.column_stack((np.cos(t), np.sin(t)))
    kept = thin(ring)
    apart = shapely.distance(shapely.LineString(ring[kept]), shapely.points(ring))
    assert (kept[0], kept[-1]) == (0, count - 1)
    assert apart.max() <= 0.00005 + 1e-12


def test_thinning_by_level_keeps_heights_apart():
    run = pieces([(0, 0, -1), (1, 0, -1), (2, 0, -1), (2, 0, -2), (3, 0, -2), (4, 0, -2)])
    assert len(run.thinned()) == 1
    levels = run.thinned(by_level=True)
    assert levels.low.tolist() == [-1, -2, -2]
    assert levels.row.tolist() == [0, 2, 3]


def test_nothing_is_near_no_path():
    none = Nearest(np.zeros((0, 2)), np.zeros((0, 2)))
    assert np.isinf(none.distance(np.zeros((2, 2)))).all()
    assert len(Pieces(np.zeros((0, 3)), np.zeros((0, 3)), np.zeros(0, dtype=int)).thinned()) == 0
