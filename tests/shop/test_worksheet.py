"""The worksheet: published numbers in its rows, and a warning where a figure is unusual."""

import re

import pytest

from outline2path.shop.cutter import Cutter
from outline2path.shop.feeds import Feeds, starting_feeds
from outline2path.shop.machine import Machine
from outline2path.shop.material import MATERIALS, Material, find_material
from outline2path.shop.worksheet import worksheet

PLY = find_material("plywood")
EIGHTH = Cutter("1/8 in", flutes=1, stick_out="12 mm")
TRADE = Feeds(rpm=9000, feed=72 * 25.4, plunge=500)
IN_SLOT = worksheet(EIGHTH, PLY, feeds=TRADE, depth_mm=0.762)


# sources.md W1, W2, W4 (0.8 of the diameter: 4.698578 um at 10 N, here at 5.419344 N)
@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("chip load", 0.2032),
        ("surface speed", 89.771010),
        ("removal rate", 4424.507280),
        ("power", 2.580963),
        ("force", 5.419344),
        ("deflection", 0.004698578 * 0.5419344),
        ("engagement", 180.0),
        ("depth of cut", 0.24),
    ],
)
def test_the_trade_check_agrees_with_the_worked_numbers(name, value):
    assert IN_SLOT[name] == pytest.approx(value, rel=1e-6)


def test_the_trade_check_is_above_the_table_and_so_is_told_with_its_force():
    # sources.md 3.4: .008 in lies above .004-.006: warn, do not refuse, and weigh the force
    (found,) = IN_SLOT.findings
    assert (found.code, found.severity) == ("sheet-chip-load", "warning")
    assert found.limit == pytest.approx(0.006 * 25.4)
    assert "5.4 N" in found.message
    assert IN_SLOT.feeds == TRADE


def test_power_agrees_with_the_insert_makers_example():
    # ap 2, ae 80, vf 280, kc 1800, eta 0.8 -> 1.68 kW (insert-maker face-milling page)
    steel = Material(name="steel", cutting_force_n_mm2=1800, chip_loads_in=((0.001, 0.1),) * 3)
    sheet = worksheet(
        Cutter(100, flutes=6),
        steel,
        feeds=Feeds(rpm=100, feed=280, plunge=100),
        width_mm=80,
        depth_mm=2,
        efficiency=0.8,
    )
    assert sheet["power"] == pytest.approx(1680)


# W3: a tenth of the diameter makes chips 0.6 as thick
@pytest.mark.parametrize(("share", "factor"), [(0.1, 0.6), (0.25, 0.866025), (1.0, 1.0)])
def test_the_usual_chip_load_rises_as_chips_thin(share, factor):
    sheet = worksheet(EIGHTH, PLY, feeds=TRADE, width_mm=share * 3.175)
    row = next(row for row in sheet.rows if row.name == "chip load")
    assert row.usual[1] == pytest.approx(0.006 * 25.4 / factor, rel=1e-6)  # six digits given


@pytest.mark.parametrize("name", MATERIALS)
def test_the_starting_point_is_its_own_usual(name):
    cutter, material = Cutter(3.175, flutes=1), MATERIALS[name]
    slow = (60, 24000) if name in {"acrylic", "aluminium"} else (5000, 24000)
    machine = Machine(greatest_feed=20000, speeds=slow)
    feeds = starting_feeds(cutter, material, machine, rpm=12000)
    assert worksheet(cutter, material, machine=machine, feeds=feeds).findings == ()


LONG = Cutter("1/8 in", flutes=1, stick_out="40 mm")


@pytest.mark.parametrize(
    ("cutter", "feeds", "options", "code"),
    [
        (EIGHTH, Feeds(rpm=30000, feed=2400, plunge=600), {}, "sheet-spindle-speed"),
        (EIGHTH, Feeds(rpm=20000, feed=3000, plunge=900), {}, "sheet-feed"),
        (EIGHTH, Feeds(rpm=9000, feed=900, plunge=800), {}, "sheet-plunge"),
        (EIGHTH, Feeds(rpm=9000, feed=900, plunge=50), {}, "sheet-plunge"),
        (EIGHTH, Feeds(rpm=9000, feed=90, plunge=30), {}, "sheet-chip-load"),
        (EIGHTH, Feeds(rpm=9000, feed=900, plunge=300), {"depth_mm": 9}, "sheet-depth-of-cut"),
        (LONG, Feeds(rpm=9000, feed=900, plunge=300), {}, "sheet-stick-out"),
        (LONG, Feeds(rpm=9000, feed=900, plunge=300), {"depth_mm": 3}, "sheet-deflection"),
        (
            Cutter(25, flutes=4),
            Feeds(rpm=9000, feed=2400, plunge=600),
            {"depth_mm": 6, "machine": Machine(power=100)},
            "sheet-power",
        ),
    ],
)
def test_each_figure_outside_its_range_is_told_with_a_better_one(cutter, feeds, options, code):
    sheet = worksheet(cutter, PLY, feeds=feeds, **options)
    found = {finding.code: finding for finding in sheet.findings}
    assert code in found
    assert found[code].remedy
    assert found[code].value != found[code].limit
    assert sheet.feeds == feeds


@pytest.mark.parametrize(("rpm", "told"), [(5000, True), (20000, False)])
def test_surface_speed_is_judged_where_a_range_is_known(rpm, told):
    feeds = starting_feeds(EIGHTH, MATERIALS["aluminium"], Machine(), rpm=rpm)
    sheet = worksheet(EIGHTH, MATERIALS["aluminium"], feeds=feeds)
    assert ("sheet-surface-speed" in [f.code for f in sheet.findings]) == told


def test_every_row_has_a_formula_or_was_asked_for_and_every_formula_a_source():
    asked = {row.name for row in IN_SLOT.rows if not row.formula}
    assert asked == {"spindle speed", "plunge"}
    assert all(row.source for row in IN_SLOT.rows if row.formula)


def test_every_range_says_where_it_comes_from():
    limited = [row for row in IN_SLOT.rows if row.usual != (None, None)]
    assert len(limited) >= 6
    assert all(row.usual_source for row in limited)


def test_the_table_for_notebooks_holds_every_row_and_warning():
    html = IN_SLOT._repr_html_()
    assert html.count("<tr>") == len(IN_SLOT.rows) + 1
    assert html.count("<p>") == len(IN_SLOT.findings) == 1
    assert re.sub(r"</?(table|thead|tbody|tr|th|td|p)( style=[^>]*)?>", "", html).count("<") == 0


def test_the_text_marks_what_to_look_at():
    marked = [line for line in str(IN_SLOT).splitlines() if "look at this" in line]
    assert len(marked) == 1
    assert marked[0].startswith("chip load")
