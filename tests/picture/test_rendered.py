"""The finished picture, read back dot by dot as an eye would see it."""

from __future__ import annotations

import io
from functools import lru_cache

import numpy as np
import pytest
import shapely
from matplotlib.image import imread

from outline2path.operations.cut import Tab
from outline2path.picture.dots import picture
from outline2path.picture.plan_view import draw_plan
from tests.picture.stand_ins import outline, profile_path
from tests.picture.vision import MACHADO, lab, seen

PLATE = shapely.box(30, 30, 70, 60)
PLACES = {
    "paper": (-8.0, 45.0),
    "waste": (85.0, 45.0),
    "part": (50.0, 45.0),
    "kerf": (71.2, 45.0),
    "deepest pass": (73.0, 38.0),
    "tab": (40.0, 27.5),
}
"""Where to look, mm: the cutter is 6 mm, its centre line 3 mm from the plate."""
APART = [
    ("waste", "part"),
    ("part", "kerf"),
    ("kerf", "deepest pass"),
    ("tab", "part"),
    ("tab", "waste"),
    ("tab", "deepest pass"),
]


@lru_cache(maxsize=1)
def colours() -> dict[str, np.ndarray]:
    """The middle colour of 7 x 7 dots about each place, in a page 900 px wide."""
    path, _ = profile_path(PLATE, cutter_mm=6.0, tabs=0, lead_mm=0)
    tab = Tab(at_mm=(40.0, 30.0), length_mm=6.0, height_mm=1.5)
    drawn = draw_plan(
        outline=outline(PLATE), toolpath=path, tabs=[tab], stock_box_mm=(0, 0, 100, 90)
    )
    dots = imread(io.BytesIO(picture(drawn, dpi=100)))[..., :3]
    found = {}
    for name, place in PLACES.items():
        x, y = drawn.ax.transData.transform(place)
        row, column = round(dots.shape[0] - 1 - y), round(x)
        found[name] = np.median(dots[row - 3 : row + 4, column - 3 : column + 4], axis=(0, 1))
    return found


@pytest.mark.parametrize("vision", sorted(set(MACHADO) - {"grey"}))
@pytest.mark.parametrize(("one", "other"), APART)
def test_neighbours_on_the_picture_stay_apart_in_every_vision(one, other, vision):
    a, b = (lab(seen(colours()[name], vision)) for name in (one, other))
    assert np.linalg.norm(a - b) >= 15


@pytest.mark.parametrize(("one", "other"), APART)
def test_neighbours_on_the_picture_stay_apart_in_grey(one, other):
    a, b = (lab(seen(colours()[name], "grey"))[0] for name in (one, other))
    assert abs(a - b) >= 8


def test_what_is_cut_away_is_lightest_and_the_deepest_pass_darkest():
    light = {name: lab(seen(c, "grey"))[0] for name, c in colours().items()}
    order = sorted(light, key=light.get)
    assert order[0] == "deepest pass"
    assert order[-2:] == ["paper", "kerf"]
