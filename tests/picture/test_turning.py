"""The data of the solid that turns."""

from __future__ import annotations

import base64
import io
import json

import numpy as np
import pytest
import shapely
from matplotlib.image import imread

from outline2path.picture.height_field import Cutting
from outline2path.picture.turning import turning_data
from outline2path.shop.cutter import Cutter
from tests.picture.blocks import run

BLANK = {"stock_box_mm": (0, 0, 60, 40), "top_mm": 0.0, "bottom_mm": -8.0}
SLOT = Cutting(text=run((15, 20), (45, 20), z=-3), cutter=Cutter(6))


def decoded(*cuttings, **options):
    """Heights in mm and colours, row by row from the front."""
    data = json.loads(turning_data(cuttings, **BLANK, **options))
    raw = np.frombuffer(base64.b64decode(data["heights"]), "<u2")
    heights = raw.reshape(data["high"], data["wide"]) * data["thick"] / 65535
    colours = imread(io.BytesIO(base64.b64decode(data["colours"])))
    return data, heights, colours


def test_heights_are_those_of_the_blank_and_the_slot():
    data, heights, _ = decoded(SLOT)
    assert np.unique(heights.round(3)).tolist() == [0, 5, 8]
    area = (heights > 0).sum() * data["cell"] ** 2
    assert area == pytest.approx(60 * 40, abs=200 * data["cell"] * 0.71)
    floor = (heights.round(3) == 5).sum() * data["cell"] ** 2
    # 2 r L + pi r2, wrong by no more than its edge times half a cell's diagonal
    edge = 60 + 6 * np.pi
    assert floor == pytest.approx(6 * 30 + 9 * np.pi, abs=edge * data["cell"] * 0.71)


def test_colours_fit_the_heights():
    _, heights, colours = decoded(SLOT)
    assert colours.shape == (*heights.shape, 4)
    assert (colours[heights > 0, 3] == 1).all()
    assert colours[heights == 0, 3].max() < 1
    assert colours[0, 0, 3] < 0.02  # far from the blank the table is clear


def test_the_slots_foot_is_darker_than_the_top():
    _, heights, colours = decoded(SLOT, material="acrylic")
    light = colours[..., :3].mean(axis=2)
    assert light[heights.round(3) == 5].mean() < light[heights == 8].mean()


def test_waste_is_left_out():
    _, heights, _ = decoded(part=shapely.box(10, 10, 30, 30))
    rows, columns = np.nonzero(heights)
    assert np.ptp(rows) == pytest.approx(np.ptp(columns), abs=2)


def test_it_may_stand_inside_a_script_element():
    assert "<" not in turning_data([SLOT], **BLANK)
