"""Which way the grain runs: told wherever a person looks, and drawn so."""

import numpy as np
import pytest
import shapely

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.job.job import Job
from outline2path.job.sheet import sheet_content
from outline2path.job.toml import read_job
from outline2path.picture.grain import colour_at, look_of
from outline2path.shop.cutter import Cutter
from outline2path.shop.library import read_shop
from outline2path.shop.material import MATERIALS
from outline2path.shop.stock import Stock

PLATE = Outline.from_shapely(shapely.box(0, 0, 20, 12))


def planned(grain):
    stock = Stock("50 x 40 x 3 mm", material="oak", grain=grain)
    return Job(stock=stock).profile(PLATE, Cutter(3), tabs=2).plan()


@pytest.mark.parametrize("grain", ["x", "y"])
def test_stock_shows_its_grain_as_the_call_that_makes_it(grain):
    value = Stock("200 x 150 x 9 mm", material="oak", grain=grain)
    assert eval(repr(value), {"Stock": Stock}) == value  # noqa: S307
    assert value != Stock("200 x 150 x 9 mm", material="oak")


@pytest.mark.parametrize("grain", ["z", "along", "", 45])
def test_grain_along_no_axis_of_the_blank_is_refused(grain):
    with pytest.raises(SettingError, match="none of x and y"):
        Stock("200 x 150 x 9 mm", grain=grain)


def test_grain_stays_when_a_blank_is_faced_or_gets_a_material_of_ones_own():
    stock = Stock("50 x 40 x 12 mm", grain="y").with_material(MATERIALS["mdf"])
    thinner = stock.with_thickness(11.0)
    assert (thinner.grain, thinner.material.name, thinner.thickness_mm) == ("y", "mdf", 11.0)


def test_facing_in_one_set_up_leaves_grain_and_thickness_to_the_next():
    stock = Stock("50 x 40 x 12 mm", material="oak", grain="y")
    job = Job(stock=stock).face(Cutter(6), depth="1 mm").turn_over(about="x")
    job.face(Cutter(6), depth="0.5 mm")
    last = job.plan().set_ups[-1].bench.stock
    assert (last.grain, last.thickness_mm) == ("y", 11.0)


@pytest.mark.parametrize(("grain", "words"), [("x", "oak, grain along x"), (None, "oak")])
def test_sheet_program_report_and_picture_tell_the_grain(grain, words):
    plan = planned(grain)
    assert sheet_content(plan).set_ups[0].material == words
    assert any(f"{words}, 3" in line for line in plan.program.lines)
    assert plan.only.settings["grain"] == grain
    assert ("grain along" in plan.draw().facts) == (grain is not None)


def test_a_job_and_a_shop_tell_grain_in_their_files(tmp_path):
    shop = tmp_path / "shop.toml"
    shop.write_text('[stocks.board]\nsize = "90 x 40 x 9 mm"\ngrain = "y"\n', encoding="utf-8")
    assert read_shop(shop).stock("board").grain == "y"
    job = tmp_path / "job.toml"
    job.write_text(
        '[stock]\nsize = "60 x 60 x 3 mm"\ngrain = "x"\n[cutters.a]\ndiameter = 3\n'
        "[[set_up]]\n[[set_up.step]]\ndo = \"face\"\ncutter = \"a\"\ndepth = 0.5\n",
        encoding="utf-8",
    )  # fmt: skip
    assert read_job(job).plan().set_ups[0].bench.stock.grain == "x"
    job.write_text(job.read_text(encoding="utf-8").replace('"x"', '"z"'), encoding="utf-8")
    with pytest.raises(SettingError, match="line 3"):
        read_job(job)


@pytest.mark.parametrize("material", ["hardwood", "softwood", "plywood"])
def test_wood_is_drawn_with_its_streaks_along_the_grain(material):
    """Swapping the axes of the points is the same as turning the grain."""
    random = np.random.default_rng(4)
    x, y, z = random.uniform(0, 60, (3, 400)).astype(np.float32)
    along_x = colour_at(x, y, z, look=look_of(material, grain="x"))
    along_y = colour_at(y, x, z, look=look_of(material, grain="y"))
    assert np.array_equal(along_x, along_y)
    assert not np.array_equal(along_x, colour_at(x, y, z, look=look_of(material, grain="y")))
