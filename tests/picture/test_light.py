"""Light falls as it does on a bench: from the upper left, soft at the edge."""

from __future__ import annotations

import numpy as np
import pytest

from outline2path.picture.light import LAMP, blurred, lamp_seen, sky_seen, slopes


def ground(high=60, wide=80):
    return np.zeros((high, wide), dtype=np.float32)


def test_the_lamp_stands_to_the_upper_left():
    assert LAMP[0] < 0 < LAMP[1]
    assert LAMP[2] > 0
    assert np.linalg.norm(LAMP) == pytest.approx(1)


def test_open_ground_sees_everything():
    z = ground()
    assert lamp_seen(z, 0.5).min() == 1
    assert sky_seen(z, 0.5).min() == 1


def test_a_block_throws_its_shadow_to_the_lower_right():
    z = ground()
    z[25:35, 30:40] = 6
    dark = lamp_seen(z, 0.5) < 0.5
    rows, columns = np.nonzero(dark)
    assert columns.mean() > 35  # right of the block's middle
    assert rows.mean() < 30  # nearer the viewer: rows lead away
    assert not dark[45:].any()


@pytest.mark.parametrize("tall", [4.0, 8.0])
def test_a_shadow_is_as_long_as_the_lamp_is_low(tall):
    z = ground(40, 200)
    z[:, :60] = tall
    seen = lamp_seen(z, 0.25)[20]
    length = 0.25 * (np.argmax(seen[60:] > 0.5))
    # along x the lamp rises LAMP[2] for each -LAMP[0]; half seen at the lamp's middle;
    # steps of whole cells and smoothing over two
    assert length == pytest.approx(tall * -LAMP[0] / LAMP[2], abs=0.75)


def test_the_foot_of_a_wall_sees_less_sky_than_open_ground():
    z = ground()
    z[:, :40] = 10
    seen = sky_seen(z, 0.5)[30]
    assert seen[40] < seen[46] < seen[79]
    assert seen.min() >= 0


def test_slopes_are_exact_on_a_plane_and_flat_beside_a_step():
    x, y = np.meshgrid(np.arange(9, dtype=np.float32), np.arange(7, dtype=np.float32))
    east, north = slopes(0.5 * x - 0.25 * y, 1.0)
    assert np.unique(east).tolist() == [0.5]
    assert np.unique(north).tolist() == [-0.25]


def test_blurring_keeps_a_level_and_the_middle_of_a_step():
    z = ground()
    z[:, 40:] = 1
    soft = blurred(z, 3)
    assert soft[:, :30].max() == 0
    assert soft[30, 39] + soft[30, 40] == pytest.approx(1, abs=1e-6)
