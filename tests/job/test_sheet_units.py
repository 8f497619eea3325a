"""A sheet told in inches has pictures in inches, whatever the job's own unit."""

from __future__ import annotations

import re

import pytest
import shapely

import outline2path as o2p
from outline2path.job.sheet import sheet_content
from outline2path.picture import show


@pytest.fixture(name="plan")
def a_plan():
    job = o2p.Job(stock=o2p.Stock("80 x 60 x 6 mm"))
    return job.profile(o2p.Outline.from_shapely(shapely.box(0, 0, 40, 30)), o2p.Cutter(3)).plan()


@pytest.fixture(name="drawn")
def what_is_drawn(monkeypatch):
    """Every plan drawn as a page."""
    seen, page = [], show._page

    def spied(**options):
        seen.append(page(**options))
        return seen[-1]

    monkeypatch.setattr(show, "_page", spied)
    return seen


@pytest.mark.parametrize("units", ["mm", "in"])
def test_axes_scale_bar_and_words_are_in_the_sheets_unit(plan, drawn, units):
    picture = sheet_content(plan, units=units).set_ups[0].programs[0].picture
    [one] = drawn
    assert picture.startswith(b"\x89PNG")
    assert (one.ax.get_xlabel(), one.ax.get_ylabel()) == (f"x, {units}", f"y, {units}")
    assert [t for t in one.ax.texts if re.fullmatch(rf"[\d.]+ {units}", t.get_text())]
    # 40 by 30 mm are 1.575 by 1.181 in
    assert {"mm": "40.0 \u00d7 30.0 mm", "in": "1.57 \u00d7 1.18 in"}[units] in one.facts


def test_in_the_jobs_own_unit_the_page_is_drawn_once(plan, drawn):
    sheet_content(plan)
    assert plan.only.page("mm") is plan.only.page_png
    assert len(drawn) == 1


def test_a_plan_tells_its_sheet_in_the_unit_asked_for(plan):
    assert "0.236" in plan.set_up_sheet(units="in")  # 6 mm of stock
