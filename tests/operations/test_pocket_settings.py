"""Settings of pockets and facing, and the checks they share."""

from __future__ import annotations

import dataclasses

import pytest

from outline2path.errors import SettingError
from outline2path.operations.face_settings import FaceSettings
from outline2path.operations.pocket_settings import PocketSettings


@pytest.mark.parametrize("kind", [PocketSettings, FaceSettings])
def test_defaults_hold_and_are_frozen(kind):
    chosen = kind()
    with pytest.raises(dataclasses.FrozenInstanceError):
        chosen.stepover = 0.9


@pytest.mark.parametrize("kind", [PocketSettings, FaceSettings])
@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("stepover", 0.01),
        ("stepover", float("nan")),
        ("depth_per_pass_mm", 0.0),
        ("tolerance_mm", 2.0),
        ("direction", "sideways"),
    ],
)
def test_an_impossible_value_is_refused_with_its_name(kind, name, value):
    with pytest.raises(SettingError) as caught:
        kind(**{name: value})
    assert name.removesuffix("_mm").replace("_", " ") in str(caught.value)


@pytest.mark.parametrize(
    ("options", "word"),
    [
        ({"finish_allowance_mm": 1.51}, "finish allowance"),
        ({"floor_allowance_mm": 4.0}, "floor allowance"),
        ({"rest_of_mm": 2.9}, "leaves nothing"),
    ],
)
def test_what_contradicts_cutter_or_depth_is_refused(options, word):
    with pytest.raises(SettingError, match=word) as caught:
        PocketSettings(**options).check_against(cutter_mm=3.0, deep_mm=4.0)
    assert caught.value.remedy
