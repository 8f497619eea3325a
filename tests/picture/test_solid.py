"""The solid view: what is seen, where, and how bright."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest
import shapely
from matplotlib.image import imread

from outline2path.errors import OutputError, SettingError
from outline2path.picture.dots import picture
from outline2path.picture.height_field import Cutting, carve
from outline2path.picture.solid import draw_solid, save_solid, solid_picture, solid_png
from outline2path.shop.cutter import Cutter
from tests.picture.blocks import run

BLANK = {"stock_box_mm": (0, 0, 60, 40), "top_mm": 0.0, "bottom_mm": -8.0}
FRAME = Cutting(text=run((18, 8), (42, 8), (42, 32), (18, 32), (18, 8), z=-8.2), cutter=Cutter(3))
PART = shapely.box(19.5, 9.5, 40.5, 30.5)


def seen(*cuttings, **options):
    """The picture straight from the front, as light 0 to 1 and alpha."""
    options = {"wide_px": 300, "turn_deg": 0.0, **BLANK, **options}
    dots = solid_picture(cuttings, **options).dots / 255
    return dots[..., :3].mean(axis=2), dots[..., 3]


def test_an_uncut_blank_shows_its_top_its_front_and_a_shadow():
    light, alpha = seen(tilt_deg=45)
    rows, columns = np.nonzero(alpha == 1)
    # from 45 degrees above: 40 mm and 8 mm each shortened by sqrt(2); about 5 dots a millimetre
    scale = (np.ptp(columns) + 1) / 60
    assert (np.ptp(rows) + 1) / scale == pytest.approx((40 + 8) / math.sqrt(2), abs=0.8)
    middle = (columns.min() + columns.max()) // 2
    assert light[rows.min() + 30, middle] > 1.2 * light[rows.max() - 10, middle]
    assert ((alpha > 0) & (alpha < 1)).any()


def test_a_pocket_is_darker_along_the_side_towards_the_lamp():
    # the lamp stands to the upper left: the left rim throws its shadow on the floor
    pocket = [
        Cutting(text=run((15, y), (45, y), z=-6), cutter=Cutter(6)) for y in range(12, 29, 4)
    ]
    light, alpha = seen(*pocket, material="acrylic", tilt_deg=88)
    row = light[alpha.shape[0] // 2]
    columns = np.flatnonzero(alpha[alpha.shape[0] // 2] == 1)
    at = columns.min() + (np.array([14.0, 40.0]) / 60 * np.ptp(columns)).astype(int)
    assert row[at[0]] < 0.8 * row[at[1]]


def test_what_is_cut_through_shows_the_table():
    _, before = seen(tilt_deg=80)
    _, after = seen(FRAME, tilt_deg=80)
    assert (after == 1).sum() < (before == 1).sum()


def test_dimmed_waste_lets_the_page_through_and_the_part_does_not():
    _, alpha = seen(FRAME, part=PART, tilt_deg=88)
    high, wide = alpha.shape
    assert alpha[high // 2, wide // 2] == 1
    assert alpha[high // 2, wide // 8] < 0.6


def test_removed_waste_leaves_only_the_part():
    light, alpha = seen(FRAME, part=PART, waste="remove", tilt_deg=88)
    rows, columns = np.nonzero(alpha == 1)
    assert np.ptp(columns) / np.ptp(rows) == pytest.approx(1, abs=0.06)
    assert light[alpha == 1].min() > 0.05


def test_two_programs_in_a_row_take_more_than_one():
    one = Cutting(text=run((10, 10), (50, 10), z=-3), cutter=Cutter(6))
    two = Cutting(text=run((10, 30), (50, 30), z=-3), cutter=Cutter(6))
    volumes = [solid_picture(c, **BLANK, wide_px=200).removed_mm3 for c in ([one], [one, two])]
    assert volumes[1] == pytest.approx(2 * volumes[0], rel=0.01)


def test_the_same_programs_give_the_same_bytes():
    assert solid_png([FRAME], wide_px=150, **BLANK) == solid_png([FRAME], wide_px=150, **BLANK)


def test_a_chamfer_stands_out_from_the_top():
    bevel = Cutter(10, shape="chamfer", angle=90)
    cut = Cutting(text=run((10, 20), (50, 20), z=-3), cutter=bevel)
    light, alpha = seen(cut, material="acrylic", tilt_deg=88)
    column = light[:, light.shape[1] // 2][alpha[:, light.shape[1] // 2] == 1]
    top = np.median(column)
    away = np.flatnonzero((top - column)[10:-10] > 0.04)  # the rims left out
    # 3 mm deep at 90 degrees: the face that looks away from the lamp is 3 mm wide of 40
    assert np.ptp(away) / len(column) == pytest.approx(3 / 40, abs=0.01)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"waste": "burn"}, "waste 'burn'"),
        ({"wide_px": 5}, "wide_px 5"),
        ({"tilt_deg": 5.0}, "tilt_deg 5"),
        ({"material": "cheese"}, "cheese"),
    ],
)
def test_what_cannot_be_drawn_is_refused(options, words):
    with pytest.raises(SettingError, match=words):
        solid_picture([FRAME], **BLANK, **options)


def test_a_page_says_how_fine_it_is_and_that_it_is_a_picture():
    drawn = draw_solid([FRAME], wide_px=200, **BLANK)
    assert "60.00 x 40.00 x 8.00 mm" in drawn.facts
    assert "heights true to" in drawn.facts
    assert len(drawn.artists["solid"]) == 1
    assert imread(io.BytesIO(picture(drawn, dpi=100))).shape[1] == 900


def test_the_stated_error_is_that_of_the_height_field():
    solid = solid_picture([FRAME], wide_px=200, **BLANK)
    field = carve([FRAME], cell_mm=solid.cell_mm, **BLANK)
    assert solid.height_error_mm == field.height_error_mm < solid.cell_mm


def test_into_axes_of_ones_own():
    from matplotlib.figure import Figure

    ax = Figure().subplots()
    assert draw_solid([FRAME], wide_px=100, ax=ax, **BLANK).ax is ax


def test_saving_needs_a_folder(tmp_path):
    saved = save_solid(tmp_path / "a.png", [FRAME], wide_px=100, **BLANK)
    assert saved.stat().st_size > 1000
    with pytest.raises(OutputError, match="does not exist"):
        save_solid(tmp_path / "no" / "a.png", [FRAME], wide_px=100, **BLANK)


def test_shadows_end_before_the_picture_does():
    _, alpha = seen(FRAME, turn_deg=24.0)
    rim = np.concatenate((alpha[0], alpha[-1], alpha[:, 0], alpha[:, -1]))
    assert rim.max() < 0.03
