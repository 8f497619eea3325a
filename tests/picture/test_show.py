"""Pictures come out as files of the size and sharpness promised, whole or not at all."""

from __future__ import annotations

import io

import numpy as np
import pytest
from matplotlib.image import imread

from outline2path.errors import OutputError, SettingError
from outline2path.picture.dots import for_notebook, picture, png_size
from outline2path.picture.plan_view import draw_outline
from outline2path.picture.show import outline_png, plan_png, reach_png, save_plan
from tests.picture.stand_ins import leaf, outline, plan_of_leaf


@pytest.mark.parametrize(
    ("made", "wide"),
    [
        (lambda: outline_png(outline(leaf())), 640),
        (lambda: reach_png(plan_of_leaf()["reach"]), 900),
        (lambda: plan_png(**plan_of_leaf()), 900),
    ],
)
def test_notebook_pictures_hold_two_dots_for_each_on_the_page(made, wide):
    png, shown = for_notebook(made())
    assert png_size(png)[0] == 2 * wide
    assert shown["width"] == wide


def test_the_size_in_the_header_is_that_of_the_picture():
    png = outline_png(outline(leaf()))
    high, wide = imread(io.BytesIO(png)).shape[:2]
    assert png_size(png) == (wide, high)


def test_edges_are_dark_and_paper_is_light():
    grey = imread(io.BytesIO(outline_png(outline(leaf()))))[..., :3].mean(axis=2)
    assert grey.min() < 0.2
    assert np.median(grey) > 0.8


@pytest.mark.parametrize(
    ("name", "start"), [("a.png", b"\x89PNG"), ("a.svg", b"<?xml"), ("a.PDF", b"%PDF")]
)
def test_a_plan_is_saved_as_its_ending_says(tmp_path, name, start):
    path = save_plan(tmp_path / name, **plan_of_leaf())
    assert path.read_bytes().startswith(start)


def test_a_saved_plan_is_190_mm_wide(tmp_path):
    png = save_plan(tmp_path / "a.png", **plan_of_leaf()).read_bytes()
    # whole dots at 300 to the inch
    assert png_size(png)[0] == pytest.approx(190 / 25.4 * 300, abs=1)


@pytest.mark.parametrize("name", ["plan.bmp", "plan"])
def test_other_endings_are_refused_before_anything_is_written(tmp_path, name):
    with pytest.raises(SettingError, match="png, svg or pdf"):
        save_plan(tmp_path / name, **plan_of_leaf())
    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_an_output_error(tmp_path):
    with pytest.raises(OutputError):
        save_plan(tmp_path / "none" / "a.png", **plan_of_leaf())


@pytest.mark.parametrize("dpi", [0, -100, 10_000, float("nan")])
def test_dots_an_inch_out_of_range_are_refused(dpi):
    with pytest.raises(SettingError, match="dots an inch"):
        picture(draw_outline(outline(leaf())), dpi=dpi)
