"""The worksheet against published formulas and worked numbers (sources.md 3.1, W1, W2, W4)."""

import pytest

from outline2path.errors import SettingError
from outline2path.shop.cutter import Cutter
from outline2path.shop.feeds import (
    Feeds,
    chip_load_mm,
    cutting_power_w,
    feed_findings,
    removal_rate_mm3_min,
    starting_feeds,
    surface_speed_m_min,
    tangential_force_n,
    tip_deflection_mm,
)
from outline2path.shop.machine import Machine
from outline2path.shop.material import MATERIALS, find_material

PLY = find_material("birch plywood")
EIGHTH = Cutter("1/8 in", flutes=1)


def test_the_trade_check_gives_eight_thousandths_a_tooth():
    # one flute, 1/8 in, 9000 rpm, 72 in/min -> 0.008 in (sources.md 3.1, a trade fact)
    assert chip_load_mm(72 * 25.4, rpm=9000, flutes=1) / 25.4 == pytest.approx(0.008, rel=1e-12)


def test_surface_speed_agrees_with_the_worked_number():
    assert surface_speed_m_min(3.175, rpm=9000) == pytest.approx(89.771010, abs=5e-7)  # W1


def test_removal_power_and_force_agree_with_the_worked_numbers():
    rate = removal_rate_mm3_min(width_mm=3.175, depth_mm=0.762, feed=1828.8)
    assert rate == pytest.approx(4424.507280, abs=5e-7)  # W2
    assert cutting_power_w(rate, force_n_mm2=600) == pytest.approx(44.245073, abs=5e-7)
    assert cutting_power_w(rate, force_n_mm2=35) == pytest.approx(2.580963, abs=5e-7)
    assert tangential_force_n(0.2032, depth_mm=0.762, force_n_mm2=35) == pytest.approx(
        5.419344, abs=5e-7
    )


def test_power_agrees_with_the_insert_makers_example():
    # ap 2, ae 80, vf 280, kc 1800, eta 0.8 -> 1.68 kW (insert-maker face-milling page)
    rate = removal_rate_mm3_min(width_mm=80, depth_mm=2, feed=280)
    assert cutting_power_w(rate, force_n_mm2=1800, efficiency=0.8) == pytest.approx(1680)


@pytest.mark.parametrize(("share", "um"), [(1.0, 1.924538), (0.8, 4.698578)])
def test_deflection_agrees_with_the_worked_numbers(share, um):
    bend = tip_deflection_mm(10, diameter_mm=share * 3.175, stick_out_mm=12)
    assert 1000 * bend == pytest.approx(um, abs=5e-7)  # W4


@pytest.mark.parametrize("name", MATERIALS)
def test_the_starting_point_never_warns(name):
    material, machine = MATERIALS[name], Machine(greatest_feed=20000)
    for cutter in (Cutter(1), Cutter(3.175, flutes=1), Cutter(6), Cutter(12.7, flutes=3)):
        feeds = starting_feeds(cutter, material, machine)
        assert feed_findings(feeds, cutter, material, machine=machine) == ()


def test_a_feed_above_the_usual_range_warns_and_is_kept():
    feeds = Feeds(rpm=9000, feed=1828.8, plunge=300)
    found = feed_findings(feeds, EIGHTH, PLY, machine=Machine())
    assert [f.code for f in found] == ["chip-load"]
    assert found[0].severity == "warning"
    assert found[0].value == pytest.approx(0.2032)


@pytest.mark.parametrize(
    ("feeds", "code"),
    [
        (Feeds(rpm=9000, feed=20, plunge=10), "chip-load"),
        (Feeds(rpm=30000, feed=3600, plunge=300), "feed-above-machine"),
        (Feeds(rpm=30000, feed=2400, plunge=300), "speed-outside-machine"),
    ],
)
def test_each_limit_has_its_own_finding(feeds, code):
    found = feed_findings(feeds, Cutter(3.175, flutes=1), PLY, machine=Machine())
    assert code in [f.code for f in found]


@pytest.mark.parametrize("field", ["rpm", "feed", "plunge"])
@pytest.mark.parametrize("value", [0, -1, float("nan"), float("inf")])
def test_feeds_that_are_not_positive_are_refused(field, value):
    with pytest.raises(SettingError, match="outside 1 to"):
        Feeds(**{"rpm": 9000.0, "feed": 900.0, "plunge": 300.0, field: value})
