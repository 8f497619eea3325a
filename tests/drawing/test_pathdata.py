"""Path data: the grammar, its faults, and arcs in centre form."""

import math

import numpy as np
import pytest
import svgelements
from hypothesis import given
from hypothesis import strategies as st

from outline2path.drawing.curves import ARC, CUBIC, LINE
from outline2path.drawing.pathdata import parse_path
from outline2path.errors import DrawingError
from tests.strategies import numbers


def ends(d):
    return parse_path(d)[0].rows[:, 7:9].tolist()


# SVG 2 section 9.3 (from memory): relative, implicit and compact forms.
FORMS = [
    ("M1 1L2 2", [[2, 2]]),
    ("m1 1 2 2 3 3", [[3, 3], [6, 6]]),
    ("M.5.5-1-1", [[-1, -1]]),
    ("M1e1 0H2E1V-5h1v1", [[20, 0], [20, -5], [21, -5], [21, -4]]),
    ("M0 0l1,1z l5 0", [[1, 1], [0, 0], [5, 0]]),
    ("M3 4h5zm1 1h1", [[8, 4], [3, 4], [5, 5]]),
    ("M0 0C1 1 2 1 3 0S5 -1 6 0", [[3, 0], [6, 0]]),
    ("M0 0Q1 1 2 0T4 0t2 0", [[2, 0], [4, 0], [6, 0]]),
    ("M0 0a1 1 0 01 10 0", [[10, 0]]),
    ("M0 0a1,1 0 0110,0a1 1 0 1110 0", [[10, 0], [20, 0]]),
    ("  M 0,0  L 1 , 2  ", [[1, 2]]),
    ("M0 0L1 0 1 1 0 1Z", [[1, 0], [1, 1], [0, 1], [0, 0]]),
]


@pytest.mark.parametrize(("d", "wanted"), FORMS)
def test_every_form_of_path_data_is_read(d, wanted):
    curves, fault = parse_path(d)
    assert fault is None
    assert curves.rows[:, 7:9].tolist() == wanted


# Section 9.5.4: what comes before the fault is kept.
FAULTS = [
    ("M10 10L20 20,30", 1, "L20 20,30"),
    ("M10,10 L60,,10", 0, "L60,,10"),
    ("L10 10", 0, "L10 10"),
    ("A10 10 0 0 1 20 20", 0, "A10 10 0 0 1 20 20"),
    ("M0 0L1 1 foo", 1, "L1 1 foo"),
    ("M0 0L1 1z5", 2, "z5"),
    ("M0 0L1 1L", 1, "L"),
    ("M0 0L1 1,L2 2", 1, "L1 1,"),
    ("M0 0L1e999 1", 0, "L1e999 1"),
    ("M0 0L1 1A1 1 0 2 0 5 5", 1, "A1 1 0 2 0 5 5"),
    ("x M0 0L1 1", 0, "x"),
    ("M" + "1" * 4000 + " 0", 0, "M" + "1" * 29),
    ("M0 0C1 1 2 2 3 3 4 4", 1, "C1 1 2 2 3 3 4 4"),
]


@pytest.mark.parametrize(("d", "kept", "text"), FAULTS)
def test_path_data_are_kept_up_to_the_fault(d, kept, text):
    curves, fault = parse_path(d)
    assert (fault.text, fault.kept, len(curves.rows)) == (text, kept, kept)


def test_smooth_curves_reflect_the_last_control_of_their_own_kind_only():
    smooth = parse_path("M0 0C0 5 5 5 5 0S10 -5 10 0")[0].rows[1]
    assert smooth[3:5].tolist() == [5, -5]
    after_line = parse_path("M0 0L5 0S10 -5 10 0")[0].rows[1]
    assert after_line[3:5].tolist() == [5, 0]
    after_quadratic = parse_path("M0 0Q2 5 5 0S10 -5 10 0")[0].rows[1]
    assert after_quadratic[3:5].tolist() == [5, 0]


# Worked examples W10 and W10b: (d, radius, centre, start, sweep in degrees).
ARCS = [
    ("M0 0A1 1 0 0 1 10 0", (5, 5), (5, 0), 180, 180),
    ("M10 20A30 20 30 0 1 50 40", (30, 20), (24.927640, 42.362388), -143.478185, 96.666902),
    ("M10 20A30 20 30 1 0 50 40", (30, 20), (24.927640, 42.362388), -143.478185, -263.333098),
]


@pytest.mark.parametrize(("d", "radii", "centre", "start", "sweep"), ARCS)
def test_an_arc_has_the_centre_form_of_the_worked_example(d, radii, centre, start, sweep):
    row = parse_path(d)[0].rows[0]
    assert (math.hypot(*row[3:5]), math.hypot(*row[5:7])) == pytest.approx(radii)
    assert row[9:11] == pytest.approx(centre, abs=5e-7)  # the example has six decimals
    assert math.degrees(row[11]) % 360 == pytest.approx(start % 360, abs=5e-7)
    assert math.degrees(row[12]) == pytest.approx(sweep, abs=5e-7)


def test_a_half_circle_has_its_centre_exactly_between_its_ends():
    """The textbook formula loses half the digits here, 1e-8 of the radius."""
    row = parse_path("M0 0A50 50 0 0 1 100 0")[0].rows[0]
    assert row[9:11].tolist() == [50.0, 0.0]


@pytest.mark.parametrize(
    ("d", "kinds"),
    [
        ("M0 0A0 5 0 0 1 9 9", [LINE]),
        ("M0 0A5 0 0 0 1 9 9", [LINE]),
        ("M0 0A5 5 0 0 1 0 0", []),
        ("M0 0A-5 -5 0 0 1 9 9", [ARC]),
        ("M0 0A1e-300 1e300 45 1 1 5 5", []),
        ("M0 0Q1 1 2 0", [CUBIC]),
    ],
)
def test_odd_radii_are_read_as_the_standard_says(d, kinds):
    """Zero: a straight line; no way to go: nothing; negative: its size counts (SVG 2 9.5.1)."""
    assert parse_path(d)[0].rows[:, 0].tolist() == kinds


coordinates = numbers(-100, 100).map(lambda x: round(x, 3))
pieces = st.one_of(
    st.builds("L{} {}".format, coordinates, coordinates),
    st.builds("h{}".format, coordinates),
    st.builds("c{} {} {} {} {} {}".format, *[coordinates] * 6),
    st.builds("S{} {} {} {}".format, *[coordinates] * 4),
    st.builds("q{} {} {} {}".format, *[coordinates] * 4),
    st.builds("T{} {}".format, coordinates, coordinates),
)
arcs = st.builds(
    "A{} {} {} {} {} {} {}".format,
    numbers(1, 50),
    numbers(1, 50),
    numbers(-180, 180),
    st.sampled_from([0, 1]),
    st.sampled_from([0, 1]),
    coordinates,
    coordinates,
)


@given(st.lists(st.one_of(pieces, arcs), min_size=1, max_size=8))
def test_path_data_pass_through_the_points_another_reader_finds(parts):
    """svgelements as the independent reader; its arcs are good to 1e-7 of their size."""
    d = "M1 2" + "".join(parts)
    theirs = [s for s in svgelements.Path(d) if not isinstance(s, svgelements.Move)]
    theirs = [(s.end.x, s.end.y) for s in theirs if s.start != s.end or "A" not in d]
    ours = [e for e, s in zip(ends(d), parse_path(d)[0].rows, strict=True)
            if s[1:3].tolist() != e or "A" not in d]  # fmt: skip
    assert np.allclose(ours, theirs, atol=1e-6)


def test_more_pieces_than_the_limit_are_refused():
    with pytest.raises(DrawingError, match="more than 10 lines and curves"):
        parse_path("M0 0" + "L1 1" * 11, most=10)


def test_moves_that_draw_nothing_are_counted_too():
    with pytest.raises(DrawingError, match="more than 10 lines and curves, or moves"):
        parse_path("M0 0" * 11, most=10)
