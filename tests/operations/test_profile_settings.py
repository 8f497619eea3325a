from __future__ import annotations

import math

import pytest

from outline2path.errors import SettingError
from outline2path.operations.profile_settings import ProfileSettings


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("side", "left"),
        ("lead", "loop"),
        ("entry", "dive"),
        ("direction", "up"),
        ("tabs", -1),
        ("tabs", 201),
        ("tabs", 2.5),
        ("tabs", True),
        ("depth_per_pass_mm", 0.0),
        ("depth_per_pass_mm", math.nan),
        ("through_mm", -0.1),
        ("finish_allowance_mm", -0.1),
        ("tab_length_mm", 0.0),
        ("tab_height_mm", 0.0),
        ("ramp_angle_deg", 0.0),
        ("ramp_angle_deg", 90.0),
        ("lead_mm", 0.0),
        ("allowance_mm", math.inf),
        ("tolerance_mm", 0.0),
    ],
)
def test_an_impossible_setting_is_refused_by_name_and_value(name, value):
    with pytest.raises(SettingError) as refusal:
        ProfileSettings(**{name: value})
    spoken = name.removesuffix("_mm").removesuffix("_deg").replace("_", " ")
    assert spoken in str(refusal.value)


def test_the_defaults_go_together():
    ProfileSettings(tabs=4).check_against(cutter_mm=3.175, thickness_mm=6.0)
