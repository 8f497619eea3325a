"""The budget: whatever T is, the shares never cut in and never leave more than T."""

import pytest
from hypothesis import given

from outline2path.errors import SettingError
from outline2path.tolerance import GRID_MM, ROUNDING_MM, Budget
from tests.strategies import numbers

TOLERANCES = numbers(0.002, 1.0)


@given(TOLERANCES)
def test_twice_the_margin_stays_within_the_tolerance(tolerance):
    assert 2 * Budget(tolerance).margin_mm <= tolerance


@given(TOLERANCES)
def test_the_margin_covers_every_share_and_the_rounding(tolerance):
    b = Budget(tolerance)
    shares = b.flatten_mm + b.simplify_mm + b.chords_mm + b.arcs_mm + ROUNDING_MM
    assert b.margin_mm == pytest.approx(shares, rel=1e-12)
    assert min(b.flatten_mm, b.simplify_mm, b.chords_mm, b.arcs_mm) > 0


@pytest.mark.parametrize("tolerance", [0, -0.02, 0.0019, 1.01, float("nan"), float("inf")])
def test_a_tolerance_outside_the_range_is_refused(tolerance):
    with pytest.raises(SettingError, match=r"0\.002 to 1 mm"):
        Budget(tolerance)


def test_the_rounding_share_covers_five_decimals_of_an_inch_and_the_grid():
    # end and centre each move by at most half a unit in x and in y (sources.md W9b)
    step = 25.4e-5
    assert 2 * (step / 2) * 2**0.5 + GRID_MM <= ROUNDING_MM
