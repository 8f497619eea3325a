"""Width of cut and chip load as checks: worked figures, limits stated and not, whole programs."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from outline2path.proof.engagement import (
    chip_loads,
    outer_feed_factors,
    thickest_chips,
    width_of_cut,
)
from outline2path.proof.judge import judge
from outline2path.proof.rim import Rim
from outline2path.rs274.reader import read_program
from outline2path.shop.cutter import Cutter
from tests.proof import works

START = "G17 G90 G94\nM3 S9000\n"
INCH, MM = f"G20 {START}", f"G21 {START}"


def check(work, name: str):
    return next(c for c in judge(work.text, work.expected).checks if c.name == name)


def asking(work, **more):
    return replace(work, expected=replace(work.expected, **more))


@pytest.mark.parametrize(("flutes", "load"), [(1, 0.2032), (2, 0.1016)])
def test_a_chip_load_is_feed_over_speed_and_flutes(flutes, load):
    """The trade's check: 1/8 in, 9000 rpm, one flute, 72 in/min is 0.008 in a tooth."""
    table = read_program(f"{INCH}G0 X0 Y0 Z1\nG1 X1 F72\nM30").table
    assert chip_loads(table, flutes=flutes)[1] == pytest.approx(load)


def test_with_a_standing_spindle_no_chip_is_told():
    table = read_program("G21 G17 G90\nG0 X0 Y0 Z1\nG1 X1 F72\nM30").table
    assert chip_loads(table, flutes=1)[1] == 0


@pytest.mark.parametrize(
    ("share", "thickest"),
    [(0.05, 0.435890), (0.10, 0.6), (0.25, 0.866025), (0.50, 1.0), (0.80, 1.0), (1.0, 1.0)],
)
def test_chips_are_thin_where_little_of_the_round_cuts(share, thickest):
    """hmax / fz = 2 sqrt(a - a^2) for a = ae / D below a half, else 1 (geometry)."""
    phi = np.arccos(1 - 2 * share)
    rim = Rim(np.zeros((1, 3)), np.array([0]), np.array([share]), np.array([phi]), np.ones(1))
    assert thickest_chips(rim, np.array([0.1]))[0] == pytest.approx(0.1 * thickest, rel=1e-5)


@pytest.mark.parametrize(
    ("path", "side", "factor"),
    [(3.4125, "outer", 0.6825), (6.5875, "inner", 1.3175)],
)
def test_on_bends_the_wall_is_cut_at_the_handbooks_feed(path, side, factor):
    """A wall of radius 5, r 1.5875: centre feed over wall feed is (R - r) / R and (R + r) / R."""
    text = f"{MM}G0 X{path} Y0 Z0\nG3 X{path} Y0 I-{path} F900\nM30"
    outer = float(outer_feed_factors(read_program(text).table, 1.5875)[1])
    inner = 2 - outer  # as much slower inside as faster outside: both are r / rho
    assert 1 / (outer if side == "outer" else inner) == pytest.approx(factor, abs=5e-5)


def test_a_straight_move_has_no_outer_side():
    table = read_program(f"{MM}G0 X0 Y0 Z0\nG1 X9 F900\nM30").table
    assert outer_feed_factors(table, 1.5).tolist() == [1.0, 1.0]


# Whole programs: rings of a pocket, 1.2 mm apart, with a cutter of 3 mm and one flute.


def test_without_limits_figures_are_told_and_nothing_fails():
    width, chip = (check(works.base(), name) for name in ("width of cut", "chip load"))
    assert (width.ok, chip.ok) == (True, True)
    assert width.value == pytest.approx(3.0)
    assert chip.value == pytest.approx(600 / 9000)
    assert "180 degrees" in width.detail


def test_a_limit_on_the_width_names_the_first_slot():
    found = check(asking(works.base(), widest_cut_mm=1.3), "width of cut")
    assert not found.ok
    assert found.value == pytest.approx(3.0)
    assert found.line is not None
    assert "narrower" in found.detail


def test_a_face_cut_in_strips_keeps_to_their_width():
    """Rows four fifths of 12 mm apart; the first one is cut with the edge beyond the blank."""
    faced = works.faced()
    assert check(asking(faced, widest_cut_mm=9.7), "width of cut").ok
    assert not check(asking(faced, widest_cut_mm=9.5), "width of cut").ok


@pytest.mark.parametrize(
    ("change", "ok"),
    [(("F600", "F600"), True), (("F600", "F560"), True), (("F600", "F640"), False),
     (("S9000", "S8000"), False), (("S9000", "S12000"), True)],
)  # fmt: skip
def test_a_chip_thicker_than_asked_is_found_by_feed_or_speed(change, ok):
    work = asking(works.base(), most_chip_mm=600 / 9000)
    proof = judge(work.text.replace(*change), work.expected)
    assert ("chip load" not in {c.name for c in proof.failed}) is ok


def test_a_feed_raised_in_one_place_is_told_with_its_line():
    work = asking(works.base(), most_chip_mm=600 / 9000)
    lines = work.text.splitlines()
    at = next(n for n, s in enumerate(lines) if s.startswith("G1 X") and "F600" in s)
    lines[at] = lines[at].replace("F600", "F900")
    failed = judge("\n".join(lines), work.expected).failed
    assert [(c.name, c.line) for c in failed] == [("chip load", at + 1)]
    assert "lower F or raise S" in failed[0].detail


@pytest.mark.parametrize(
    ("usual", "word"), [((0.01, 0.02), "above"), ((0.05, 0.1), "within"), ((0.1, 0.2), "below")]
)
def test_a_materials_usual_range_is_told_and_is_no_limit(usual, word):
    found = check(asking(works.base(), usual_chip_mm=usual), "chip load")
    assert found.ok
    assert f"{word} the usual" in found.detail


def test_a_raised_feed_is_allowed_where_its_chip_stays_as_thin():
    """Two strips: a slot at the feed asked, then a tenth of the width at 1 / 0.6 of it."""
    slot = shapely.box(0, 0, 40, 6)
    feature = works.feature("pocket", slot.buffer(20), -1.0)
    wanted = works.expected([feature], Cutter(4.0, flutes=1), most_chip_mm=0.1, stock_mm=None)
    body = ("G0 X0 Y0", "G1 Z-1 F300", "G1 X30 F900", "G0 Z5", "G0 X0 Y0.4", "G1 Z-1 F300")
    for feed, ok in ((1480, True), (1600, False)):
        work = works.Work(wanted, (*body, f"G1 X27 F{feed}", "G0 Z5"))
        assert check(work, "chip load").ok is ok, feed


def test_a_ramp_counts_with_its_whole_chip():
    feature = works.feature("pocket", shapely.box(-9, -9, 60, 60), -1.0)
    wanted = works.expected([feature], Cutter(4.0, flutes=1), most_chip_mm=0.1)
    steep = works.Work(wanted, ("G0 X0 Y0", "G0 Z0", "G1 X30 Z-1 F1000", "G0 Z5"))
    assert not check(steep, "chip load").ok


def test_nothing_but_holes_has_no_width():
    assert check(works.holes(), "width of cut").detail == "no level move cuts"


def test_no_place_at_all_is_no_fault():
    none = Rim(np.zeros((0, 3)), np.zeros(0, dtype=int), *(np.zeros(0) for _ in range(3)))
    assert width_of_cut(none, np.zeros(0, dtype=np.int32), works.faced().expected).ok
