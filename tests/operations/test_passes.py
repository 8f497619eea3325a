from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given

from outline2path.errors import SettingError
from outline2path.operations.passes import pass_depths
from tests.strategies import numbers


@pytest.mark.parametrize(
    ("thick", "most", "through", "count"),
    [(6, 1.5, 0, 4), (6, 1.5, 0.3, 5), (6.35, 0.762, 0, 9), (3, 3, 0, 1), (0.3, 0.1, 0, 3)],
)
def test_the_fewest_equal_passes_are_made(thick, most, through, count):
    depths = pass_depths(top_mm=0, bottom_mm=-thick, depth_per_pass_mm=most, through_mm=through)
    assert len(depths) == count


@given(numbers(-50, 50), numbers(0.5, 30), numbers(0.1, 10), numbers(0, 1))
def test_passes_are_equal_not_too_deep_and_end_through_the_stock(top, thick, most, through):
    depths = pass_depths(
        top_mm=top, bottom_mm=top - thick, depth_per_pass_mm=most, through_mm=through
    )
    steps = -np.diff([top, *depths])
    assert depths[-1] == top - thick - through
    assert np.ptp(steps) == pytest.approx(0, abs=1e-9)  # float noise
    assert np.max(steps) <= most + 1e-8  # a length of 1e-9 is no reason for one more pass


@pytest.mark.parametrize(
    ("thick", "most", "through"), [(0, 1, 0), (-1, 1, 0), (6, 0, 0), (6, -1, 0), (6, 1, -1)]
)
def test_impossible_depths_are_refused(thick, most, through):
    with pytest.raises(SettingError, match="mm"):
        pass_depths(top_mm=0, bottom_mm=-thick, depth_per_pass_mm=most, through_mm=through)


def test_thousands_of_passes_are_refused_with_a_remedy():
    with pytest.raises(SettingError, match="allow more depth"):
        pass_depths(top_mm=0, bottom_mm=-50, depth_per_pass_mm=0.01, through_mm=0)


def test_a_thousand_passes_are_the_most():
    """A thousand is this package's own bound: more is a slip of the unit."""
    most = {"top_mm": 0.0, "bottom_mm": -100.0, "through_mm": 0.0}
    assert len(pass_depths(depth_per_pass_mm=0.1, **most)) == 1000
    with pytest.raises(SettingError, match="makes 1001 passes"):
        pass_depths(depth_per_pass_mm=0.09999, **most)
