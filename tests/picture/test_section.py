"""The section shows true depths, the waste board and its own exaggeration."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

import outline2path as o2p
from outline2path.errors import SettingError
from outline2path.picture.section import draw_section
from tests.picture.stand_ins import outline, plan_of_leaf, profile_path

PLATE = shapely.box(20, 20, 80, 60)


def section(**options):
    """A section through a plate cut out 6 mm deep, 0.3 mm into the board."""
    path, tabs = profile_path(PLATE, tabs=2)
    taken = {
        "outline": outline(PLATE),
        "toolpath": path,
        "top_mm": 0.0,
        "bottom_mm": -6.0,
        "tabs": tabs,
        "line_mm": ((10.0, 40.0), (90.0, 40.0)),
    }
    return draw_section(**{**taken, **options})


def test_the_floor_is_as_deep_and_wide_as_the_cut():
    (line,) = section().artists["edge"]
    way, z = line.get_segments()[0].T
    assert z.min() == -6.3
    deep = way[(z < -6.2) & (way < 40)]
    # a slot as wide as the cutter, within two of 900 steps over 80 mm
    assert np.ptp(deep) == pytest.approx(3.175, abs=0.18)
    assert deep.max() == pytest.approx(10, abs=0.1)


def test_the_exaggeration_written_is_the_one_drawn():
    drawn = section()
    drawn.figure.canvas.draw()
    box, (x0, x1), (y0, y1) = drawn.ax.bbox, drawn.ax.get_xlim(), drawn.ax.get_ylim()
    true = (box.height / (y1 - y0)) / (box.width / (x1 - x0))
    said = float(drawn.artists["note"][0].get_text().split()[2])
    # written with three figures
    assert said == pytest.approx(true, rel=5e-3)


def test_a_cut_into_the_waste_board_is_said_in_mm():
    assert "cuts 0.30 mm into the waste board" in section().facts


def test_a_cut_that_stays_above_the_bottom_is_said_so():
    assert "nowhere through" in section(bottom_mm=-9.0).facts


def test_without_a_line_the_section_runs_through_the_first_tab():
    plan = plan_of_leaf()
    drawn = draw_section(
        outline=plan["outline"],
        toolpath=plan["toolpath"],
        tabs=plan["tabs"],
        top_mm=0.0,
        bottom_mm=-6.0,
    )
    assert drawn.artists["tab"][0].get_paths()


def test_every_depth_has_its_line_and_its_words():
    lines, *words = section().artists["depth"]
    assert len(lines.get_segments()) == 4
    assert [w.get_text().strip() for w in words] == [
        f"z \u2212{z} mm" for z in ("6.30", "4.80", "3.20", "1.60")
    ]


@pytest.mark.parametrize(
    "options", [{"bottom_mm": 0.0}, {"bottom_mm": 3.0}, {"line_mm": ((5.0, 5.0), (5.0, 5.0))}]
)
def test_impossible_sections_are_refused(options):
    with pytest.raises(SettingError):
        section(**options)


def test_a_section_goes_into_the_axes_given():
    from matplotlib.figure import Figure

    ax = Figure().subplots()
    assert section(ax=ax, units="in").ax is ax
    assert ax.get_ylabel() == "z, in"


def test_a_chamfer_is_drawn_as_its_slope_and_no_tab_stands_under_it():
    """A 90 degree cone 2 mm wide at the top falls as far as it goes in: elementary geometry."""
    part = o2p.Outline.from_shapely(shapely.box(20, 20, 80, 60))
    job = o2p.Job(
        stock=o2p.Stock("100 x 80 x 9 mm"),
        zero="stock-corner",
        placed="as-drawn",
        machine=o2p.Machine(tool_change=True),
        programs="per-set-up",
    )
    job.chamfer(part, o2p.Cutter(8, shape="v", angle=90), width=2)
    made = job.profile(part, o2p.Cutter(3), tabs=2).plan().only
    drawn = draw_section(
        outline=part,
        toolpath=made.toolpath,
        tabs=made.tabs,
        top_mm=0.0,
        bottom_mm=-9.0,
        line_mm=((10.0, 31.0), (90.0, 31.0)),
    )
    way, z = drawn.artists["edge"][0].get_segments()[0].T
    slope = (way > 10.2) & (way < 11.8)  # the part's edge is 10 mm along the line
    assert z[slope] == pytest.approx(way[slope] - 12, abs=0.2)
    assert not any(p.get_extents().width for p in drawn.artists["tab"][0].get_paths())
