"""Cutter, stock, machine and material: what they accept, show and refuse."""

import pytest

from outline2path.errors import OutlinePathError, SettingError
from outline2path.shop.cutter import Cutter
from outline2path.shop.machine import Machine
from outline2path.shop.material import find_material
from outline2path.shop.stock import Stock


@pytest.mark.parametrize("value", [Cutter("1/8 in", flutes=1), Cutter(6, flute_length="20 mm")])
def test_a_cutter_shows_itself_as_the_call_that_makes_it(value):
    assert eval(repr(value), {"Cutter": Cutter}) == value  # noqa: S307


@pytest.mark.parametrize(
    "value", [Stock("200 x 150 x 9 mm", material="birch plywood"), Stock(thickness=4)]
)
def test_stock_shows_itself_as_the_call_that_makes_it(value):
    assert eval(repr(value), {"Stock": Stock}) == value  # noqa: S307


@pytest.mark.parametrize(
    "make",
    [
        lambda: Cutter(0),
        lambda: Cutter(-3),
        lambda: Cutter("200 mm"),
        lambda: Cutter("nan"),
        lambda: Cutter(3, flutes=0),
        lambda: Cutter(3, flutes=1.5),
        lambda: Cutter(3, flute_length=0),
        lambda: Stock(),
        lambda: Stock(thickness=0),
        lambda: Stock(thickness="9 m"),
        lambda: Stock("200 x 150 x 0 mm"),
        lambda: Stock("200 x 150 mm"),
        lambda: Stock("200 x 150 km x 6 mm"),
        lambda: Stock("9e15 x 1 x 6 mm"),
        lambda: Machine(travel="280 x 200 mm"),
        lambda: Machine(travel="280 x 0 x 60 mm"),
        lambda: Machine(acceleration=0),
        lambda: Machine(speeds=(9000, 5000)),
        lambda: Machine(under_collet="-3 mm"),
        lambda: Machine(power=0),
        lambda: Machine(units="ft"),
    ],
)
def test_impossible_figures_are_refused_in_one_clear_sentence(make):
    with pytest.raises(OutlinePathError) as caught:
        make()
    assert 10 < len(str(caught.value)) < 200


def test_a_machine_of_which_nothing_more_is_known_stays_as_it_was():
    plain = Machine()
    assert (plain.under_collet_mm, plain.power_w, plain.units) == (None, None, "mm")
    assert (plain.tool_change, plain.arcs) == (False, True)
    assert plain.squeeze_mm(stick_out_mm=25, above_bed_mm=40) is None


@pytest.mark.parametrize(("high", "room"), [("90 mm", 5.0), ("4 in", 16.6), (80, -5.0)])
def test_a_machine_says_by_how_much_a_cutter_squeezes_by(high, room):
    # elementary: height under the collet, less stick-out of 25, less 60 of board and stock
    machine = Machine(under_collet=high)
    assert machine.squeeze_mm(stick_out_mm=25, above_bed_mm=60) == pytest.approx(room)


def test_lengths_of_stock_share_the_last_unit():
    stock = Stock("8 x 6 x 1/4 in")
    assert (stock.width_mm, stock.height_mm, stock.thickness_mm) == pytest.approx(
        (203.2, 152.4, 6.35), rel=1e-12
    )


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("birch plywood", "plywood"),
        ("White Oak", "hardwood"),
        ("MDF", "mdf"),
        ("pine", "softwood"),
    ],
)
def test_everyday_names_find_their_material(name, kind):
    assert find_material(name).name == kind


def test_an_unknown_material_is_refused_with_the_known_ones():
    with pytest.raises(SettingError, match="name one of: hardwood, softwood"):
        find_material("unobtainium")


def test_chip_loads_follow_the_table_between_its_diameters():
    # table in sources.md 3.4 (from memory, no source): plywood 1/8 in .004-.006, 1/4 in .011-.013
    low, high = find_material("plywood").chip_load_mm(4.7625)
    assert (low / 25.4, high / 25.4) == pytest.approx((0.0075, 0.0095), rel=1e-12)
