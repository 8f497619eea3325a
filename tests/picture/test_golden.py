"""Pictures look as they did when somebody last looked at them; a change is noticed."""

from __future__ import annotations

import numpy as np
import pytest

from outline2path.picture import cuts, plan_view, solid, style
from outline2path.picture.frame import work_zero
from tests.picture import golden
from tests.picture.golden import LIMIT, PICTURES, PLACE, apart, kept


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_looks_as_it_did(name):
    assert apart(kept(name), PICTURES[name]()) <= LIMIT


def test_every_kept_picture_is_drawn_and_all_are_small():
    found = sorted(PLACE.glob("*.png"))
    assert [p.stem for p in found] == sorted(name.replace(" ", "_") for name in PICTURES)
    assert sum(p.stat().st_size for p in found) < 500_000


def ramp_reversed(monkeypatch):
    ramp = style.depth_colours
    monkeypatch.setattr(plan_view, "depth_colours", lambda count: ramp(count)[::-1])


def part_in_another_blue(monkeypatch):
    from dataclasses import replace

    blue = replace(style.MEANINGS["part"], colour="#b9cbe6")
    monkeypatch.setitem(style.MEANINGS, "part", blue)


def no_arrows(monkeypatch):
    monkeypatch.setattr(cuts, "draw_direction", lambda *_, **__: ())


def zero_in_another_corner(monkeypatch):
    monkeypatch.setattr(plan_view, "work_zero", lambda ax, scale: work_zero(ax, scale=-scale))


@pytest.mark.parametrize(
    "change",
    [ramp_reversed, part_in_another_blue, no_arrows, zero_in_another_corner],
    ids=lambda c: c.__name__,
)
def test_a_change_of_the_plan_is_noticed(monkeypatch, change):
    change(monkeypatch)
    assert apart(kept("plan"), PICTURES["plan"]()) > LIMIT


@pytest.mark.parametrize(
    ("name", "changed"),
    [
        ("plan", lambda: golden._plan(tabs=())),
        ("plan", lambda: golden._plan(reach=None)),
        ("plan", lambda: golden._plan(side="inside")),
        ("profile with tabs", lambda: golden._profile(tabs=0)),
        ("drill", PICTURES["pocket"]),
        ("chamfer", PICTURES["engrave"]),
    ],
    ids=["tabs", "reach", "side", "all tabs", "drill", "chamfer"],
)
def test_what_is_missing_or_other_is_noticed(name, changed):
    assert apart(kept(name), changed()) > LIMIT


def test_other_light_on_the_solid_is_noticed(monkeypatch):
    shaded = solid.shaded

    def darker(*given, **options):
        dots = shaded(*given, **options)
        dots[..., :3] = (dots[..., :3] * 0.9).astype(np.uint8)
        return dots

    monkeypatch.setattr(solid, "shaded", darker)
    assert apart(kept("solid"), PICTURES["solid"]()) > LIMIT


def test_another_typeface_changes_nothing(monkeypatch):
    from outline2path.picture import frame, words

    def serif(size_pt, *, bold=False):
        from matplotlib.font_manager import FontProperties

        weight = "bold" if bold else "normal"
        return FontProperties(family="DejaVu Serif", size=size_pt * 1.05, weight=weight)

    monkeypatch.setattr(words, "font", serif)
    monkeypatch.setattr(frame, "font", serif)
    assert apart(kept("plan"), PICTURES["plan"]()) <= LIMIT


def test_pictures_of_other_sizes_are_never_alike():
    assert apart(np.ones((8, 8, 3)), np.ones((12, 8, 3))) == np.inf


def test_two_greys_are_as_far_apart_as_their_lightness():
    # L* of sRGB 0.5 is 53.389 and of 1 is 100 (CIE 15, from memory)
    grey, white = np.full((16, 16, 3), 0.5), np.ones((16, 16, 3))
    assert apart(grey, white) == pytest.approx(46.61, abs=0.05)  # rounded above
