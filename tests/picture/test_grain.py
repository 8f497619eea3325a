"""Materials look like themselves, the same every time."""

from __future__ import annotations

import numpy as np
import pytest

from outline2path.picture.grain import LOOKS, colour_at, look_of
from outline2path.picture.noise import noise, speckle
from outline2path.shop.material import MATERIALS


def points(count=4000, seed=3):
    x, y, z = np.random.default_rng(seed).random((3, count), dtype=np.float32)
    return 150 * x, 100 * y, 18 * z


def light(colours):
    """Relative luminance (ITU-R BT.709 weights, from memory)."""
    return colours @ np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)


def test_every_material_has_a_look():
    assert set(MATERIALS) == set(LOOKS)


@pytest.mark.parametrize("name", sorted(LOOKS))
def test_colours_stay_within_what_a_screen_shows(name):
    colours = colour_at(*points(), look=look_of(name))
    assert colours.dtype == np.float32
    assert 0 <= colours.min() <= colours.max() <= 1


@pytest.mark.parametrize("name", ["hardwood", "softwood", "plywood"])
def test_wood_has_grain_but_is_never_black(name):
    bright = light(colour_at(*points(), look=look_of(name)))
    assert bright.std() > 0.02
    assert bright.min() > 0.05


@pytest.mark.parametrize("name", ["hardwood", "softwood"])
def test_grain_runs_along_x(name):
    x, y, _ = points()
    z = np.full_like(x, 9)
    here = light(colour_at(x, y, z, look=look_of(name)))
    along = light(colour_at(x + 1, y, z, look=look_of(name)))
    across = light(colour_at(x, y + 1, z, look=look_of(name)))
    assert np.abs(along - here).mean() < 0.7 * np.abs(across - here).mean()


def test_sheets_of_plywood_are_laid_crosswise():
    x, y, _ = points()
    for z, quiet in ((0.7, "x"), (2.1, "y")):
        level = np.full_like(x, z)
        look = look_of("plywood")
        here = light(colour_at(x, y, level, look=look))
        along = np.abs(light(colour_at(x + 1, y, level, look=look)) - here).mean()
        across = np.abs(light(colour_at(x, y + 1, level, look=look)) - here).mean()
        assert (along < across) == (quiet == "x")


def test_noise_is_smooth_repeats_and_fills_its_range():
    x = np.linspace(0, 256, 4001, dtype=np.float32)
    values = noise(x, np.full_like(x, 7.5))
    assert values[0] == pytest.approx(values[-1], abs=1e-5)
    assert np.abs(np.diff(values)).max() < 0.15
    assert values.min() < 0.25 < 0.75 < values.max()
    assert speckle(x, x).max() <= 1
