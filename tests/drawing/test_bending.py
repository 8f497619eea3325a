"""Bending: stretches that cover every curve once, within the bound, each curve for itself."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.drawing import bending
from outline2path.drawing.bending import Arcs, Cubics, refuse_many
from outline2path.drawing.curves import ARC, CUBIC, complex_points
from outline2path.drawing.flatten import between, flatten
from outline2path.drawing.pathdata import parse_path
from outline2path.errors import DrawingError
from tests.strategies import numbers

coordinates = numbers(-40, 40).map(lambda x: round(x, 2))
cubics = st.builds("C{} {} {} {} {} {}".format, *[coordinates] * 6)
arcs = st.builds(
    "A{} {} {} {} 1 {} {}".format,
    numbers(1, 40), numbers(1, 40), numbers(0, 180), st.sampled_from([0, 1]),
    coordinates, coordinates,
)  # fmt: skip
bodies = st.lists(st.one_of(cubics, arcs), min_size=1, max_size=6).map(
    lambda d: "M1 2" + "".join(d)
)
tolerances = st.sampled_from([0.5, 0.02, 0.002, math.inf])


def tables(d):
    """Cubics and arcs of a path, those kinds that it has."""
    rows = parse_path(d)[0].rows
    kinds = ((Cubics, CUBIC), (Arcs, ARC))
    return [
        table.of(rows[rows[:, 0] == kind]) for table, kind in kinds if (rows[:, 0] == kind).any()
    ]


@given(bodies, tolerances)
def test_stretches_cover_every_curve_from_end_to_end_once(d, tolerance):
    for curves in tables(d):
        owner, low, high = curves.pieces(tolerance)
        new = np.append(True, owner[1:] != owner[:-1])
        assert (low[new] == 0).all()
        assert (high[np.append(new[1:], True)] == 1).all()
        assert (low[~new] == high[:-1][~new[1:]]).all()
        assert (low < high).all()
        assert owner[new].tolist() == list(
            range(len(curves.u if isinstance(curves, Arcs) else curves.a))
        )


@given(bodies, st.sampled_from([0.5, 0.02, 0.002]))
def test_no_piece_is_farther_from_its_chord_than_the_tolerance(d, tolerance):
    for curves in tables(d):
        assert curves.sagitta(*curves.pieces(tolerance)).max() <= tolerance * (1 + 1e-9)


@given(bodies, bodies)
def test_a_curve_is_flattened_alike_whatever_stands_beside_it(d, other):
    """To the last bit: only so do edges that two shapes share stay shared."""
    alone, among = parse_path(d)[0].rows, parse_path(other)[0].rows
    together, counts = flatten(np.concatenate([among, alone]), 0.01)
    assert together[counts[: len(among)].sum() :].tolist() == flatten(alone, 0.01)[0].tolist()


@settings(max_examples=30)
@given(bodies)
def test_worked_in_parts_the_stretches_are_the_same(d):
    with pytest.MonkeyPatch.context() as patch:
        whole = between(parse_path(d)[0].rows, 0.01)
        patch.setattr(bending, "_AT_ONCE", 2)
        parts = between(parse_path(d)[0].rows, 0.01)
    assert [x.tolist() for x in whole] == [x.tolist() for x in parts]


@given(st.lists(coordinates, min_size=8, max_size=8))
def test_points_between_lie_where_the_bernstein_form_puts_them(numbers_):
    d = "M{} {}C{} {} {} {} {} {}".format(*numbers_)
    rows = parse_path(d)[0].rows
    curves = Cubics.of(rows)
    owner, t, _ = curves.pieces(0.01)
    p0, p1, p2, p3 = complex_points(rows)[0, :4]
    s = 1 - t
    wanted = s**3 * p0 + 3 * s * s * t * p1 + 3 * s * t * t * p2 + t**3 * p3
    assert curves.at(owner, t) == pytest.approx(wanted, abs=1e-12 * 100)  # of coordinates of 40


@pytest.mark.parametrize(
    ("d", "tolerance"),
    [
        ("M0 0C0 10 10 10 10 0", 0.001),
        ("M0 0C30 40 60 40 90 0", 0.0005),
        ("M0 0C5 0 9 4 9 9", 1e-4),
    ],
)
def test_the_number_of_chords_is_near_the_least_there_can_be(d, tolerance):
    """For small tolerances: the integral of the root of |f' x f''| / |f'| over root(8 tol).

    Equal sagitta is best (elementary, by Jensen's inequality); stretches between turns each
    round up by one at most.
    """
    p = complex_points(parse_path(d)[0].rows)[0, :4]
    t = np.linspace(0, 1, 20001)
    e, f, g = np.diff(p)
    slope = 3 * ((1 - t) ** 2 * e + 2 * t * (1 - t) * f + t * t * g)
    turn = 6 * ((1 - t) * (f - e) + t * (g - f))
    bend = np.sqrt(np.abs((np.conj(slope) * turn).imag) / np.abs(slope))
    least = np.trapezoid(bend, t) / math.sqrt(8 * tolerance)
    owner, _, _ = tables(d)[0].pieces(tolerance)
    assert least <= len(owner) + 1
    assert len(owner) <= 1.05 * least + 3


CUSPS = ["M0 0C10 10 0 10 10 0", "M0 0C0 0 0 0 9 9", "M0 0C9 9 9 9 9 9", "M0 0C10 0 -5 0 5 0"]


@pytest.mark.parametrize("d", CUSPS)
def test_curves_that_stand_still_or_turn_back_keep_to_the_bound(d):
    curves = tables(d)[0]
    pieces = curves.pieces(0.001)
    assert curves.sagitta(*pieces).max() <= 0.001
    assert len(pieces[0]) < 200


@given(numbers(1, 100), numbers(-6.2, 6.2).filter(lambda x: abs(x) > 0.01), numbers(0, 6))
def test_circles_are_cut_into_equal_pieces_between_their_turns(radius, sweep, angle):
    arc = Arcs(*(np.array([x]) for x in (0j, radius + 0j, radius * 1j, angle, sweep)))
    _, low, high = arc.pieces(0.01)
    off = radius * (1 - np.cos(np.abs(sweep) * (high - low) / 2))  # elementary
    assert off.max() <= 0.01 * (1 + 1e-9)
    turns = np.abs(np.sin(2 * (angle + sweep * high[:-1]))) < 1e-6
    assert np.diff(high - low)[~turns] == pytest.approx(0, abs=1e-9)


def test_no_more_points_than_memory_holds():
    refuse_many(4_000_000, 0.01)
    with pytest.raises(DrawingError, match="5000000 points are needed"):
        refuse_many(5_000_000, 0.01)
