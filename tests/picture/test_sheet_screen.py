"""The sheet as a browser shows it: the slider moves, paper fits, dark is dark."""

from __future__ import annotations

import html
import json
import re
from functools import lru_cache

import numpy as np
import pytest

from outline2path.picture.sheet_page import sheet_page
from tests.picture.screen import after, needs_browser, printed, shot, told
from tests.picture.sheets import SHEET, with_program

pytestmark = needs_browser

MOVE = """
const place = document.querySelector(".replay"), slider = place.querySelector("input");
const canvas = place.querySelector("canvas"), pen = canvas.getContext("2d");
const frame = () => new Promise((done) => requestAnimationFrame(done));
const go = async (share) => {
  slider.value = share * slider.max; slider.dispatchEvent(new Event("input"));
  await frame(); await frame();
};
const press = async (key) => {
  canvas.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true })); await frame();
  await frame();
};
const dot = (x, y) => {
  const scale = Math.min((canvas.clientWidth - 32) / 120, (430 - 32) / 80);
  const left = (canvas.clientWidth - 120 * scale) / 2;
  const low = canvas.clientHeight - 16;
  return [...pen.getImageData(left + x * scale, low - y * scale, 1, 1).data].slice(0, 3);
};
const figure = (name) => [...place.querySelectorAll("dt")]
  .find((term) => term.textContent === name).nextSibling.textContent;
const block = () => place.querySelector(".now").lastChild.data;
"""
ASK = """
const found = {};
await go(0); found.before = dot(60, 20);
await go(1); found.ring = dot(60, 20); found.middle = dot(60, 40);
await go(0.02); found.back = dot(60, 60);
await go(0.5); found.block = block(); found.z = figure("z"); found.feed = figure("Feed");
const all = pen.getImageData(0, 0, canvas.width, canvas.height).data; found.disc = 0;
for (let n = 0; n < all.length; n += 4) {
  if (all[n] > 150 && all[n + 2] < 90 && all[n + 1] > 90) found.disc += 1;
}
found.scale = Math.min((canvas.clientWidth - 32) / 120, 398 / 80);
await go(0); found.ahead = [];
for (let n = 0; n < 4; n += 1) { await press("ArrowRight"); found.ahead.push(block()); }
await press("ArrowLeft"); found.behind = block();
await press("End"); found.end = Number(slider.value);
await press("Home"); found.home = Number(slider.value);
const button = place.querySelector("button");
await press(" "); found.playing = button.textContent;
await press(" "); found.stopped = button.textContent;
return JSON.stringify(found);
"""
STOCK = [243, 238, 226]


@lru_cache
def found() -> dict:
    """What the slider and the keyboard bring about, in one visit."""
    return json.loads(html.unescape(told(sheet_page(with_program()), MOVE + ASK)))


def test_nothing_is_cut_at_the_start_and_the_ring_is_at_the_end():
    assert found()["before"] == found()["middle"] == STOCK
    assert sum(found()["ring"]) < sum(STOCK) - 60


def test_going_back_puts_the_stock_back():
    assert found()["back"] == STOCK


def test_the_current_block_and_figures_follow_the_slider():
    assert re.fullmatch(r"G1 X[\d.]+ Y[\d.]+", found()["block"])
    assert found()["z"] == "\u22122.00 mm"
    assert found()["feed"] == "600 mm/min"


def test_the_cutters_disc_is_drawn_to_scale():
    # the disc is orange in the cut: 6 mm across, within its outline of 1.6 dots
    assert found()["disc"] == pytest.approx(np.pi * (3 * found()["scale"]) ** 2, rel=0.2)


def test_the_keyboard_goes_move_by_move():
    assert len(set(found()["ahead"])) >= 3
    assert found()["behind"] == found()["ahead"][-2]
    assert found()["end"] == pytest.approx(100)
    assert found()["home"] == 0


def test_space_plays_and_stops():
    assert (found()["playing"], found()["stopped"]) == ("Stop", "Play")


TURN = """
document.querySelector(".lit button").click();
setTimeout(() => {{
  const canvas = document.querySelector("canvas.turned");
  for (let n = 0; n < {times}; n += 1) {{
    canvas.dispatchEvent(new KeyboardEvent("keydown", {{ key: "{key}" }}));
  }}
}}, 300);
"""


@lru_cache
def turned(key: str, times: int) -> np.ndarray:
    """The piece on the screen after pressing a key so often."""
    return shot(after(sheet_page(SHEET), TURN.format(key=key, times=times)), high=800)[250:700]


def wood(picture: np.ndarray) -> np.ndarray:
    """Where it is the colour of wood: clearly more red than blue."""
    return picture[..., 0] - picture[..., 2] > 0.15


def test_the_piece_is_drawn_when_it_is_asked_for():
    assert wood(turned("", 0)).mean() > 0.08


def test_a_full_turn_comes_back_and_half_a_turn_does_not():
    start, half, full = turned("", 0), turned("ArrowRight", 15), turned("ArrowRight", 60)
    assert np.abs(start - full).mean() < 0.002
    assert np.abs(start - half).mean() > 0.01


def test_from_straight_above_the_piece_has_its_own_proportions():
    seen = wood(turned("ArrowDown", 20))
    area, rows, columns = seen.sum(), *np.nonzero(seen)
    # a rectangle of 120 x 80 turned by 24 degrees, in its upright box
    c, s = np.cos(np.radians(24)), np.sin(np.radians(24))
    wide, high = 120 * c + 80 * s, 120 * s + 80 * c
    assert np.ptp(columns) / np.ptp(rows) == pytest.approx(wide / high, rel=0.03)
    full = np.ptp(columns) * np.ptp(rows) * 120 * 80 / (wide * high)
    assert area == pytest.approx(full, rel=0.1)


@lru_cache
def screen(dark: bool) -> np.ndarray:
    return shot(sheet_page(SHEET), dark=dark)


def test_dark_screens_get_a_dark_page_with_light_words():
    light, dark = screen(False), screen(True)
    assert np.median(light) > 0.95
    assert np.median(dark) < 0.15
    assert dark.max() > 0.85


def test_nothing_sticks_out_at_the_side():
    over = told(
        sheet_page(SHEET),
        "return [420, 800, 1100].map((wide) => {"
        " document.body.style.width = `${wide}px`;"
        " return document.body.scrollWidth - wide; });",
    )
    assert max(int(v) for v in over.split(",")) <= 0


@pytest.mark.parametrize(("paper", "wide", "high"), [("A4", 595, 842), ("letter", 612, 792)])
def test_it_prints_on_paper_upright(paper, wide, high):
    pdf = printed(sheet_page(SHEET).replace("@page {", f"@page {{ size: {paper};"))
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert {(round(float(a)), round(float(b))) for a, b in boxes} == {(wide, high)}
    assert 3 <= len(boxes) <= 6  # a first page, and one or two for each of two set-ups


def test_no_figure_or_row_is_taller_than_a_page():
    # letter inside its margins is 279.4 - 27 mm high and 215.9 - 24 mm wide, at 96 dots an inch
    page = sheet_page(SHEET).replace("@media print", "@media screen")
    page = page.replace("<body>", '<body style="width:725px">')
    tall = told(
        page,
        "return [...document.querySelectorAll('figure, tr, .tool, .keep, .facts > div')]"
        ".map((one) => Math.ceil(one.getBoundingClientRect().height))",
    )
    assert max(int(v) for v in tall.split(",")) <= 953
