"""Chip thinning against the worked table (sources.md W3)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.errors import SettingError
from outline2path.shop.chips import (
    chip_load_for_mm,
    engagement_deg,
    mean_chip_mm,
    thickest_chip_mm,
)

# W3: ae/D, angle, thickest and mean chip as shares of the feed per tooth; six decimals given
TABLE = [
    (0.05, 25.841933, 0.435890, 0.221716),
    (0.10, 36.869898, 0.600000, 0.310800),
    (0.25, 60.000000, 0.866025, 0.477465),
    (0.50, 90.000000, 1.000000, 0.636620),
]


@pytest.mark.parametrize(("share", "angle", "thick", "mean"), TABLE)
@pytest.mark.parametrize("wide", [1.0, 3.175, 12.0])
def test_thinning_agrees_with_the_worked_table(share, angle, thick, mean, wide):
    cut = {"width_mm": share * wide, "diameter_mm": wide}
    found = (
        engagement_deg(share * wide, diameter_mm=wide),
        thickest_chip_mm(1.0, **cut),
        mean_chip_mm(1.0, **cut),
    )
    assert found == pytest.approx((angle, thick, mean), abs=1e-6)


def test_a_full_slot_is_not_thinned():
    assert thickest_chip_mm(0.1, width_mm=6, diameter_mm=6) == 0.1
    assert mean_chip_mm(1, width_mm=6, diameter_mm=6) == pytest.approx(0.636620, abs=1e-6)  # W3


def test_the_trade_calculators_example_of_a_tenth():
    # sources.md 3.1: a = 0.1, factor 0.6, 0.002 -> 0.00333 in
    assert chip_load_for_mm(0.002, width_mm=0.1, diameter_mm=1) == pytest.approx(0.00333, abs=5e-6)


@given(share=st.floats(0.001, 1), chip=st.floats(0.001, 1))
def test_feed_and_thickness_undo_one_another(share, chip):
    cut = {"width_mm": share * 6, "diameter_mm": 6.0}
    back = thickest_chip_mm(chip_load_for_mm(chip, **cut), **cut)
    assert back == pytest.approx(chip, rel=1e-9)  # float noise of one division


@given(share=st.floats(0.001, 1))
def test_no_chip_is_thicker_than_the_feed_per_tooth(share):
    cut = {"width_mm": share * 6, "diameter_mm": 6.0}
    assert 0 < mean_chip_mm(1, **cut) < thickest_chip_mm(1, **cut) <= 1


@pytest.mark.parametrize("width", [0, -1, 6.1, float("nan")])
def test_a_width_no_cutter_takes_is_refused(width):
    with pytest.raises(SettingError, match="outside 0 to the cutter's 6 mm"):
        engagement_deg(width, diameter_mm=6)
