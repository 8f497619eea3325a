"""A workshop's file: what it gives, and how it says what is wrong."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.errors import OutlinePathError, SettingError
from outline2path.shop.cutter import Cutter
from outline2path.shop.library import Shop, read_shop, shipped_shop
from outline2path.shop.machine import Machine
from outline2path.shop.material import MATERIALS
from outline2path.shop.stock import Stock
from outline2path.units import MM_PER_INCH

TEXT = """
# ours
[cutters.small]
diameter = "1/8 in"
flutes = 1
stick_out = "20 mm"

[cutters."V, sharp"]
diameter = 6
shape = "v"
angle = "60 deg"

[machines.'the old one']
travel = "280 x 200 x 60 mm"
under_collet = "4 in"
speeds = [5000, "12000 rpm"]
tool_change = true

[materials.limba]
like = "softwood"
cutting_force = 20

[stocks.board]
size = "300 x 200 x 12 mm"
material = "limba"

[holdings.corner]
way = "clamps"
clamps = [
  { at = [0, "-10 mm"], size = [20, 20], height = "1 in" },
]
"""


def shop_from(text):
    """Write a file and read it."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "ours.toml")
        file.write_text(text, encoding="utf-8")
        return read_shop(file)


@pytest.fixture
def shelf():
    """What makes a shop of a text."""
    return shop_from


def test_a_file_gives_what_python_would_have_made(shelf):
    shop = shelf(TEXT)
    assert shop.cutters == {
        "small": Cutter("1/8 in", flutes=1, stick_out=20, name="small"),
        "V, sharp": Cutter(6, shape="v", angle=60, name="V, sharp"),
    }
    assert shop.machine("the old one") == Machine(
        name="the old one",
        travel="280 x 200 x 60 mm",
        under_collet=101.6,
        speeds=(5000, 12000),
        tool_change=True,
    )


def test_holdings_carry_their_clamps(shelf):
    holding = shelf(TEXT).holding("corner")
    assert holding.clamps[0].box_mm == (0, -10, 20, 10)
    assert holding.highest_mm == pytest.approx(25.4)


def test_a_material_says_only_what_differs(shelf):
    limba = shelf(TEXT).material("limba")
    assert (limba.name, limba.cutting_force_n_mm2) == ("limba", 20)
    assert limba.chip_load_mm(3.175) == pytest.approx(MATERIALS["softwood"].chip_load_mm(3.175))


def test_stock_takes_the_workshops_own_material(shelf):
    board = shelf(TEXT).stock("board")
    assert board.material.cutting_force_n_mm2 == 20
    assert Stock("300 x 200 x 12 mm").with_material(board.material) == board


def test_an_empty_file_is_an_empty_shop(shelf):
    assert shelf("") == Shop()


BAD = [
    ("[cutter.small]\ndiameter = 3", 1, "did you mean 'cutters'?"),
    ("\n[cutters.small]\ndiametre = 3", 3, "did you mean 'diameter'?"),
    ("[cutters.small]\ndiameter = '3 kg'", 2, "is no length"),
    ("[cutters.small]\ndiameter = '3 mm/min'", 2, "is no length"),
    ("[cutters.small]\ndiameter = 3\n\nflutes = 'two'", 4, "a whole number"),
    ("[cutters.small]\ndiameter = 3\nflutes = true", 3, "a whole number"),
    ("[cutters.small]\ndiameter = [3]", 2, "a number, or text with a unit"),
    ("[cutters.small]\nflutes = 2", 1, "diameter is missing"),
    ("[cutters.small]\ndiameter = 3\nshape = 'bal'", 3, "did you mean 'ball'?"),
    ("[cutters.a]\ndiameter = 3\n[cutters.b]\ndiameter = -3", 4, "outside 0.05 to 100 mm"),
    ("[cutters.a]\ndiameter = 6\nshape = 'v'\nangle = '60 mm'", 4, "is no angle"),
    ("[machines.m]\ntravel = '280 x 200 mm'", 2, "three lengths"),
    ("[machines.m]\ntravel = 280", 2, "is not text"),
    ("[machines.m]\ngreatest_feed = '2500 mm'", 2, "is no feed"),
    ("[machines.m]\nspeeds = [5000]", 2, "wrong kind"),
    ("[machines.m]\ntool_change = 'yes'", 2, "true or false"),
    ("[machines.m]\npower = nan", 2, "not positive"),
    ("[materials.m]\nlike = 'sftwood'", 2, "did you mean 'softwood'?"),
    ("[materials.m]\nlike = 'softwood'\ncuttingforce = 3", 3, "did you mean 'cutting_force'?"),
    ("[materials.m]\ncutting_force = 30", 1, "chip_loads is missing"),
    ("[materials.m]\ncutting_force = 30\nchip_loads = [[0.1, 0.2]]", 3, "three pairs"),
    ("[stocks.s]\nsize = '3 x 4 x 0 mm'", 1, "not positive"),
    ("[stocks.s]\nthickness = 3\nmaterial = 'cheese'", 3, "no figures for 'cheese'"),
    ("[holdings.h]\nway = 'magic'", 2, "cannot be held by"),
    ("[holdings.h]\nway = 'clamps'\nclamps = 3", 3, "no list of tables"),
    (
        "[holdings.h]\nway = 'clamps'\nclamps = [\n {at = [0, 0], size = [1, 1], hight = 3},\n]",
        4,
        "did you mean 'height'?",
    ),
    ("[cutters]\nsmall = 3", 1, "without a name"),
    ("cutters = 3", 1, "without a name"),
    ("[cutters.small\n", None, "no TOML"),
    ("a = " + "[" * 5000, None, "no TOML"),
]


@pytest.mark.parametrize(("text", "line", "words"), BAD)
def test_what_is_wrong_is_told_with_file_line_and_what_was_meant(shelf, text, line, words):
    with pytest.raises(SettingError) as caught:
        shelf(text)
    told = str(caught.value)
    assert told.startswith("ours.toml" + ("" if line is None else f", line {line}:"))
    assert words in told
    assert len(told) < 400


@pytest.mark.parametrize("name", ["missing.toml", "."])
def test_a_file_that_cannot_be_read_is_refused(tmp_path, name):
    with pytest.raises(SettingError, match="cannot be read"):
        read_shop(tmp_path / name)


@pytest.mark.parametrize(("data", "words"), [(b"\xff\xfe", "UTF-8"), (b"#" * 1_000_002, "bytes")])
def test_files_that_are_no_text_or_too_large_are_refused(tmp_path, data, words):
    file = tmp_path / "odd.toml"
    file.write_bytes(data)
    with pytest.raises(SettingError, match=words):
        read_shop(file)


def test_the_nearest_name_is_offered(shelf):
    with pytest.raises(SettingError, match="did you mean 'small'"):
        shelf(TEXT).cutter("smal")
    with pytest.raises(SettingError, match="it has: none"):
        Shop().machine("any")


def test_the_library_that_ships_agrees_with_the_package():
    shipped = shipped_shop().materials
    for name, own in MATERIALS.items():
        assert shipped[name].cutting_force_n_mm2 == own.cutting_force_n_mm2
        assert shipped[name].surface_speeds_m_min == own.surface_speeds_m_min
        flat = [x for pair in own.chip_loads_in for x in pair]
        assert [x for pair in shipped[name].chip_loads_in for x in pair] == pytest.approx(flat)


# sources.md 3.3: specific gravity and newtons; density = SG x 1.12 x 1000
@pytest.mark.parametrize(
    ("name", "gravity", "newtons"),
    [
        ("white oak", 0.68, 6000),
        ("black walnut", 0.55, 4500),
        ("yellow-poplar", 0.42, 2400),
        ("basswood", 0.37, 1800),
        ("sugar maple", 0.63, 6400),
        ("eastern white pine", 0.35, 1700),
    ],
)
def test_woods_agree_with_the_handbook(name, gravity, newtons):
    wood = shipped_shop().material(name)
    assert wood.density_kg_m3 == pytest.approx(1120 * gravity, abs=0.5)  # whole kilograms
    assert wood.hardness_n == newtons


def test_machines_that_ship_are_labelled_as_invented():
    machines = shipped_shop().machines
    assert len(machines) == 3
    assert all("(invented)" in machine.name for machine in machines.values())


def test_every_material_that_ships_names_its_source():
    assert all(
        len(material.source) > 20 and "no source told" not in material.source
        for material in shipped_shop().materials.values()
    )


def test_inch_chip_loads_come_through_unchanged():
    low, high = shipped_shop().material("plywood").chip_load_mm(3.175)
    assert (low, high) == pytest.approx((0.004 * MM_PER_INCH, 0.006 * MM_PER_INCH))


@pytest.mark.parametrize(
    "text", ["[cutters.a]\ndiameter = 3\n[cutters.a]\ndiameter = 4", "[cutters.a]\nx = 1\nx = 2"]
)
def test_names_told_twice_are_refused(shelf, text):
    with pytest.raises(OutlinePathError, match="no TOML"):
        shelf(text)


@given(
    at=st.integers(0, len(TEXT) - 1),
    cut=st.integers(0, 9),
    put=st.text("[]{}=\"'.,#x0-\n", max_size=4),
)
@settings(max_examples=100)
def test_a_damaged_file_is_read_or_refused_in_one_short_sentence(at, cut, put):
    damaged = TEXT[:at] + put + TEXT[at + cut :]
    try:
        found = shop_from(damaged)
    except SettingError as fault:
        found = str(fault)
    assert isinstance(found, Shop) or (found.startswith("ours.toml") and len(found) < 600)
