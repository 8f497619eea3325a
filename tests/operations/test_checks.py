"""Checks shared by the settings of every operation."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
import shapely

from outline2path.errors import SettingError
from outline2path.operations.checks import check_choices, check_within, spoken
from outline2path.operations.facing import face
from outline2path.operations.pocket import pocket
from outline2path.operations.rest import rest_region
from outline2path.shop.cutter import Cutter

LINES = SimpleNamespace(region_within=lambda _: shapely.MultiPolygon())
"""Stands for a drawing of open lines alone."""


@pytest.mark.parametrize("operation", [pocket, face])
def test_open_lines_alone_are_refused(operation):
    with pytest.raises(SettingError, match="0 areas"):
        operation(LINES, Cutter(3), top_mm=0.0, bottom_mm=-1.0)


def test_open_lines_alone_leave_no_rest():
    with pytest.raises(SettingError, match="0 areas"):
        rest_region(LINES, Cutter(6), Cutter(3))


@pytest.mark.parametrize("value", [0.5, 1.0, None])
def test_bounds_belong_to_what_is_allowed_and_nothing_is_asked_of_none(value):
    check_within(SimpleNamespace(depth_mm=value), {"depth_mm": (0.5, 1.0)})


@pytest.mark.parametrize("value", [0.49, 1.01, float("nan")])
def test_what_is_outside_is_refused_with_both_bounds(value):
    with pytest.raises(SettingError) as caught:
        check_within(SimpleNamespace(depth_mm=value), {"depth_mm": (0.5, 1.0)})
    assert caught.value.limit == (0.5, 1.0)


def test_a_word_that_is_none_of_those_allowed_is_quoted():
    with pytest.raises(SettingError, match="'up' is none of down, across"):
        check_choices(SimpleNamespace(way="up"), {"way": ("down", "across")})


@pytest.mark.parametrize(
    ("name", "said"),
    [("ramp_angle_deg", "ramp angle"), ("rest_of_mm", "rest of"), ("stepover", "stepover")],
)
def test_names_are_spoken_without_their_unit(name, said):
    assert spoken(name) == said
